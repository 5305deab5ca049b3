"""The rotor-speed governor: a sampled PI(D) law with collective feed-forward, a set-point ramp and duty limits.

Gains are physical: duty for one unit of relative speed error, and per second of it. A device's own gain numbers mean
something else, so advice on them is relative.
"""

import math
from typing import NamedTuple

from steadyhead.physics.kernel import kernel


class Governor(NamedTuple):
    """What the governor does. SI; duty 0 to 1, errors relative to the set speed.

    `collective_duty_per_rad` is feed-forward; `speed_duty` the duty added for the set speed itself, per rad/s;
    `filter_s` smooths the measured speed, `sensor_step_rad_s` is its resolution, `sensor_delay_s` its age.
    """

    sample_s: float
    gain: float
    gain_per_s: float
    gain_s: float
    collective_duty_per_rad: float
    speed_duty_s_rad: float
    duty_low: float
    duty_high: float
    filter_s: float
    sensor_step_rad_s: float
    sensor_delay_s: float
    set_rate_per_s: float


class GovernorState(NamedTuple):
    """What the governor remembers: integral as duty, filtered speed, set-point on its ramp, last error and duty."""

    integral: float
    seen_rad_s: float
    set_rad_s: float
    error: float
    duty: float


@kernel
def quantised(speed_rad_s: float, step_rad_s: float) -> float:
    """Speed as a sensor of limited resolution tells it, rad/s.

    Valid: a step of 0 means no quantisation.
    Source: definition; the nearest step.
    """
    if step_rad_s <= 0.0:
        return speed_rad_s
    return step_rad_s * math.floor(speed_rad_s / step_rad_s + 0.5)


@kernel
def ramped(set_rad_s: float, wanted_rad_s: float, rate_rad_s2: float, sample_s: float) -> float:
    """Set-point one sample on along its ramp, rad/s.

    Valid: a rate of 0 or less means no ramp.
    Source: definition.
    """
    if rate_rad_s2 <= 0.0:
        return wanted_rad_s
    most = rate_rad_s2 * sample_s
    return set_rad_s + min(max(wanted_rad_s - set_rad_s, -most), most)


@kernel
def governed(
    governor: Governor, before: GovernorState, measured_rad_s: float, set_rad_s: float, goal_rad_s: float,
    collective_rad: float,
) -> GovernorState:  # fmt: skip
    """One sample of the governor: its new memory, with the duty that holds until the next sample.

    d = d_set + k_ff |collective| + kp e + I + kd de/dt, e = (set - seen) / goal; I grows by ki e dt
    Anti-windup: the integral stands still while the duty is at a limit and the error would push it further.
    Valid: goal > 0 (the set speed that errors count against, the end of a ramp); measured speed >= 0.
    Source: PI(D) with conditional integration, Astrom and Hagglund, Advanced PID Control, 2006 (from memory).
    """
    share = 1.0 if governor.filter_s <= 0.0 else -math.expm1(-governor.sample_s / governor.filter_s)
    seen = before.seen_rad_s + share * (quantised(measured_rad_s, governor.sensor_step_rad_s) - before.seen_rad_s)
    error = (set_rad_s - seen) / goal_rad_s
    growth = governor.gain_per_s * error * governor.sample_s
    steep = governor.gain_s * (error - before.error) / governor.sample_s
    ahead = governor.speed_duty_s_rad * set_rad_s + governor.collective_duty_per_rad * abs(collective_rad)
    wanted = ahead + governor.gain * error + before.integral + growth + steep
    duty = min(max(wanted, governor.duty_low), governor.duty_high)
    winds_up = (wanted > governor.duty_high and growth > 0.0) or (wanted < governor.duty_low and growth < 0.0)
    integral = before.integral if winds_up else before.integral + growth
    return GovernorState(integral, seen, set_rad_s, error, duty)
