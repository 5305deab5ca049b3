"""How often a channel really brings a new value, where a logger writes rows more often than a sensor speaks."""

from collections.abc import Mapping

import numpy as np

from steadyhead.trace.trace import Series

SLOWER = 1.5
"""A channel is slower than the rows when its values come this many rows apart or more."""
FEWEST_CHANGES = 20
MOST_ROWS = 200_000
"""Rows that are enough to tell it, from the middle of the log."""
POSITIONS = 12
"""A channel that comes back to so few values is moved by a switch: how long it stands tells of the hand; own choice."""
VISITS = 3.0
"""So often each of them, on average; a coarse sensor passes through its steps once or twice in a flight; own choice."""
ON_BEAT = 0.9
"""Of all spans between changes, the share that are whole numbers of one beat in a channel that has one; own choice."""
QUICK_SHARE = 0.1
"""Of all changes, the share that may follow each other from row to row in a channel that repeats; own choice."""

MOVES_PERCENT, FEWEST_ON_ITS_WAY = 1.2, 2
"""A step of a channel that is moved, and pairs of such steps in a row that show it quick; own choice."""
SLOW_CHANNEL_S = 1.0
"""Telemetry of one value a second is slow, yet in use; common practice, no source."""


def own_intervals_s(channels: Mapping[str, Series | None], time_s: Series, interval_s: float) -> dict[str, float]:
    """Return, for each channel slower than the rows, the time between its own values, s.

    Blank cells tell it by the values between them; repeated values by how soon after a change the next one comes, which
    a channel slower than the rows hardly ever does in the next row. A channel that changes too seldom to tell, or
    moves between a few positions without a beat, as by a switch, is taken to be as slow as the slowest of those that
    repeat.
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
        apart = np.diff(changed)
        if changed.size < FEWEST_CHANGES or _is_switch(values[changed + 1], apart):
            untold.append(name)
            continue
        if float(np.mean(apart == 1)) <= QUICK_SHARE:
            own = float(np.quantile(apart, 0.25)) * interval_s
            if own > SLOWER * interval_s:
                slow[name] = own
                repeats.append(own)
    return slow | dict.fromkeys(untold, max(repeats)) if repeats else slow


def slowest_beat_s(throttle: Series | None) -> float:
    """Return how slow a throttle channel may be whose beat its few changes do not tell, s; 0 where it is shown quick.

    One that is seen on its way in row after row is as quick as the rows; one that leaps may be read once a second.
    Shapes: throttle (n,).
    """
    if throttle is None:
        return 0.0
    moved = np.abs(np.diff(throttle)) > MOVES_PERCENT
    on_its_way = int(np.count_nonzero(moved[1:] & moved[:-1]))
    return 0.0 if on_its_way >= FEWEST_ON_ITS_WAY else SLOW_CHANNEL_S


def _is_switch(reached: Series, apart: np.ndarray[tuple[int], np.dtype[np.int64]]) -> bool:
    """Whether a channel comes back to a few positions, and not on a beat. Shapes: reached (n,), apart (n - 1,) rows."""
    levels = np.unique(reached[np.isfinite(reached)]).size
    if levels > POSITIONS or reached.size < VISITS * levels:
        return False
    beat = float(np.quantile(apart, 0.25))
    off_beat = np.abs(apart - beat * np.round(apart / beat))
    return float(np.mean(off_beat <= 1.0)) < ON_BEAT
