"""A law of which nothing is asked but that more channel never gives less head speed."""

from collections.abc import Callable

import numpy as np

from steadyhead.channel.line_fit import Points


def merged_positions(points: Points) -> Points:
    """Return one point for each channel position: the weighted mean of the readings there.

    mean = sum w y / sum w, s = 1 / sqrt(sum w), w = 1 / s^2
    Shapes: n readings -> m points, m <= n
    Source: weighted mean.
    """
    percent, place = np.unique(points.percent, return_inverse=True)
    weight = np.bincount(place, points.deviation_rpm**-2.0)
    rpm = np.bincount(place, points.rpm * points.deviation_rpm**-2.0) / weight
    return Points(percent, rpm, np.asarray(weight**-0.5, np.float64), points.stated)


def rising(positions: Points) -> Points:
    """Return the nearest head speeds that never fall as the channel rises.

    Valid: one point for each position. The doubt of each stays its own, although pooled points know more.
    Source: isotonic regression by pooling adjacent violators, scipy.optimize.isotonic_regression.
    """
    from scipy.optimize import isotonic_regression

    fitted = isotonic_regression(positions.rpm, weights=positions.deviation_rpm**-2.0)
    return positions._replace(rpm=np.asarray(fitted.x, np.float64))


def monotone_curve(positions: Points) -> Callable[[float], float]:
    """Smooth rising curve through the knots, rpm at a percent; flat beyond the outer knots.

    Valid: two knots or more; it never leaves the rise between two neighbours.
    Source: Fritsch and Butland 1984 slopes, scipy.interpolate.PchipInterpolator.
    """
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(positions.percent, positions.rpm, extrapolate=False)
    return lambda at: float(curve(min(max(at, positions.percent[0]), positions.percent[-1])))


def bounds_rpm(positions: Points, percent: float, factor: float) -> tuple[float, float]:
    """Head speeds between which every rising law must lie at a position, rpm; infinite beyond the readings.

    low = y - factor · s of the nearest position at or below · high = y + factor · s of the nearest at or above
    Valid: at least 90 % with one point for each position; no shape is assumed.
    Source: monotony alone.
    """
    reach = factor * positions.deviation_rpm
    below = int(np.searchsorted(positions.percent, percent, side="right")) - 1
    above = int(np.searchsorted(positions.percent, percent, side="left"))
    low = positions.rpm[below] - reach[below] if below >= 0 else -np.inf
    high = positions.rpm[above] + reach[above] if above < positions.percent.size else np.inf
    return float(low), float(high)
