"""A law of which nothing is asked but that more channel never gives less head speed."""

from collections.abc import Callable

import numpy as np

from steadyhead.channel.line_fit import Points, Series


def rising_knots(points: Points) -> tuple[Series, Series]:
    """Nearest head speeds that never fall as the channel rises, one for each position: percent, rpm.

    Shapes: n readings -> (m,), (m,) with m <= n
    Source: isotonic regression by pooling adjacent violators, scipy.optimize.isotonic_regression.
    """
    from scipy.optimize import isotonic_regression

    percent, place = np.unique(points.percent, return_inverse=True)
    weight = np.bincount(place, points.deviation_rpm**-2.0)
    rpm = np.bincount(place, points.rpm * points.deviation_rpm**-2.0) / weight
    return percent, np.asarray(isotonic_regression(rpm, weights=weight).x, np.float64)


def monotone_curve(percent: Series, rpm: Series) -> Callable[[float], float]:
    """Smooth rising curve through the knots, rpm at a percent; flat beyond the outer knots.

    Valid: two knots or more; it never leaves the rise between two neighbours.
    Source: Fritsch and Butland 1984 slopes, scipy.interpolate.PchipInterpolator.
    """
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(percent, rpm, extrapolate=False)
    return lambda at: float(curve(min(max(at, percent[0]), percent[-1])))


def bounds_rpm(points: Points, percent: float, factor: float) -> tuple[float, float]:
    """Head speeds between which every rising law must lie at a position, rpm; infinite beyond the readings.

    low = the greatest of y - factor·s of all readings at or below · high = the least of y + factor·s at or above
    Valid: at least 90 % by one reading on each side; no shape is assumed.
    Source: monotony alone.
    """
    reach = factor * points.deviation_rpm
    below, above = points.percent <= percent, points.percent >= percent
    nearest_below = points.percent == np.max(points.percent[below], initial=-np.inf)
    nearest_above = points.percent == np.min(points.percent[above], initial=np.inf)
    low = np.max((points.rpm - reach)[nearest_below], initial=-np.inf)
    high = np.min((points.rpm + reach)[nearest_above], initial=np.inf)
    return float(low), float(high)
