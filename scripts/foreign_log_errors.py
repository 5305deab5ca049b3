"""Judge foreign logs of hidden flights by the public command and print what came out wrong, worst first.

Run from the root of the repository: python scripts/foreign_log_errors.py [LOGS] [FIRST] [--write]
--write puts the table into docs/judge.md between its marks.
"""

import contextlib
import io
import json
import os
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from scripts.verdict_table import verdict_rows
from tests.naive.foreign_flight import Flight, flight_of, machine_file
from tests.naive.foreign_log import Foreign, foreign_log
from tests.naive.foreign_truth import truth_of

PAGE = Path(__file__).resolve().parents[1] / "docs" / "judge.md"
BEGIN, END = "<!-- foreign table: begin -->", "<!-- foreign table: end -->"


@dataclass
class Counts:
    """What came out: (check, true, said) to a count, and every miss in words."""

    verdicts: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    lines: dict[str, list[str]] = field(
        default_factory=lambda: {
            kind: [] for kind in ("passed", "alarms", "misread", "off", "refused", "not shown", "unknown")
        }
    )
    columns: int = 0
    windows: int = 0


def by_command(machine: Path, log: Path) -> tuple[int, str, str]:
    """Return exit status, output and error text of `steadyhead judge MACHINE LOG --json`."""
    from steadyhead.cli.main import app

    out, err, status = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            app(["judge", str(machine), str(log), "--json"], standalone_mode=False)
        except SystemExit as end:
            status = int(end.code or 0)
        except Exception as error:  # noqa: BLE001 - whatever escapes the command is a miss to be listed
            status = 70
            err.write(repr(error))
    return status, out.getvalue(), err.getvalue()


def try_log(counts: Counts, seed: int, folder: Path) -> None:
    """Judge one foreign log and compare every verdict with what is true."""
    flight = flight_of(seed)
    log = foreign_log(flight, seed)
    path, machine = folder / f"foreign-{seed}", folder / "machine.toml"
    path.write_bytes(log.data)
    machine.write_text(machine_file(flight), "utf-8")
    said = f"log {seed} ({flight.fault}; {', '.join(log.dirt)})"
    status, out, err = by_command(machine, path)
    path.unlink()
    if not out.strip().startswith("{"):
        counts.lines["refused"].append(f"{said}: {status}: {' '.join((err or out).split())}")
        return
    answer = json.loads(out)
    if "checks" not in answer:
        counts.lines["refused"].append(f"{said}: {status}: {' '.join(out.split())[:400]}")
        return
    compare_columns(counts, log, answer, said)
    compare_speeds(counts, flight, answer, said)
    compare(counts, flight, log, answer, said)


def compare_speeds(counts: Counts, flight: Flight, answer: dict[str, Any], said: str) -> None:
    """Say where speed or voltage of a steady window are off: a wrong unit or scale, or faulty values."""
    when, head = flight.true["time"], flight.true["head"]
    for window in answer["steady"]:
        true = head[(when >= window["start_s"]) & (when <= window["end_s"])]
        if window["end_s"] > when[-1] or not true.size:
            continue
        counts.windows += 1
        volts = window["pack_voltage_mean_v"]
        true_v = flight.true["volt"][(when >= window["start_s"]) & (when <= window["end_s"])].mean()
        if volts is not None and abs(volts / float(true_v) - 1.0) > 0.03:
            counts.lines["off"].append(f"{said}: pack voltage {volts:.1f} V, true {float(true_v):.1f} V")
        if abs(window["mean_rpm"] / float(true.mean()) - 1.0) > 0.01:
            counts.lines["off"].append(
                f"{said}: mean of {window['start_s']:.1f} to {window['end_s']:.1f} s is {window['mean_rpm']:.0f} rpm, "
                f"true {float(true.mean()):.0f}"
            )


def compare_columns(counts: Counts, log: Foreign, answer: dict[str, Any], said: str) -> None:
    """Say which columns were taken for something else, or left out."""
    got = {each["channel"]: each["heading"] for each in answer["columns"]}
    for heading, channel in log.holds.items():
        counts.columns += 1
        if heading.casefold() not in got.get(channel, "").casefold():
            instead = [name for name, text in got.items() if heading.casefold() in text.casefold()]
            counts.lines["misread"].append(f"{said}: {heading!r} is {channel}, read as {instead or 'nothing'}")
    for channel, heading in got.items():
        known = any(h.casefold() in heading.casefold() for h in log.holds) or "cell" in heading
        if not known:
            counts.lines["misread"].append(f"{said}: {channel} read from {heading!r}")


def compare(counts: Counts, flight: Flight, log: Foreign, answer: dict[str, Any], said: str) -> None:
    """Count each verdict against the truth."""
    truth = truth_of(flight)
    truth["cell_voltage"] = truth.pop("cell_voltage, weakest logged") if log.cells_logged else truth["cell_voltage"]
    for check in answer["checks"]:
        true, figure = truth.get(check["check"], ("borderline", None))
        if true == "borderline" or (true == "not_exercised" and log.twice):
            continue
        verdict = check["verdict"]
        counts.verdicts[check["check"], true, verdict] += 1
        shown = "" if figure is None else f" {figure:.3g}"
        words = f"{said}: {check['check']} true {true}{shown}: {check['reason']}"
        kinds = {("fail", "pass"): "passed", ("pass", "fail"): "alarms", ("pass", "unknown"): "unknown"}
        kind = kinds.get((true, verdict))
        kind = "not shown" if true == "not_exercised" and verdict != "unknown" else kind
        if kind:
            counts.lines[kind].append(words)


def table(counts: Counts, logs: int) -> str:
    """Return the counts as Markdown, misses first."""
    wrong = len(counts.lines["misread"])
    said = (
        f"{logs} logs, {len(counts.lines['refused'])} of them not read without a question or at all; "
        f"of {counts.columns} columns {wrong} were left out or taken for something else; of {counts.windows} steady "
        f"windows {len(counts.lines['off'])} have a head speed more than 1 % off or a pack voltage more than 3 %."
    )
    return "\n".join([said, "", *verdict_rows(counts.verdicts)])


def main() -> None:
    """Print the table and every miss, or write the table into the page."""
    words = [word for word in sys.argv[1:] if not word.startswith("-")]
    logs = int(words[0]) if words else 120
    first = int(words[1]) if len(words) > 1 else 0
    counts = Counts()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CONFIG_HOME"] = folder
        for seed in range(first, first + logs):
            try_log(counts, seed, Path(folder))
    text = table(counts, logs)
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        PAGE.write_text(f"{before}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}", "utf-8")
    print(text)
    for title, lines in counts.lines.items():
        print(f"\n{title}: {len(lines)}")
        for line in lines:
            print(f"- {line}")


if __name__ == "__main__":
    main()
