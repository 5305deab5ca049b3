"""Looks at governed running that is neither plain nor a hard load, where no collective tells what it was."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from steadyhead.judge.governing import speed_band_percent
from steadyhead.judge.hunting import Swing, swings
from steadyhead.judge.loads import Load
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import percentile
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import AFTER_LOAD_S, BLOCK_S, LEAVING_S, LONGEST_S, SETTLE_S, Calm
from steadyhead.trace.trace import Series

SHORTEST_S = 2.0
"""Long enough for four turns of a swing that a governor makes; own choice."""
FEWEST_ROWS = 16
FEW_PERCENT = 2.0
"""So many of the rows on either side may be faulty ones; own choice."""


class LeftOut(NamedTuple):
    """A part that no plain running covers: half its range, percent of the set speed, and its strongest line."""

    start_s: float
    end_s: float
    half_range_percent: float
    line: Swing | None


def left_out(
    signals: Signals, hard: Sequence[tuple[Stretch, Sequence[Load]]], windows: Sequence[Calm], owner: Owner
) -> tuple[LeftOut, ...]:
    """Return the parts of settled running that no window and no load covers and in which the head moved.

    Valid: nothing where the collective was logged: then the stick says why a part was no plain running.
    """
    speed = signals.speed_rpm
    if speed is None or signals.collective_deg is not None:
        return ()
    found = []
    for governed, found_loads in hard:
        if governed.set_rpm is None or governed.ramping:
            continue
        covered = [(w.start_s, w.end_s) for w in windows if governed.start_s <= w.start_s < governed.end_s]
        covered += [(load.start_s - BLOCK_S, load.end_s + AFTER_LOAD_S) for load in found_loads]
        begin_s = max(governed.start_s + SETTLE_S, governed.ready_s + 1.0)
        for start_s, end_s in _between(covered, begin_s, governed.end_s - LEAVING_S):
            part = signals.within(start_s, end_s)
            half = _half_range(speed, part, governed.set_rpm)
            if part.stop - part.start >= FEWEST_ROWS and half > owner.hunting_percent:
                found.append((start_s, end_s, half, part, governed.set_rpm))
    lines = swings(signals.time_s, speed, [f[3] for f in found], [f[4] for f in found])
    return tuple(
        LeftOut(start_s, end_s, half, line) for (start_s, end_s, half, _, _), line in zip(found, lines, strict=True)
    )


def _half_range(speed: Series, part: slice, set_rpm: float) -> float:
    rows = speed[part]
    if not rows.size:
        return 0.0
    low, high = (percentile(rows, p) for p in (FEW_PERCENT, 100.0 - FEW_PERCENT))
    return speed_band_percent(low, high, set_rpm) / 2.0


def _between(covered: list[tuple[float, float]], begin_s: float, end_s: float) -> list[tuple[float, float]]:
    """Return what is left between spans, in parts of SHORTEST_S to LONGEST_S."""
    free, at_s = [], begin_s
    for start_s, stop_s in sorted(covered):
        free.append((at_s, min(start_s, end_s)))
        at_s = max(at_s, stop_s)
    free.append((at_s, end_s))
    parts = []
    for start_s, stop_s in free:
        for first_s in np.arange(start_s, stop_s - SHORTEST_S, LONGEST_S).tolist():
            parts.append((first_s, min(first_s + LONGEST_S, stop_s)))
    return parts
