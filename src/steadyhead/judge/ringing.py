"""Finds a head that rings on after a hard load: swings to and fro that a governor at rest in hover does not show."""

from typing import NamedTuple

import numpy as np

from steadyhead.judge.events import AFTER_S, PUMP_END_DOUBT_S
from steadyhead.judge.hunting import without_trend
from steadyhead.judge.loads import Load
from steadyhead.judge.parts import true_runs
from steadyhead.judge.pieces import mean, median
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import NOISE_OF_PEAK, row_noise

FIRST_SWING_S = 0.4
"""The overshoot of the load itself, which every governor has, is over by then; own choice."""
SHORTEST_S, FEWEST_ROWS = 1.5, 16
HALF_SWINGS = 5
"""So many half swings above the limit are ringing: the overshoot of a loop damped to a fifth has three; own choice."""
STIRS_DEG = 0.5
"""A collective that goes to and fro by more than this swings the head; one that moves once does not; own choice."""
LASTS_SHARE = 0.6
"""What keeps this share of its size from the first to the last third of its half swings does not die away."""
EVEN_SHARE = 0.35
"""Half swings whose times scatter by less than this share are regular; own choice."""


class Ring(NamedTuple):
    """The ringing after one load. Amplitude in percent of the set speed, half of peak to peak."""

    at_s: float
    half_swings: int
    """0 where the head did not ring."""
    frequency_hz: float
    amplitude_percent: float
    least_percent: float
    """What is left of it without noise and rounding."""
    lasts: bool
    """Whether it is regular and does not die away."""
    stick_still: bool | None
    """Whether the collective did not go to and fro with it; None where it was not logged."""


def ringing(signals: Signals, governed: Stretch, load: Load, until_s: float, limit_percent: float) -> Ring | None:
    """Return how the head rang after a load, with no half swing where it did not; None where that cannot be seen.

    Equation: half swings are runs of one sign beyond the limit and the noise, by turns, about the parabola that fits
    best from 0.4 s to 4 s after the load; amplitude = median of their greatest values.
    Valid: rows evenly spaced, five to a half swing or the swing is shown too small; a collective that went to and fro,
    where it was logged, may have swung the head itself, and the load then tells nothing.
    """
    set_rpm, speed, pitch = governed.set_rpm, signals.speed_rpm, signals.collective_deg
    if set_rpm is None or speed is None:
        return None
    begin_s = load.end_s + (PUMP_END_DOUBT_S if load.kind == "pump" and pitch is None else FIRST_SWING_S)
    part = signals.within(begin_s, min(load.end_s + AFTER_S, until_s, governed.end_s - FIRST_SWING_S))
    rows = part.stop - part.start
    if rows < FEWEST_ROWS or signals.time_s[part.stop - 1] - signals.time_s[part.start] < SHORTEST_S:
        return None
    away = without_trend(speed[part]) * (100.0 / set_rpm)
    noise = NOISE_OF_PEAK * row_noise(speed[part]) + 0.5 * signals.speed_step_rpm
    peaks = _half_swings(away, limit_percent + 100.0 * noise / set_rpm)
    if len(peaks) < HALF_SWINGS:
        return Ring(load.end_s, 0, 0.0, 0.0, 0.0, False, None)
    still = None if pitch is None else 2 * len(_half_swings(without_trend(pitch[part]), STIRS_DEG)) < len(peaks)
    if still is False:
        return None
    sizes, steps = np.abs(away[peaks]), np.diff(signals.time_s[part][peaks])
    amplitude = median(sizes)
    third = -(-len(peaks) // 3)
    lasts = mean(sizes[-third:]) >= LASTS_SHARE * mean(sizes[:third])
    return Ring(
        at_s=load.end_s,
        half_swings=len(peaks),
        frequency_hz=0.5 / mean(steps),
        amplitude_percent=amplitude,
        least_percent=amplitude - 100.0 * noise / set_rpm,
        lasts=lasts and float(np.std(steps)) < EVEN_SHARE * mean(steps),
        stick_still=still,
    )


def _half_swings(away: np.ndarray, limit_percent: float) -> list[int]:
    """Return the row of the greatest value of each half swing beyond the limit, by turns above and below."""
    found: list[int] = []
    for first, stop in true_runs(np.abs(away) > limit_percent):
        peak = first + int(np.abs(away[first:stop]).argmax())
        if found and np.sign(away[found[-1]]) == np.sign(away[peak]):
            found[-1] = peak if abs(away[peak]) > abs(away[found[-1]]) else found[-1]
        else:
            found.append(peak)
    return found
