"""How long reading a large log takes, against pandas merely reading the same file, in one run.

    python speed/read_log.py            2,000,000 rows of 12 columns, invented
    python speed/read_log.py 200000     fewer rows

The first reading of this tool compiles its quick reader when no compiled one is kept; it is shown apart.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

ROUNDS = 5


def invented_log(path: Path, rows: int) -> None:
    """Write a log of 12 columns: a spool-up, hover, and a tremble on everything; all of it invented."""
    draw = np.random.default_rng(20)
    time_s = np.arange(rows) * 0.01
    run = np.clip(time_s / 12.0, 0.0, 1.0)
    pl.DataFrame(
        {
            "time (s)": np.round(time_s, 2),
            "head speed (rpm)": np.round(2100.0 * run + draw.normal(0, 3, rows)).astype(np.int64),
            "throttle (%)": np.round(70.0 * (time_s > 1.0), 1),
            "duty (%)": np.round(75.0 * run + draw.normal(0, 0.5, rows), 1),
            "pack voltage (V)": np.round(50.0 - 3.0 * time_s / time_s[-1] + draw.normal(0, 0.1, rows), 2),
            "current (A)": np.round(np.abs(25.0 * run + draw.normal(0, 2, rows)), 1),
            "charge used (mAh)": np.round(4000.0 * time_s / time_s[-1]).astype(np.int64),
            "controller temperature (°C)": np.round(20.0 + 20.0 * run),
            "motor temperature (°C)": np.round(20.0 + 50.0 * run),
            "height (m)": np.round(20.0 * run + draw.normal(0, 0.2, rows), 1),
            "collective (deg)": np.round(3.0 + draw.normal(0, 1, rows), 1),
            "link quality (%)": np.round(96.0 + draw.normal(0, 1, rows)),
        }
    ).write_csv(path)


def best_of(rounds: int, work: Callable[[], object]) -> tuple[float, float]:
    """Return the least wall time and the least processor time of several rounds, s."""
    wall, cpu = [], []
    for _ in range(rounds):
        start, start_cpu = time.perf_counter(), time.process_time()
        work()
        wall.append(time.perf_counter() - start)
        cpu.append(time.process_time() - start_cpu)
    return min(wall), min(cpu)


def main() -> None:
    """Time both readers by turns and print their ratio."""
    import pandas as pd

    from steadyhead.trace.gearing import Gearing
    from steadyhead.trace.reading import read_trace

    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.csv"
        invented_log(path, rows)
        print(f"{rows} rows, 12 columns, {path.stat().st_size / 2**20:.0f} MiB")
        ours: Callable[[], object] = lambda: read_trace(path, gearing=Gearing(9.0, 5.0, 12.0))  # noqa: E731
        first, _ = best_of(1, ours)
        theirs, theirs_cpu = best_of(ROUNDS, lambda: pd.read_csv(path))
        again, again_cpu = best_of(ROUNDS, ours)
    print(f"pandas.read_csv        {theirs:.3f} s   processor {theirs_cpu:.3f} s")
    print(f"read_trace, first      {first:.3f} s   (loads or compiles the quick reader)")
    print(f"read_trace, again      {again:.3f} s   processor {again_cpu:.3f} s")
    print(f"ratio to pandas        {again / theirs:.2f}")
    print(f"most memory used       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB (both readers)")


if __name__ == "__main__":
    main()
