"""Times reading and judging a log of two million rows against a plain table library merely reading it.

Run by hand: python speed/judge_log.py [rows] [--one]. The log repeats an invented flight end to end, in 12 columns with
the time.
With --one it is one long flight at 1000 rows a second: its hover with two climb-outs goes round and round.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from tests.naive.drive_log import Drive, fly, logged
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight

HEADINGS = (
    "time (s),head speed (rpm),throttle (%),duty (%),pack voltage (V),current (A),height (m),collective (deg),"
    "charge used (mAh),controller temperature (°C),motor temperature (°C),link quality (%)"
)

ROUNDS = 7
HOVER_S = (46.0, 68.5)
"""A hover with one climb-out, from just before it to just before the next."""


def flights(rows: int) -> tuple[float, dict[str, np.ndarray]]:
    """Return flights one after another: seconds a row, columns."""
    time_s, columns = logged(fly(Drive(), flight()), 100.0)
    times = -(-rows // time_s.size)
    return 0.01, {name: np.tile(values, times)[:rows] for name, values in columns.items()}


def one_flight(rows: int) -> tuple[float, dict[str, np.ndarray]]:
    """Return one flight whose hover goes round until the rows are full: seconds a row, columns."""
    time_s, columns = logged(fly(Drive(), flight()), 200.0)
    first, last = np.searchsorted(time_s, HOVER_S)
    rounds = (rows // 5 - time_s.size) // (last - first)
    order = np.concatenate([np.arange(last), np.tile(np.arange(first, last), rounds), np.arange(last, time_s.size)])
    at = np.arange(rows) * (order.size - 1) / (rows - 1)
    rng = np.random.default_rng(3)
    filled = {name: np.interp(at, np.arange(order.size), values[order]) for name, values in columns.items()}
    for name, noise in (("head", 1.0), ("volt", 0.01), ("amp", 0.2)):
        filled[name] += noise * rng.standard_normal(rows)
    return 0.001, filled


def write_log(path: Path, rows: int, *, one: bool = False) -> None:
    """Write the log."""
    every_s, columns = one_flight(rows) if one else flights(rows)
    table = [np.arange(rows) * every_s]
    for name, factor in (("head", 1), ("throttle", 1), ("duty", 100), ("volt", 1), ("amp", 1), ("height", 1)):
        table.append(columns[name] * factor)
    table.append(columns["collective"])
    table.append(np.cumsum(columns["amp"]) * every_s / 3.6)
    table.extend(np.full(rows, value) for value in (31.0, 52.0, 97.0))
    form = "%.3f,%.0f,%.1f,%.1f,%.2f,%.1f,%.1f,%.1f,%.0f,%.0f,%.0f,%.0f"
    with path.open("w", encoding="utf-8") as file:
        file.write(HEADINGS + "\n")
        np.savetxt(file, np.column_stack(table), fmt=form)


def timed(path: Path) -> tuple[float, float, Judgement]:
    """Return the seconds that reading and judging took, and the judgement."""
    begin = time.perf_counter()
    trace = read_trace(path, gearing=Gearing(MACHINE.gear_ratio, MACHINE.pole_pairs, float(MACHINE.cells)))
    middle = time.perf_counter()
    judged = judge(MACHINE, trace)
    return middle - begin, time.perf_counter() - middle, judged


def main() -> None:
    """Print the medians of alternating runs, so that a busy machine slows both alike."""
    numbers = [word for word in sys.argv[1:] if word.isdecimal()]
    rows = int(numbers[0]) if numbers else 2_000_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        write_log(path, rows, one="--one" in sys.argv)
        print(f"{rows} rows, {path.stat().st_size / 1e6:.0f} MB")
        _, _, judged = timed(path)
        print(f"{len(judged.segments)} segments, {len(judged.events)} loads, {len(judged.steady)} steady windows")
        print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.0f} MB")
        import pandas as pd

        runs = []
        for _ in range(ROUNDS):
            used = time.process_time()
            reading, judging, _ = timed(path)
            ours = time.process_time() - used
            begin, used = time.perf_counter(), time.process_time()
            pd.read_csv(path)
            runs.append((reading, judging, time.perf_counter() - begin, ours, time.process_time() - used))
        reading, judging, table = (median(run[k] for run in runs) for k in range(3))
        ratios = [(run[0] + run[1]) / run[2] for run in runs]
        print(f"read {reading:.2f} s, judge {judging:.2f} s, pandas merely reading {table:.2f} s (medians)")
        work = [run[3] / run[4] for run in runs]
        print(f"processor time over that of pandas: {median(work):.2f} ({min(work):.2f} to {max(work):.2f})")
        print(f"read and judged in {median(ratios):.2f} of the time of pandas ({min(ratios):.2f} to {max(ratios):.2f})")


if __name__ == "__main__":
    main()
