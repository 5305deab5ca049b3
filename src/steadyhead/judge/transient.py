"""Measures one response to a load change: deviation, droop, and the time until the head is back to stay."""

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.trace.trace import Series

MOST_ROWS = 5_000
"""Rows that are enough to tell the noise of a channel to 2 %, picked evenly from a longer one."""


def overshoot_percent(values: Series, from_level: float, to_level: float) -> float:
    """Return how far a step response runs past its new level, percent of the step; 0 when it does not.

    Equation: max(s (y - y_new)) / |y_new - y_old| * 100, s the sign of the step.
    Shapes: values (n,) -> scalar.
    Valid: from_level differs from to_level.
    """
    step = to_level - from_level
    past = float(np.max((values - to_level) * np.sign(step)))
    return max(past, 0.0) / abs(step) * 100.0


def recovery_time_s(time_s: Series, values: Series, centre: float, half_band: float) -> tuple[float | None, bool]:
    """Return the time from leaving a band until back in it to stay, s, and whether it was left at all.

    Both crossings are read between samples by a straight line. None when the last sample is still outside; 0 when
    the band was never left; a record that begins outside counts from its first sample.
    Shapes: time_s (n,), values (n,) -> scalar.
    Valid: crossings are as sharp as the sampling: a sensor's delay falls out, its smoothing does not.
    """
    away = np.abs(values - centre) - half_band
    outside = rows_where(away > 0.0)
    if not outside.size:
        return 0.0, False
    first, last = int(outside[0]), int(outside[-1])
    if last == values.size - 1:
        return None, True
    left = time_s[first] if first == 0 else _crossing(time_s, away, first - 1)
    back = _crossing(time_s, away, last)
    return float(max(back - left, 0.0)), True


def recovery_interval_s(
    time_s: Series, values: Series, centre: float, half_band: float, noise: float
) -> tuple[float, float]:
    """Return the 90 % interval of `recovery_time_s` for the noise of a row, s.

    Equation: low = the time for a band 2.5 noise wider, since one row of many that noise throws out lengthens it;
    high = the time for a band one noise narrower, since noise hides the last of the way back in few rows only. A head
    that is not back within the narrower band counts to the end of the rows.
    Shapes: time_s (n,), values (n,) -> two scalars.
    Valid: noise white from row to row; `recovery_time_s` is known.
    """
    low, _ = recovery_time_s(time_s, values, centre, half_band + NOISE_OF_PEAK * noise)
    high, _ = recovery_time_s(time_s, values, centre, max(half_band - noise, 0.0))
    return low or 0.0, float(time_s[-1] - time_s[0]) if high is None else high


def _crossing(time_s: Series, away: Series, k: int) -> float:
    span = float(away[k + 1] - away[k])
    share = float(-away[k]) / span if span != 0.0 else 0.5
    return float(time_s[k] + min(max(share, 0.0), 1.0) * (time_s[k + 1] - time_s[k]))


SENSOR_LAG_S = 0.04
"""Over about so long a speed sensor smooths however quick the rows are; common practice, no source."""
SLOW_SENSOR_S = 0.2
"""A controller may smooth the speed it logs over as long as this, and the log does not say so; common practice."""
NOISE_OF_PEAK = 2.5
"""Standard deviations by which the highest of some noisy rows stands out; of the lowest likewise."""
LIKELY_NOISE = 1.645
"""Standard deviations that noise exceeds on one side one time in twenty: normal quantile."""
SECOND_DIFFERENCE = 0.6744897501960817 * np.sqrt(6.0)
"""Median size of the second difference of white noise in its standard deviations: ndtri(0.75) times root 6."""


def hidden(values: Series, peak: int, interval_s: float) -> float:
    """Return by how much a peak may really have stood out more than the sensor shows, in the unit of the values.

    Equation: half the steepest step on each side of the peak, within three steps of it; a step is a row, or
    SENSOR_LAG_S where rows are quicker. The lines of a short spike meet above its rows, and the sensor smooths it.
    Shapes: values (n,) -> scalar.
    Valid: own estimate; a sensor that smooths over many rows hides more.
    """
    stride = max(1, round(SENSOR_LAG_S / interval_s))
    sides = (values[max(peak - 3 * stride, 0) : peak + 1], values[peak : peak + 3 * stride + 1])
    steps = [np.abs(side[stride:] - side[:-stride]) for side in sides if side.size > stride]
    return 0.5 * sum(float(step.max()) for step in steps)


