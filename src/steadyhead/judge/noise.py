"""Whether a figure moved by more than noise: between two groups, or along a row of flights."""

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

import numpy as np

from steadyhead.judge.pieces import line, mean
from steadyhead.trace.trace import Series

CHANCE = 0.10
"""Of all figures said to move, the share that may do so by chance: what a 90 % interval is for one figure alone."""


class Slope(NamedTuple):
    """A straight line: its slope, the half width of its 90 % interval, and how likely chance alone makes as much."""

    slope: float
    doubt: float
    chance: float


def slope_of(x: Series, y: Series, step: float) -> Slope:
    """Return the slope of the line that fits best, with its doubt from the scatter about it.

    Equation: doubt = t(0.95, n - 2) s, s^2 = (residual^2 / (n - 2) + step^2 / 12) / sum((x - mean x)^2).
    Shapes: x (n,), y (n,).
    Valid: n of 3 or more; scatter alike at all x; step of 0 for figures that are read without steps.
    Source: ordinary least squares; a figure read in steps is doubted by the step over the root of twelve.
    """
    from scipy.special import stdtr, stdtrit

    free = x.size - 2
    slope, height = line(x, y)
    away = y - (height + slope * x)
    spread = (float(away @ away) / free + step**2 / 12.0) / float(np.sum((x - x.mean()) ** 2))
    error = sqrt(spread)
    if error == 0.0:
        return Slope(slope, 0.0, 1.0 if slope == 0.0 else 0.0)
    return Slope(slope, float(stdtrit(free, 0.95)) * error, 2.0 * float(stdtr(free, -abs(slope) / error)))


class Difference(NamedTuple):
    """A change of a mean, the half width of its 90 % interval, and how likely chance alone makes as much."""

    change: float
    doubt: float
    chance: float


def difference_of(before: Series, after: Series, step: float) -> Difference:
    """Return how much higher the mean of one group is than that of the other, scatter not taken to be alike.

    Equation: doubt = t(0.95, v) s; s^2 = s1^2 / n1 + s2^2 / n2 + step^2 / 6; v by Welch and Satterthwaite.
    Shapes: before (n,), after (m,).
    Valid: two values or more on each side, independent of each other; step of 0 for figures read without steps.
    Source: B. L. Welch, Biometrika 34, 28-35, 1947, from memory; a step counts once a side, as all values may share it.
    """
    from scipy.special import stdtr, stdtrit

    change = mean(after) - mean(before)
    parts = [float(np.var(side, ddof=1)) / side.size for side in (before, after)]
    spread, reading = sum(parts), step**2 / 6.0
    if spread + reading == 0.0:
        return Difference(change, 0.0, 1.0 if change == 0.0 else 0.0)
    shares = sum(part**2 / (side.size - 1) for part, side in zip(parts, (before, after), strict=True))
    free = spread**2 / shares if shares > 0.0 else float(before.size + after.size - 2)
    error = sqrt(spread + reading)
    return Difference(change, float(stdtrit(free, 0.95)) * error, 2.0 * float(stdtr(free, -abs(change) / error)))


def difference_from_one(before: Series, after: Series, step: float) -> Difference:
    """Return how much higher one group is than a single value, or the other way round, their scatter taken to be alike.

    Equation: doubt = t(0.95, n - 1) s; s^2 = s1^2 (1 + 1 / n) + step^2 / 6, s1 of the group.
    Shapes: before (n,), after (m,), one of the two of length 1.
    Valid: the group has three values or more.
    Source: prediction interval of one further value, common to statistics textbooks.
    """
    from scipy.special import stdtr, stdtrit

    group = before if before.size > 1 else after
    change = mean(after) - mean(before)
    error = sqrt(float(np.var(group, ddof=1)) * (1.0 + 1.0 / group.size) + step**2 / 6.0)
    free = group.size - 1
    if error == 0.0:
        return Difference(change, 0.0, 1.0 if change == 0.0 else 0.0)
    return Difference(change, float(stdtrit(free, 0.95)) * error, 2.0 * float(stdtr(free, -abs(change) / error)))


def beyond_noise(chances: Sequence[float], level: float = CHANCE) -> list[bool]:
    """Return for each figure whether it moved by more than noise, when many figures are looked at together.

    Equation: of m chances in rising order the k-th moves when any from it on keeps p(j) (m / j) <= level; so of all
    that are said to move at most that share does by chance.
    Valid: our own three lines, since loading scipy.stats for them took a judgement 0.8 s; a test holds them against it.
    Source: Y. Benjamini and Y. Hochberg, J. R. Statist. Soc. B 57, 289-300, 1995.
    """
    p = np.asarray(chances, dtype=np.float64)
    order = np.argsort(p)
    moves = np.empty(p.size, dtype=bool)
    keeps = p[order] * (p.size / np.arange(1, p.size + 1)) <= level
    moves[order] = np.logical_or.accumulate(keeps[::-1])[::-1]
    return [bool(move) for move in moves]


def beyond_noise_by_family(families: Sequence[Sequence[float]]) -> list[list[bool]]:
    """Return the same where some chances are of one figure, read at several set speeds: such a family counts once.

    Equation: a family has the chance min(p(k) m / k) of its m; of F families R are kept by `beyond_noise`, and within
    those it is asked again at the level 0.1 R / F; so of what is said in a family that is kept at most one in ten moves
    by chance, taken over all of them.
    Valid: chances of one family independent, or moving alike.
    Source: R. J. Simes, Biometrika 73, 751-754, 1986; Y. Benjamini and M. Bogomolov, J. R. Statist. Soc. B 76,
    297-318, 2014; both from memory.
    """
    kept = beyond_noise([_of_family(chances) for chances in families])
    level = CHANCE * sum(kept) / max(len(families), 1)
    return [
        beyond_noise(chances, level) if keep else [False] * len(chances)
        for chances, keep in zip(families, kept, strict=True)
    ]


def _of_family(chances: Sequence[float]) -> float:
    return min(chance * len(chances) / rank for rank, chance in enumerate(sorted(chances), start=1))
