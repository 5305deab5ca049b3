"""Whether the readings could have shown that a law bends between them."""

import math

from steadyhead.channel.line_fit import Points, affine

BOW_SEEN = 0.02
"""A line is called tested when a bow of this share of the greatest head speed would have shown.
Common practice, no source."""


def bow_doubt_rpm(points: Points, factor: float) -> float:
    """Smallest bow at mid-span that the readings could show, rpm; infinite with fewer than three positions.

    q = 4 (x - x1)(xn - x) / (xn - x1)^2 · doubt = factor / sqrt(sum ((q - its own line) / s)^2)
    Valid: a bow of one sense; readings repeated at two positions say nothing on it.
    Source: standard error of a quadratic term in weighted least squares, common to statistics textbooks.
    """
    if points.positions < 3:
        return math.inf
    first, last = float(points.percent[0]), float(points.percent[-1])
    bow = 4.0 * (points.percent - first) * (last - points.percent) / (last - first) ** 2
    seen = affine(points._replace(rpm=bow)).misfit
    return factor / math.sqrt(seen) if seen > 0.0 else math.inf


def bow_would_show(points: Points, factor: float) -> bool:
    """Whether a bow large enough to matter would have shown in these readings."""
    return bow_doubt_rpm(points, factor) <= BOW_SEEN * float(points.rpm.max())
