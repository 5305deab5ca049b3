"""Whether the readings could have shown that a law bends between them."""

import math

import numpy as np

from steadyhead.channel.line_fit import Points, Series, affine
from steadyhead.channel.reading_doubt import Z90

BOW_SEEN = 0.02
"""A line is called tested when a bow of this share of the greatest head speed would have shown.
Common practice, no source."""

BETWEEN_SHARE = 0.2
"""A reading nearer to an outer one than this share of the span tests no line, however sure it is: of a law of two
straight parts that bends mid-span it would see less than two fifths. Own choice."""


def bow_doubt_rpm(points: Points, factor: float) -> float:
    """Smallest bow at mid-span that the readings could show, rpm; infinite with fewer than three positions.

    q = 4 (x - x1)(xn - x) / (xn - x1)^2 · doubt = factor / sqrt(sum ((q - its own line) / s)^2)
    Valid: a bow of one sense; readings repeated at two positions say nothing on it.
    Source: standard error of a quadratic term in weighted least squares, common to statistics textbooks.
    """
    if points.positions < 3:
        return math.inf
    seen = affine(points._replace(rpm=_bow(points, points.percent))).misfit
    return factor / math.sqrt(seen) if seen > 0.0 else math.inf


def bow_deviation_rpm(points: Points, percent: float) -> float:
    """Standard error of a line, at a position, by a bow that its readings do not rule out, rpm.

    s = |q - its own line| / sqrt(1 / sb^2 + 1 / s0^2), sb what the readings leave open, s0 = 2 % of full over 1.645
    Valid: three positions or more, else 0: then nothing tested the line, and its interval is for a straight law.
    Source: prediction variance of a quadratic term in weighted least squares, its size doubted beforehand as
    BOW_SEEN says, common to statistics textbooks.
    """
    left_open = bow_doubt_rpm(points, 1.0)
    if not math.isfinite(left_open):
        return 0.0
    beforehand = BOW_SEEN * float(points.rpm.max()) / Z90
    own_line = affine(points._replace(rpm=_bow(points, points.percent)))
    away = float(_bow(points, np.array([percent]))[0]) - own_line.rpm(percent)
    return abs(away) / math.hypot(1.0 / left_open, 1.0 / beforehand)


def _bow(points: Points, percent: Series) -> Series:
    """Return a bow of height 1 over the span of the readings. Shapes: percent (n,) -> (n,)."""
    first, last = float(points.percent[0]), float(points.percent[-1])
    return 4.0 * (percent - first) * (last - percent) / (last - first) ** 2


def bow_would_show(points: Points, factor: float) -> bool:
    """Whether a bow large enough to matter would have shown in these readings, one of them well between the others."""
    first, last = float(points.percent[0]), float(points.percent[-1])
    beside = BETWEEN_SHARE * (last - first)
    if not ((points.percent >= first + beside) & (points.percent <= last - beside)).any():
        return False
    return bow_doubt_rpm(points, factor) <= BOW_SEEN * float(points.rpm.max())
