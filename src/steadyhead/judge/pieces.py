"""Median, percentile, mean and line of many short pieces of a channel, without the cost of the general routines."""

from math import sqrt

import numpy as np

from steadyhead.trace.trace import Series


def mean(values: Series) -> float:
    """Return the mean.

    Shapes: values (n,) -> scalar.
    Valid: n of 1 or more.
    """
    return float(np.add.reduce(values)) / values.size


def deviation(values: Series) -> float:
    """Return the standard deviation about the mean.

    Shapes: values (n,) -> scalar.
    Valid: n of 1 or more.
    """
    away = values - mean(values)
    return sqrt(float(np.add.reduce(away * away)) / values.size)


def median(values: Series) -> float:
    """Return the median; NaN of nothing.

    Shapes: values (n,) -> scalar.
    Valid: no value is missing.
    """
    if not values.size:
        return float("nan")
    half = values.size // 2
    ordered = values.copy()
    ordered.partition(half)
    if values.size % 2:
        return float(ordered[half])
    return 0.5 * (float(np.maximum.reduce(ordered[:half])) + float(ordered[half]))


def percentile(values: Series, percent: float) -> float:
    """Return a percentile, neighbours joined by a straight line; NaN of nothing.

    Shapes: values (n,) -> scalar.
    Valid: no value is missing; percent from 0 to 100.
    """
    if not values.size:
        return float("nan")
    place = (values.size - 1) * (percent / 100.0)
    below = int(place)
    ordered = values.copy()
    ordered.partition(below)
    low, share = float(ordered[below]), place - below
    if below + 1 >= values.size:
        return low
    high = float(np.minimum.reduce(ordered[below + 1 :]))
    return low + (high - low) * share if share < 0.5 else high - (high - low) * (1.0 - share)


def percentile_in_order(ordered: Series, percent: float) -> float:
    """Return a percentile of values that are in rising order; NaN of nothing.

    Shapes: ordered (n,) -> scalar.
    Valid: as for `percentile`.
    """
    if not ordered.size:
        return float("nan")
    place = (ordered.size - 1) * (percent / 100.0)
    below = int(place)
    low, high, share = float(ordered[below]), float(ordered[min(below + 1, ordered.size - 1)]), place - below
    return low + (high - low) * share if share < 0.5 else high - (high - low) * (1.0 - share)


def line(x: Series, y: Series) -> tuple[float, float]:
    """Return slope and height at x = 0 of the line that fits best, in the sense of least squares.

    Shapes: x (n,), y (n,) -> two scalars.
    Valid: x not all alike; n of 2 or more.
    """
    middle, level = mean(x), mean(y)
    away = x - middle
    slope = float(np.add.reduce(away * (y - level))) / float(np.add.reduce(away * away))
    return slope, level - slope * middle
