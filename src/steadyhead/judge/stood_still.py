"""Where a channel shows no measurement: values missing, or one value that stands while the channel moves elsewhere."""

from math import ceil

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.holes import Holes, holes_of
from steadyhead.judge.parts import AT_ONCE, long_runs
from steadyhead.judge.signals import all_finite
from steadyhead.trace.frozen import CHANCE, FEWEST_ROWS, NEAR_S, restless
from steadyhead.trace.trace import Series

STILL_S, STILL_ROWS = 0.4, 6
"""A value that stands for less hides no load; own choice."""
LONG_S = 10.0
"""A coarse value that only dithers between two steps may stand through one hard load, not for so long; own choice."""


def missing_spans(time_s: Series, values: Series, interval_s: float) -> Holes:
    """Return the holes of a channel, and what is missing before its first and behind its last value.

    Shapes: time_s (n,), values (n,) -> (m, 2).
    Valid: `interval_s` is the time between the channel's own values.
    """
    stamps = time_s if all_finite(values) else time_s[np.isfinite(values)]
    if not stamps.size:
        return np.array([[time_s[0], time_s[-1]]])
    ends = np.array([[time_s[0], stamps[0]], [stamps[-1], time_s[-1]]])
    spans = np.concatenate((ends[:1], holes_of(stamps, None, interval_s), ends[1:]))
    return spans[spans[:, 1] > spans[:, 0]]


def still_spans(time_s: Series, values: Series) -> Holes:
    """Return the spans in which a channel repeats one value for longer than it does by chance near by.

    A sensor, or the logger's scale, came to its end, or froze. One that never moves at all stands still, too.
    Equation: q ^ n < 1e-6, q the larger share of still rows in the 3 s before and after, n the rows of the run.
    Shapes: time_s (n,), values (n,) -> (m, 2).
    Valid: a channel that shows its own noise; one that is coarse or slow stands still by itself, and is believed for
    LONG_S.
    """
    whole = all_finite(values)
    known = None if whole else np.isfinite(values)
    stamps, seen = (time_s, values) if known is None else (time_s[known], values[known])
    if seen.size <= STILL_ROWS:
        return np.empty((0, 2))
    still = seen[1:] == seen[:-1]
    first, last = long_runs(still, max(STILL_ROWS, ceil(STILL_S / _widest_step(stamps))))
    long = stamps[last] - stamps[first] >= STILL_S
    first, last = first[long], last[long]
    if not first.size:
        return np.empty((0, 2))
    before = _still_share(still, stamps.searchsorted(stamps[first] - NEAR_S), first)
    after = _still_share(still, last, np.minimum(stamps.searchsorted(stamps[last] + NEAR_S), still.size))
    share = np.fmax(before, after)
    share[(last - first) == still.size] = 0.0
    odd = share ** (last - first) < CHANCE  # without a neighbour (NaN) nothing is said
    runs = zip(first[odd].tolist(), last[odd].tolist(), strict=True)
    sure = [(a, b) for a, b in runs if stamps[b] - stamps[a] >= LONG_S or restless(seen, stamps, a, b)]
    return np.array([(stamps[a], stamps[b]) for a, b in sure], np.float64).reshape(-1, 2)


def stood_at(time_s: Series, values: Series, start_s: float, end_s: float) -> float | None:
    """Return the value at which a channel stood still for half of a span or more; None where it did not.

    Shapes: time_s (n,), values (n,).
    Valid: as for `still_spans`.
    """
    near = slice(*time_s.searchsorted((start_s - 2.0 * NEAR_S, end_s + 2.0 * NEAR_S)).tolist())
    for begin, end in still_spans(time_s[near], values[near]).tolist():
        if min(end, end_s) - max(begin, start_s) >= 0.5 * (end_s - start_s):
            return float(values[int(time_s.searchsorted(begin))])
    return None


def _widest_step(time_s: Series) -> float:
    """Return the longest time from one row to the next, s. Shapes: (n,)"""
    return max(float(np.diff(time_s[k : k + AT_ONCE + 1]).max()) for k in range(0, time_s.size - 1, AT_ONCE))


def _still_share(still: NDArray[np.bool_], begin: NDArray[np.int64], end: NDArray[np.int64]) -> Series:
    """Return the share of still rows in each part, less one row at its ends; NaN where it has too few."""
    rows = end - begin
    total = [np.count_nonzero(still[a:b]) for a, b in zip(begin.tolist(), end.tolist(), strict=True)]
    share = (np.array(total) + 1.0) / (rows + 2.0)
    return np.where(rows > FEWEST_ROWS, share, np.nan)
