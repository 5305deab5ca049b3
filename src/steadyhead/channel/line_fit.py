"""Straight lines through readings, each weighed by its doubt."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]


class Points(NamedTuple):
    """Readings as arrays, by rising percent; `deviation_rpm` is one standard deviation of each.

    Shapes: percent (n,), rpm (n,), deviation_rpm (n,); `stated`: whether every spread was stated.
    """

    percent: Series
    rpm: Series
    deviation_rpm: Series
    stated: bool

    def part(self, start: int, end: int) -> "Points":
        """Return the points from `start` up to, not with, `end`."""
        cut = slice(start, end)
        return Points(self.percent[cut], self.rpm[cut], self.deviation_rpm[cut], self.stated)

    @property
    def positions(self) -> int:
        """Number of different channel positions."""
        return int(np.unique(self.percent).size)


class Line(NamedTuple):
    """rpm = level + slope · (percent - centre); `level` and `slope` are independent of each other."""

    centre_percent: float
    level_rpm: float
    slope_rpm_per_percent: float
    level_variance: float
    slope_variance: float
    misfit: float
    freedom: int

    def rpm(self, percent: float) -> float:
        """Head speed on the line, rpm."""
        return self.level_rpm + self.slope_rpm_per_percent * (percent - self.centre_percent)

    def deviation_rpm(self, percent: float) -> float:
        """Standard error of the line, rpm."""
        return math.sqrt(self.level_variance + self.slope_variance * (percent - self.centre_percent) ** 2)

    def percent(self, rpm: float) -> float:
        """Channel position at which the line has this head speed, percent; for a rising line."""
        return self.centre_percent + (rpm - self.level_rpm) / self.slope_rpm_per_percent


def affine(points: Points) -> Line:
    """Fit a line with an offset by weighted least squares.

    slope = sum w (x - xm)(y - ym) / sum w (x - xm)^2, w = 1 / s^2, centred on the weighted mean
    Valid: two different channel positions or more.
    Source: weighted straight-line fit, common to statistics textbooks.
    """
    weight = points.deviation_rpm**-2.0
    total = float(weight.sum())
    centre = float((weight * points.percent).sum()) / total
    level = float((weight * points.rpm).sum()) / total
    away = points.percent - centre
    spread = float((weight * away**2).sum())
    slope = float((weight * away * (points.rpm - level)).sum()) / spread
    missed = (points.rpm - level - slope * away) / points.deviation_rpm
    return Line(centre, level, slope, 1.0 / total, 1.0 / spread, float((missed**2).sum()), points.percent.size - 2)


def proportional(points: Points) -> Line:
    """Fit a line through zero head speed at 0 % by weighted least squares.

    slope = sum w x y / sum w x^2
    Valid: a reading above 0 %.
    Source: as `affine`.
    """
    weight = points.deviation_rpm**-2.0
    spread = float((weight * points.percent**2).sum())
    slope = float((weight * points.percent * points.rpm).sum()) / spread
    missed = (points.rpm - slope * points.percent) / points.deviation_rpm
    return Line(0.0, 0.0, slope, 0.0, 1.0 / spread, float((missed**2).sum()), points.percent.size - 1)


def level(points: Points) -> Line:
    """Fit one head speed for all positions: a line without slope.

    Source: weighted mean.
    """
    weight = points.deviation_rpm**-2.0
    total = float(weight.sum())
    mean = float((weight * points.rpm).sum()) / total
    missed = (points.rpm - mean) / points.deviation_rpm
    return Line(0.0, mean, 0.0, 1.0 / total, 0.0, float((missed**2).sum()), points.percent.size - 1)


def zero_interval_percent(line: Line, factor: float) -> tuple[float, float] | None:
    """Interval of the channel position at which the line reaches zero head speed, percent; None when unbounded.

    all x with (level + slope · (x - centre))^2 <= factor^2 · variance of the line at x
    Valid: exact for normal errors; unbounded when the slope itself may be zero.
    Source: Fieller 1954, Some problems in interval estimation, J. R. Stat. Soc. B 16 (from memory).
    """
    square = line.slope_rpm_per_percent**2 - factor**2 * line.slope_variance
    if square <= 0.0:
        return None
    middle = line.level_rpm * line.slope_rpm_per_percent
    root = math.sqrt(max(middle**2 - square * (line.level_rpm**2 - factor**2 * line.level_variance), 0.0))
    return (line.centre_percent + (-middle - root) / square, line.centre_percent + (-middle + root) / square)
