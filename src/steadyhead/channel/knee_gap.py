"""What a law with a flat end leaves open between its last reading on the slope and its first on the flat.

There the readings do not show where the bend is, nor how softly: a sharp knee is only the least that is asked.
"""

import numpy as np

from steadyhead.channel.line_fit import Points
from steadyhead.channel.result import Interval


def softest_rpm(positions: Points, gap: Interval, percent: float, factor: float, *, ceiling: bool) -> float | None:
    """Head speed of the softest bend at a position in the gap, rpm; None outside the gap.

    chord = straight from the reading at one end of the gap to that at the other, each at the end of its interval
    Valid: a law that bends one way: under a ceiling it lies above that chord, over a floor below it.
    Source: chord of a concave or convex function, common to analysis textbooks.
    """
    if not gap[0] <= percent <= gap[1]:
        return None
    reach = factor * positions.deviation_rpm
    ends = positions.rpm - reach if ceiling else positions.rpm + reach
    return float(np.interp(percent, positions.percent, ends))


def gap_about(positions: Points, knee_percent: float) -> Interval:
    """Return the two positions read that lie next to the knee, one on each side, percent.

    Valid: the knee lies between two positions read.
    """
    upper = int(np.clip(np.searchsorted(positions.percent, knee_percent), 1, positions.percent.size - 1))
    return float(positions.percent[upper - 1]), float(positions.percent[upper])
