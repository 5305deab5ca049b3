"""How often a channel really brings a new value, where a logger writes rows more often than a sensor speaks."""

from collections.abc import Mapping

import numpy as np

from steadyhead.trace.trace import Series

SLOWER = 1.5
"""A channel is slower than the rows when its values come this many rows apart or more."""
FEWEST_CHANGES = 20
MOST_ROWS = 200_000
"""Rows that are enough to tell it, from the middle of the log."""
QUICK_SHARE = 0.1
"""Of all changes, the share that may follow each other from row to row in a channel that repeats; own choice."""


def own_intervals_s(channels: Mapping[str, Series | None], time_s: Series, interval_s: float) -> dict[str, float]:
    """Return, for each channel slower than the rows, the time between its own values, s.

    Blank cells tell it by the values between them; repeated values by how soon after a change the next one comes, which
    a channel slower than the rows hardly ever does in the next row. A channel that changes too seldom to tell, as a
    switch does, is taken to be as slow as the slowest of those that repeat.
    Shapes: each channel (n,), NaN where nothing is written; time_s (n,).
    Valid: rows at a nearly even beat; a coarse value that moves slowly may look slower than it is.
    """
    begin = max(0, (time_s.size - MOST_ROWS) // 2)
    rows = slice(begin, begin + MOST_ROWS)
    slow: dict[str, float] = {}
    repeats: list[float] = []
    untold = []
    for name, whole in channels.items():
        if whole is None:
            continue
        values = whole[rows]
        seen = np.isfinite(values)
        if not seen.all():
            stamps = time_s[rows][seen]
            own = float(np.median(np.diff(stamps))) if stamps.size > FEWEST_CHANGES else 0.0
            if own > SLOWER * interval_s:
                slow[name] = own
                continue
        changed = np.flatnonzero(values[1:] != values[:-1])
        if changed.size < FEWEST_CHANGES:
            untold.append(name)
            continue
        apart = np.diff(changed)
        if float(np.mean(apart == 1)) <= QUICK_SHARE:
            own = float(np.quantile(apart, 0.25)) * interval_s
            if own > SLOWER * interval_s:
                slow[name] = own
                repeats.append(own)
    return slow | dict.fromkeys(untold, max(repeats)) if repeats else slow
