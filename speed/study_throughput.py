"""Throughput of a study on one core and on two, Dask against the program's own processes, cost against the number.

Run by hand from the root of the repository: python speed/study_throughput.py [part ...]
Parts: cores, flights, dask, line (all when none is named); `line` takes some ten minutes of one core.
Every study is the public one, from its file to rows, summary and chart, in a process of its own held to its cores; what
is said of a study is that process from its start to its end, unless said otherwise. Kernels are compiled before.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
TURNS = 1
BAIL_OUTS, LINE, FLIGHTS, PLANS = (10_000, 100_000), (1_000, 10_000, 100_000, 1_000_000), 400, 1000
HEADS = {
    "bail_out": 'collect = "bail_out"\nspreads = ["motor.resistance", "airframe.mass", "rotor.drag_factor"]\n'
    '[vary]\npilot_delay = "0.7 s +- 0.4 s"\n[sweep]\nchannel.autorotation = ["15 %"]\n',
    "peaks": 'collect = "peaks"\nscenario = "climb_out"\nquestion = "sensitivity"\nfigure = "peak_pack_current_a"\n'
    'spreads = ["motor.kv", "airframe.mass"]\n',
    "plan": 'collect = "plan"\nspreads = ["motor.kv", "airframe.mass"]\n',
}
PROGRAM = """
import os, sys, time
begin = time.perf_counter()
import json, resource
from pathlib import Path
from steadyhead import job

if __name__ == "__main__":
    asked = json.loads(sys.argv[1])
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, asked["cores"])
    said = []
    answer = job.study(
        Path(asked["file"]), Path(asked["out"]), workers=len(asked["cores"]), scheduler=asked["scheduler"],
        say=lambda step: said.append(time.perf_counter()),
    )
    end = time.perf_counter()
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    used = sum(os.times()[:4])
    print(json.dumps({"whole_s": end - begin, "parts_s": said[-2] - said[0], "write_s": end - said[-2],
                      "rows": answer.rows, "peak_mib": peak / 1024, "used_s": used}))
"""


def studied(kind: str, draws: int, cores: int, scheduler: str | None = None) -> dict[str, float]:
    """Run one study on so many cores and return its times, s, its rows and the greatest memory of a process, MiB."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "study.toml").write_text(f'machine = "fox600"\ndraws = {draws}\n{HEADS[kind]}', "utf-8")
        (folder / "program.py").write_text(PROGRAM, "utf-8")
        held = sorted(os.sched_getaffinity(0))[:cores]
        asked = {
            "file": str(folder / "study.toml"), "out": str(folder / "out"), "cores": held, "scheduler": scheduler
        }  # fmt: skip
        run = [sys.executable, str(folder / "program.py"), json.dumps(asked)]
        told = subprocess.run(run, check=True, capture_output=True, text=True, cwd=ROOT)
    found: dict[str, float] = json.loads(told.stdout)
    return found


def least(*asked: tuple[str, int, int, str | None], turns: int = TURNS) -> list[dict[str, float]]:
    """Run several studies by turns and return the quickest of each."""
    runs = [[studied(*one) for one in asked] for _ in range(turns)]
    return [min((turn[number] for turn in runs), key=lambda run: run["whole_s"]) for number in range(len(asked))]


def said(run: dict[str, float]) -> str:
    """Say a run in one line."""
    return (
        f"{run['rows']} in {run['whole_s']:.2f} s ({run['rows'] / run['whole_s']:.0f} a second), of which parts "
        f"{run['parts_s']:.2f} s, answer and files {run['write_s']:.2f} s; processor {run['used_s']:.2f} s; "
        f"{run['peak_mib']:.0f} MiB"
    )


def on_cores(kind: str, draws: int) -> None:
    """One core against two."""
    one, two = least((kind, draws, 1, None), (kind, draws, 2, None))
    print(f"{kind}: one core: {said(one)}\n{kind}: two cores: {said(two)}")
    ratios = [one[part] / two[part] for part in ("whole_s", "parts_s")]
    print(f"{kind}: two cores are {ratios[0]:.2f} times as quick, {ratios[1]:.2f} times in the parts", flush=True)


def time_cores() -> None:
    """Bail-outs."""
    for draws in BAIL_OUTS:
        on_cores("bail_out", draws)


def time_flights() -> None:
    """Whole flights of which the peaks are kept; a sensitivity study takes draws times (inputs + 2) machines."""
    on_cores("peaks", 2 ** round(np.log2(FLIGHTS / 4)))


def time_dask() -> None:
    """Plans of drawn machines: parts of about a second, two workers each."""
    own, dask = least(("plan", PLANS, 2, None), ("plan", PLANS, 2, "local"))
    print(f"own processes: {said(own)}\nDask: {said(dask)}")
    print(f"Dask takes {dask['whole_s'] / own['whole_s'] - 1:+.1%} of the time more", flush=True)


def time_line() -> None:
    """Cost against the number of bail-outs: a straight line, and the slope of its logarithms."""
    runs = [least(("bail_out", draws, 2, None), turns=1 if draws > 100_000 else TURNS)[0] for draws in LINE]
    for run in runs:
        print(said(run), flush=True)
    for part in ("whole_s", "used_s"):
        times = np.array([run[part] for run in runs])
        weights = 1.0 / times
        slope, start = np.polyfit(LINE, times, 1, w=weights)
        off = np.abs((start + slope * np.array(LINE)) / times - 1.0)
        logs = np.polyfit(np.log10(LINE), np.log10(times - start), 1)[0] if np.all(times > start) else np.nan
        raw = np.polyfit(np.log10(LINE[1:]), np.log10(times[1:]), 1)[0]
        print(
            f"{part}: {start:.2f} s + {1e6 * slope:.1f} us each, off by at most {off.max():.1%}; "
            f"slope of the logarithms {logs:.3f} above the start, {raw:.3f} from ten thousand on as measured"
        )


def main() -> None:
    """Run the parts that are named."""
    studied("bail_out", 10, 2)
    studied("plan", 2, 1)
    parts = {"cores": time_cores, "flights": time_flights, "dask": time_dask, "line": time_line}
    for part in sys.argv[1:] or list(parts):
        parts[part]()


if __name__ == "__main__":
    main()
