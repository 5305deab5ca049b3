"""A line that ends in a flat: affine with a ceiling, or affine with a floor."""

from typing import NamedTuple

from steadyhead.channel.line_fit import Line, Points, affine, level

FEWEST_ON_EACH_PART = 2
"""Positions that a slope needs to be a slope, and a flat to be seen flat."""


class Clamped(NamedTuple):
    """The sloped part, the flat part, whether the upper end of the channel is the flat one, and the sloped readings."""

    line: Line
    flat: Line
    ceiling: bool
    sloped: Points

    @property
    def misfit(self) -> float:
        """Squared misses of both parts together, in standard deviations."""
        return self.line.misfit + self.flat.misfit

    @property
    def freedom(self) -> int:
        """Readings left over after slope, offset and flat are fixed."""
        return self.line.freedom + self.flat.freedom


def best_clamped(points: Points) -> Clamped | None:
    """Fit every way to part the readings into a slope and a flat; return the one that misses least, or None.

    Valid: the knee must lie between the last reading of the slope and the first of the flat, else the two parts
    do not meet in one law.
    """
    fits = [fit for fit in _all_clamped(points) if _meets(fit, points)]
    return min(fits, key=lambda fit: fit.misfit, default=None)


def _all_clamped(points: Points) -> list[Clamped]:
    """Return both kinds for every place of the knee that leaves enough positions on each side."""
    count = points.percent.size
    fits = []
    for cut in range(FEWEST_ON_EACH_PART, count - FEWEST_ON_EACH_PART + 1):
        lower, upper = points.part(0, cut), points.part(cut, count)
        if points.percent[cut - 1] == points.percent[cut]:
            continue
        if min(lower.positions, upper.positions) < FEWEST_ON_EACH_PART:
            continue
        fits.append(Clamped(affine(lower), level(upper), True, lower))
        fits.append(Clamped(affine(upper), level(lower), False, upper))
    return fits


def _meets(fit: Clamped, points: Points) -> bool:
    """Whether slope and flat cross in the gap between their readings."""
    if fit.line.slope_rpm_per_percent <= 0.0:
        return False
    lower = fit.line if fit.ceiling else fit.flat
    cut = lower.freedom + (2 if fit.ceiling else 1)
    knee = fit.line.percent(fit.flat.level_rpm)
    return bool(points.percent[cut - 1] <= knee <= points.percent[cut])