def peak_interval(
    values: Series, peak: int, set_rpm: float, interval_s: float, shown_percent: float, noise: float
) -> tuple[float, float]:
    """Return the 90 % interval of a peak that reads `shown_percent`, percent of the set speed; `noise` of a row, rpm.

    Equation: low = shown - 2.5 noise, since the highest row is picked for its noise too; high = shown + hidden.
    Shapes: values (n,) -> two scalars.
    Valid: noise white from row to row; a low end below zero stays zero where the reading is not below it.
    """
    low = shown_percent - NOISE_OF_PEAK * noise / set_rpm * 100.0
    if shown_percent >= 0.0:
        low = max(low, 0.0)
    return low, shown_percent + hidden(values, peak, interval_s) / set_rpm * 100.0


def behind_slow_sensor(values: Series, peak: int, interval_s: float) -> float:
    """Return what a peak may have been behind a first-order lag of SLOW_SENSOR_S, in the unit of the values.

    Equation: T dy/dt + y = x, so x = max(y + T dy/dt) over the rows from 3 T before the peak to the peak itself;
    slopes are taken over SENSOR_LAG_S, which keeps most of the noise of the rows out.
    Shapes: values (n,) -> scalar.
    Valid: the lag is not known: what may be, not what was.
    """
    stride = max(1, round(SENSOR_LAG_S / interval_s))
    rise = values[max(peak - round(3.0 * SLOW_SENSOR_S / interval_s) - stride, 0) : peak + 1]
    if rise.size <= stride:
        return float(values[peak])
    slopes = (rise[stride:] - rise[:-stride]) / (stride * interval_s)
    return max(float(values[peak]), float((rise[stride:] + SLOW_SENSOR_S * slopes).max()))


FITTED_S = 0.1
"""A line through so much of the speed tells its slope without most of the noise of the rows; own choice."""


def behind_lag(values: Series, peak: int, interval_s: float, lag_s: float) -> float:
    """Return what a peak was behind a first-order lag that is known, in the unit of the values.

    Equation: x = y + T dy/dt, y and its slope from the line of least squares through FITTED_S, three rows at least; the
    greatest from 3 T before the peak on.
    Shapes: values (n,) -> scalar.
    Valid: a peak much shorter than FITTED_S is still higher; not below what the rows show.
    """
    half = max(1, round(0.5 * FITTED_S / interval_s))
    first = max(peak - round(3.0 * lag_s / interval_s) - 2 * half, 0)
    rise = values[first : peak + 2 * half + 1]
    if rise.size < 2 * half + 1:
        return float(values[peak])
    at = np.arange(-half, half + 1, dtype=np.float64)
    level = np.convolve(rise, np.full(at.size, 1.0 / at.size), "valid")
    slope = np.correlate(rise, at, "valid") / (float(at @ at) * interval_s)
    return max(float(values[peak]), float((level + lag_s * slope).max()))


def row_noise(values: Series) -> float:
    """Return the standard deviation of what differs from row to row at random, in the unit of the values.

    Equation: median |x(k-1) - 2 x(k) + x(k+1)| / (0.674 sqrt 6); a straight run drops out, few sharp turns too.
    Shapes: values (n,) -> scalar.
    Valid: 5 rows or more, else 0; movements quicker than a few rows count as noise.
    Source: normal quantile, and the variance of a second difference of white noise, common to statistics textbooks.
    """
    if values.size < 5:
        return 0.0
    step = -(-(values.size - 2) // MOST_ROWS)
    before, middle, after = values[:-2:step], values[1:-1:step], values[2::step]
    bends = after - middle
    bends -= middle - before
    return median(np.abs(bends, out=bends)) / float(SECOND_DIFFERENCE)
