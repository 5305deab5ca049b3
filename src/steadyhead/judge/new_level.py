"""Where a head comes to rest under load: steadily below the speed before, as a governor with droop holds it."""

import numpy as np

from steadyhead.judge.pieces import mean
from steadyhead.trace.trace import Series

CREEPS_PER_S = 0.2
"""A head that makes good, or loses, more than so much of its droop a second is still on its way; one that would need
5 s or more is at rest there for any climb; own choice."""
FEWEST_ROWS = 6


def level_under_load(time_s: Series, speed: Series, before: float, half_band: float) -> float | None:
    """Return the speed at which a head stands still below the band about the speed before, rpm; None elsewhere.

    Equation: y1, y2 the means of both halves of the rows, each less the speed before, t2 - t1 the time between their
    middles; at rest where |y2 - y1| <= CREEPS_PER_S (t2 - t1) |y1 + y2| / 2.
    Shapes: time_s (n,), speed (n,), the last part of a load -> scalar.
    Valid: half of the rows or more lie below the band.
    """
    count = speed.size
    if count < FEWEST_ROWS or 2 * int(np.count_nonzero(before - speed > half_band)) < count:
        return None
    half = count // 2
    early, late = mean(speed[:half]) - before, mean(speed[half:]) - before
    apart_s = mean(time_s[half:]) - mean(time_s[:half])
    off = 0.5 * (early + late)
    return before + off if abs(late - early) <= CREEPS_PER_S * apart_s * abs(off) else None
