"""What a law that bends one way all along leaves open between two readings."""

import numpy as np

from steadyhead.channel.line_fit import Points, Series

FEWEST_POSITIONS = 4
"""Three slopes in a row that fall, or rise, make a bend that goes one way."""


def bend_of(positions: Points) -> int:
    """Sense of the bend: -1 where every next slope is flatter, +1 where steeper, 0 where neither holds throughout.

    Valid: one point for each position; with fewer than four the sense is not known.
    """
    if positions.percent.size < FEWEST_POSITIONS:
        return 0
    turns = np.diff(np.diff(positions.rpm) / np.diff(positions.percent))
    if np.all(turns < 0.0):
        return -1
    return 1 if np.all(turns > 0.0) else 0


def bend_bounds_rpm(positions: Points, percent: float, factor: float, bend: int) -> tuple[float, float]:
    """Head speeds between which a law that bends one way must lie, rpm; infinite beyond the readings.

    flattening: above the chord of the two neighbours, below both neighbouring chords drawn on · steepening: mirrored ·
    every reading at whichever end of its interval gives the wider bound
    Valid: `bend` is not 0; at the outer gaps only one neighbouring chord bounds it.
    Source: chords of a convex function, common to analysis textbooks.
    """
    if not positions.percent[0] <= percent <= positions.percent[-1]:
        return -np.inf, np.inf
    if bend > 0:
        low, high = bend_bounds_rpm(positions._replace(rpm=-positions.rpm), percent, factor, -bend)
        return -high, -low
    reach = factor * positions.deviation_rpm
    low_ends, high_ends = positions.rpm - reach, positions.rpm + reach
    at = int(np.clip(np.searchsorted(positions.percent, percent, side="right") - 1, 0, positions.percent.size - 2))
    if percent in positions.percent:
        here = int(np.searchsorted(positions.percent, percent))
        return float(low_ends[here]), float(high_ends[here])
    low = _chord(positions.percent, low_ends, low_ends, (at, at + 1), percent)
    high = np.inf
    if at > 0:
        high = min(high, _chord(positions.percent, low_ends, high_ends, (at - 1, at), percent))
    if at + 2 < positions.percent.size:
        high = min(high, _chord(positions.percent, low_ends, high_ends, (at + 2, at + 1), percent))
    return low, float(high)


def _chord(percent: Series, far_rpm: Series, near_rpm: Series, ends: tuple[int, int], at: float) -> float:
    """Chord from a far end to a near one, drawn on to a position, rpm."""
    far, near = ends
    slope = (near_rpm[near] - far_rpm[far]) / (percent[near] - percent[far])
    return float(near_rpm[near] + slope * (at - percent[near]))
