"""Measures one response to a load change: deviation, droop, and the time until the head is back to stay."""

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.trace.trace import Series


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


def _crossing(time_s: Series, away: Series, k: int) -> float:
    span = float(away[k + 1] - away[k])
    share = float(-away[k]) / span if span != 0.0 else 0.5
    return float(time_s[k] + min(max(share, 0.0), 1.0) * (time_s[k + 1] - time_s[k]))


def hidden_percent(values: Series, peak: int, set_rpm: float) -> float:
    """Return by how much a peak may really have been higher than the sensor shows, percent of the set speed.

    Equation: half the steepest step within three rows of the peak; a sensor smooths over about a row.
    Shapes: values (n,) -> scalar.
    Valid: own estimate; a sensor that smooths over many rows hides more.
    """
    near = values[max(peak - 3, 0) : peak + 4]
    return 0.5 * float(np.abs(np.diff(near)).max()) / set_rpm * 100.0 if near.size > 1 else 0.0
