"""Times reading and judging a log of two million rows against a plain table library merely reading it.

Run by hand: python speed/judge_log.py [rows]. The log repeats an invented flight end to end; 12 columns with the time.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from steadyhead.judge.judging import judge
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from tests.naive.drive_log import Drive, fly, logged
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight

HEADINGS = (
    "time (s),head speed (rpm),throttle (%),duty (%),pack voltage (V),current (A),height (m),collective (deg),"
    "charge used (mAh),controller temperature (°C),motor temperature (°C),link quality (%)"
)


def write_log(path: Path, rows: int) -> None:
    """Write the log: 100 rows a second, flights one after another."""
    time_s, columns = logged(fly(Drive(), flight()), 100.0)
    times = -(-rows // time_s.size)
    table = [np.arange(rows) * 0.01]
    for name, factor in (("head", 1), ("throttle", 1), ("duty", 100), ("volt", 1), ("amp", 1), ("height", 1)):
        table.append(np.tile(columns[name] * factor, times)[:rows])
    table.append(np.tile(columns["collective"], times)[:rows])
    table.append(np.cumsum(table[5]) * 0.01 / 3.6 / times)
    table.extend(np.full(rows, value) for value in (31.0, 52.0, 97.0))
    form = "%.2f,%.0f,%.1f,%.1f,%.2f,%.1f,%.1f,%.1f,%.0f,%.0f,%.0f,%.0f"
    with path.open("w", encoding="utf-8") as file:
        file.write(HEADINGS + "\n")
        np.savetxt(file, np.column_stack(table), fmt=form)


def main() -> None:
    """Print the best of three of each."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000_000
    gearing = Gearing(MACHINE.gear_ratio, MACHINE.pole_pairs, float(MACHINE.cells))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        write_log(path, rows)
        print(f"{rows} rows, {path.stat().st_size / 1e6:.0f} MB")
        reading, judging = [], []
        for _ in range(3):
            begin = time.perf_counter()
            trace = read_trace(path, gearing=gearing)
            middle = time.perf_counter()
            judged = judge(MACHINE, trace)
            reading.append(middle - begin)
            judging.append(time.perf_counter() - middle)
        print(f"read {min(reading):.2f} s, judge {min(judging):.2f} s, together {min(reading) + min(judging):.2f} s")
        print(f"{len(judged.segments)} segments, {len(judged.events)} loads, {len(judged.steady)} steady windows")
        print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.0f} MB")
        import pandas as pd

        table_reading = []
        for _ in range(3):
            begin = time.perf_counter()
            pd.read_csv(path)
            table_reading.append(time.perf_counter() - begin)
        print(f"pandas merely reading {min(table_reading):.2f} s")


if __name__ == "__main__":
    main()
