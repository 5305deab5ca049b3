"""Stretches in which a channel shows nothing: rows lost, cells empty, a frozen sensor. A line there proves nothing."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.parts import large_steps
from steadyhead.trace.trace import Series

Holes = NDArray[np.float64]
"""Begin and end of each hole, s. Shapes: (m, 2), in the order of time."""
HOLE_S = 0.25
HOLE_ROWS = 3.5
"""What is shorter than a quarter of a second, or than three rows, hides nothing that the judge measures; own choice."""


def holes_of(time_s: Series, values: Series | None, interval_s: float) -> Holes:
    """Return the holes of a channel, those of the log itself among them.

    Shapes: time_s (n,), values (n,) -> (m, 2).
    Valid: time increasing; without values only the gaps between rows.
    """
    stamps = time_s if values is None else time_s[np.isfinite(values)]
    wide = large_steps(stamps, max(HOLE_S, HOLE_ROWS * interval_s))
    return np.column_stack([stamps[wide], stamps[wide + 1]])


def holes_and_ends(time_s: Series, values: Series, interval_s: float) -> Holes:
    """Return the holes of a channel, and those before its first and behind its last value that are as long.

    Shapes: time_s (n,), values (n,) -> (m, 2).
    """
    known = np.flatnonzero(np.isfinite(values))
    if not known.size:
        return np.array([[time_s[0], time_s[-1]]])
    ends = np.array([[time_s[0], time_s[known[0]]], [time_s[known[-1]], time_s[-1]]])
    long = np.diff(ends)[:, 0] > max(HOLE_S, HOLE_ROWS * interval_s)
    return np.concatenate((ends[:1][long[:1]], holes_of(time_s, values, interval_s), ends[1:][long[1:]]))


def longest_hole_s(holes: Holes, start_s: float, end_s: float) -> float:
    """Return the length of the longest hole that reaches into a span, s; 0 when none does."""
    first = int(holes[:, 1].searchsorted(start_s, side="right"))
    stop = int(holes[:, 0].searchsorted(end_s, side="left"))
    inside = holes[first:stop]
    return float((inside[:, 1] - inside[:, 0]).max(initial=0.0))
