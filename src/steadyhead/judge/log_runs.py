"""Parts a log into the runs of its logger: nothing that is measured may reach over a seam between two of them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from steadyhead.judge.levels import GOES_ON_SHARE, SPEEDS, level_before, level_from, turns_on
from steadyhead.trace.trace import Series, Trace

GAP_S = 60.0
"""Rows missing for so long: a landing, another pack and the next start may lie between; own choice."""
FEWEST_ROWS = 4
"""Fewer rows between two seams are no run but faults of the clock; own choice."""
SAMPLES = 20_000
LOOK_S = (0.5, 2.0, 5.0)
"""Channels are compared over the shortest of these in which they show anything: a sensor may stand still there."""
FALLS_MAH = 20.0
"""A charge counter that falls by more belongs to another run; own choice."""


def runs_of(trace: Trace) -> tuple[Trace, ...]:
    """Return the runs that a file holds, in order, on its one time; the trace itself where it holds one.

    A seam is where the clock of the file began anew or was set, or where rows are missing for a minute. A head that
    turns on at its speed over it, with a pack and a channel that stay as they were, says that only the clock jumped.
    """
    time_s = trace.time_s
    rows = {int(row) for row in time_s.searchsorted(np.asarray(trace.seams_s) - 1e-9)} if trace.seams_s else set()
    rows |= set(_gaps(time_s))
    seams = sorted(row for row in rows if 0 < row < time_s.size and not _goes_on(trace, row))
    if not seams:
        return (trace,)
    spans = [(first, stop) for first, stop in pairwise((0, *seams, time_s.size)) if stop - first >= FEWEST_ROWS]
    return tuple(_rows(trace, first, stop) for first, stop in spans) or (trace,)


def seam_words(runs: Sequence[Trace], done: str = "judged") -> tuple[str, ...]:
    """Return a sentence that says where a file was parted, and what is `done` with each run; none for one run."""
    if len(runs) < 2:
        return ()
    times = ", ".join(f"{float(run.time_s[0]):.0f} s" for run in runs[1:4])
    more = f" and {len(runs) - 4} times more" if len(runs) > 4 else ""
    return (f"the file holds {len(runs)} runs of the logger, parted at {times}{more}: each is {done} by itself",)


def _gaps(time_s: Series) -> list[int]:
    if time_s.size < 2 or time_s[-1] - time_s[0] < GAP_S:
        return []
    every = max(1, time_s.size // SAMPLES)
    some = np.append(time_s[::every], time_s[-1])
    wide = np.flatnonzero(np.diff(some) >= GAP_S).tolist()
    return [
        at * every + int(row) + 1
        for at in wide
        for row in np.flatnonzero(np.diff(time_s[at * every : (at + 1) * every + 1]) >= GAP_S)
    ]


def _goes_on(trace: Trace, row: int) -> bool:
    name = next((name for name in SPEEDS if trace.has(name)), None)
    if name is None:
        return False
    if not turns_on(*_levels(trace, name, row)):
        return False
    charge = _levels(trace, "charge_used_mah", row)
    if charge[1] < charge[0] - FALLS_MAH:
        return False
    return all(_alike(*_levels(trace, name, row)) for name in ("throttle_percent", "pack_voltage_v"))


def _alike(before: float, after: float) -> bool:
    """Whether two levels are the same; a channel that shows neither says nothing."""
    return not abs(after - before) > GOES_ON_SHARE * max(abs(before), 1.0)


def _levels(trace: Trace, name: str, row: int) -> tuple[float, float]:
    """Return the level of a channel just before a row and from it on; NaN where it has none."""
    found = (float("nan"), float("nan"))
    for look_s in LOOK_S:
        found = level_before(trace, name, row, look_s), level_from(trace, name, row, look_s)
        if all(np.isfinite(found)):
            break
    return found


def _rows(trace: Trace, first: int, stop: int) -> Trace:
    part = slice(first, stop)
    return replace(
        trace,
        time_s=trace.time_s[part],
        channels={name: values[part] for name, values in trace.channels.items()},
        row=trace.row[part],
        rows_read=stop - first,
        seams_s=(),
    )
