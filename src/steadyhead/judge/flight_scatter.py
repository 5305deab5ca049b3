"""How far flights of one side scatter: from the flights themselves, and from what is seen within them."""

from math import sqrt
from typing import NamedTuple

import numpy as np

from steadyhead.judge.noise import Difference
from steadyhead.judge.pieces import mean
from steadyhead.trace.trace import Series

BY_VALUES, BY_INTERVAL = 2.0, 4.0
"""What is seen within flights tells of their scatter as much as so many more flights a side would, however many values
it rests on, or where each flight brings an interval of its own: what differs from day to day is not in it. Own choice,
with its false alarms counted in `tests/unit/judge/test_flight_scatter.py`."""
AS_KNOWN = 1e9
"""Degrees of freedom of an interval that is believed as it stands: where one side has a single flight."""
MOST_FLIGHTS = 12
"""More flights a side than this nobody is told to fly; own choice."""


class Flights(NamedTuple):
    """One side: the figure of each flight, and the variance of one such figure as seen within flights."""

    means: Series
    own_variance: float | None
    """None where a flight shows a single value without an interval of its own."""
    own_free: float
    """Degrees of freedom of that variance: how far it is believed."""

    @property
    def alone(self) -> "Flights":
        """The same with nothing known but the flights themselves."""
        return Flights(self.means, None, 0.0)

    @property
    def free(self) -> float:
        """Degrees of freedom of the variance of one flight."""
        return self.own_free + self.means.size - 1

    @property
    def variance(self) -> float:
        """Variance of one flight's figure, in its unit squared; not below what is seen within.

        Equation: max(s0^2, (d0 s0^2 + (n - 1) s^2) / (d0 + n - 1)), s0^2 within flights with d0 degrees of freedom.
        Valid: two flights or more, or a variance seen within.
        Source: G. K. Smyth, Statist. Appl. Genet. Mol. Biol. 3, 3, 2004, from memory: a scatter of few values is drawn
        to what is known of it beforehand. That it is no less than that is our own choice: days add to it.
        """
        between = float(np.var(self.means, ddof=1)) if self.means.size > 1 else 0.0
        if self.own_variance is None:
            return between
        drawn = (self.own_free * self.own_variance + (self.means.size - 1) * between) / self.free
        return max(self.own_variance, drawn)


def seen_within(
    values: list[Series], doubts: list[float | None], z: float, *, several: bool = True
) -> tuple[float | None, float]:
    """Return the variance of one flight's mean as seen within flights, and its degrees of freedom.

    Equation: s^2 / h, s^2 pooled over flights, h the harmonic mean of their counts; else the mean of (doubt / z)^2.
    Shapes: values one array a flight; doubts one each, half widths of intervals of z standard deviations.
    Valid: a flight with two values, or every doubt known; None elsewhere. `several`: both sides have two flights.
    """
    free = sum(one.size - 1 for one in values)
    if free > 0:
        squares = sum(float(np.var(one)) * one.size for one in values)
        share = float(np.mean([1.0 / one.size for one in values]))
        return squares / free * share, min(float(free), BY_VALUES)
    known = [doubt for doubt in doubts if doubt is not None]
    if not known or len(known) < len(doubts):
        return None, 0.0
    return float(np.mean(np.square(np.array(known) / z))), BY_INTERVAL if several else AS_KNOWN


def difference_of_flights(before: Flights, after: Flights, step: float) -> Difference | None:
    """Return how much higher one side is, in the figure's unit; None where a side has no scatter to go by.

    Equation: that of two with the smaller chance: as `noise.difference_of`, of the flights alone, and the same with
    the variance and degrees of freedom of `Flights`. Of few flights the first says too seldom that they differ, so the
    two together still hold what is asked, unless days differ by more than the scatter within flights makes.
    Valid: step of 0 for figures read without steps.
    """
    counts = before.means.size, after.means.size
    found = []
    if min(counts) > 1:
        found.append(_told(before.alone, after.alone, step, counts))
    if min(before.free, after.free) > 0.0:
        found.append(_told(before, after, step, counts))
    return min(found, key=lambda one: one.chance, default=None)


def flights_that_tell(before: Flights, after: Flights, step: float, chance: float) -> int | None:
    """Return how many flights a side would make a chance as small as asked, should change and scatter stay as seen.

    None where even `MOST_FLIGHTS` would not, or where a side has no scatter to go by.
    """
    if min(before.free, after.free) <= 0.0:
        return None
    least = max(before.means.size, after.means.size) + 1
    able = (n for n in range(least, MOST_FLIGHTS + 1) if _told(before, after, step, (n, n)).chance <= chance)
    return next(able, None)


def _told(before: Flights, after: Flights, step: float, counts: tuple[int, int]) -> Difference:
    from scipy.special import stdtr, stdtrit

    sides = (before, after)
    change = mean(after.means) - mean(before.means)
    parts = [side.variance / count for side, count in zip(sides, counts, strict=True)]
    frees = [side.free + count - side.means.size for side, count in zip(sides, counts, strict=True)]
    spread = sum(parts)
    error = sqrt(spread + step**2 / 6.0)
    if error == 0.0:
        return Difference(change, 0.0, 1.0 if change == 0.0 else 0.0)
    shares = sum(part**2 / free for part, free in zip(parts, frees, strict=True))
    free = spread**2 / shares if shares > 0.0 else sum(frees)
    return Difference(change, float(stdtrit(free, 0.95)) * error, 2.0 * float(stdtr(free, -abs(change) / error)))
