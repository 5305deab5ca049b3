"""How far the head ran above its set speed in each governed stretch."""

from dataclasses import dataclass

from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import behind_lag, behind_slow_sensor, peak_interval, row_noise

SETTLE_S = 3.0
"""Overspeed counts from 3 s after a change of set speed."""


@dataclass(frozen=True, kw_only=True)
class Overshoot:
    """The highest speed of one governed stretch, percent above its set speed; below zero where it stayed below."""

    at_s: float
    percent: float
    percent_interval: tuple[float, float]
    behind_slow_sensor_percent: float
    """What it may have been behind a sensor of a first-order lag of SLOW_SENSOR_S."""


def counted_rows(signals: Signals, governed: Stretch) -> slice:
    """Return the rows of a governed stretch in which overspeed counts.

    A slow channel shows late that another set speed is asked for: its last beat is left out.
    """
    begin_s = max(governed.start_s + SETTLE_S, governed.ready_s)
    late_s = signals.channel_beat_s if governed.end_s < signals.end_s else 0.0
    return signals.within(begin_s, governed.end_s - signals.interval_s - late_s)


def behind_lag_percent(signals: Signals, governed: Stretch, lag_s: float) -> float:
    """Return what the greatest excess of a stretch may have been behind a lag, percent of the set speed."""
    part = counted_rows(signals, governed)
    if signals.speed_rpm is None or governed.set_rpm is None or part.stop - part.start < 3:
        return 0.0
    values = signals.speed_rpm[part]
    top = behind_lag(values, int(values.argmax()), signals.interval_s, lag_s)
    return (top / governed.set_rpm - 1.0) * 100.0


def overshoot(signals: Signals, governed: Stretch) -> Overshoot | None:
    """Return the greatest excess over the set speed; None without speed or set speed, or in a short stretch."""
    part = counted_rows(signals, governed)
    if signals.speed_rpm is None or governed.set_rpm is None or part.stop - part.start < 3:
        return None
    values = signals.speed_rpm[part]
    k = int(values.argmax())
    percent = (float(values[k]) / governed.set_rpm - 1.0) * 100.0
    return Overshoot(
        at_s=float(signals.time_s[part.start + k]),
        percent=percent,
        percent_interval=peak_interval(values, k, governed.set_rpm, signals.interval_s, percent, row_noise(values)),
        behind_slow_sensor_percent=(behind_slow_sensor(values, k, signals.interval_s) / governed.set_rpm - 1.0) * 100.0,
    )
