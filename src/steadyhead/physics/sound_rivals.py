"""Which other speeds explain an instant: the best of all, and the best of those that share lines with the one told."""

import numpy as np

from steadyhead.physics.kernel import inlined_kernel, wide_kernel
from steadyhead.physics.sound_path import OVER, Counts, Floats, Shares, Single

BESIDE = 16
"""Speeds that are looked at in one instruction."""
OVER_STEPS = 3
"""So many steps about a multiple are looked at."""
UNDER_SHARE = 0.8
"""A part of a speed counts as much less: it leaves every second line or more of its own unheard, or explains as much as
the speed only since `unexplained_taken` told that those are heard. Own choice."""


@inlined_kernel
def find_multiple(row: Shares, steps: int, first: int, found: Floats) -> None:
    """Put the evidence of the best OVER times or part of a speed, and how many times it is, where it beats `found`.

    Shapes: row (n,), found (4,), the last two changed
    Valid: as `rivals`.
    Source: definition.
    """
    for ratio in OVER:
        middle = int(ratio * steps + 0.5) - first
        for at in range(middle - OVER_STEPS, min(row.size, middle + OVER_STEPS + 1)):
            if row[at] > found[2]:
                found[2], found[3] = row[at], ratio
        middle = int(steps / ratio + 0.5) - first
        for at in range(max(0, middle - 1), middle + 2):
            if UNDER_SHARE * row[at] > found[2]:
                found[2], found[3] = UNDER_SHARE * row[at], 1.0 / ratio


@wide_kernel
def rivals(scores: Shares, path: Counts, near_share: float, first: int, least: Single, found: Floats) -> None:
    """Evidence of the speed that is told at each instant, of the best other one, and of the best OVER times or part.

    Natural units, each at least so; then how many times the speed the last one is, 0 where none speaks.
    Shapes: scores (t, n), path (t,), numbers of speeds -> found (t, 4)
    Valid: speed number v is v + first steps; speeds within `near_share` of the one told are no others.
    Source: definition.
    """
    count, most = scores.shape[1], np.empty(BESIDE, np.float32)
    for t in range(path.size):
        v, row = path[t], scores[t]
        told = max(row[v], row[max(0, v - 1)], row[min(count - 1, v + 1)])
        reach = max(1, int(near_share * (v + first)))
        for k in range(BESIDE):
            most[k] = least
        for start, stop in ((0, max(0, v - reach)), (min(count, v + reach + 1), count)):
            whole = stop - (stop - start) % BESIDE
            for at in range(start, whole, BESIDE):
                part = row[at : at + BESIDE]
                for k in range(BESIDE):
                    most[k] = max(most[k], part[k])
            for at in range(whole, stop):
                most[0] = max(most[0], row[at])
        other = least
        for k in range(BESIDE):
            other = max(other, most[k])
        found[t, 0], found[t, 1], found[t, 2], found[t, 3] = max(told, least), other, least, 0.0
        find_multiple(row, v + first, first, found[t])
