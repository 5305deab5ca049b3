"""Percent of the throttle channel to pulse width and back, with travel adjust, steps and jitter."""

import math
from typing import NamedTuple

CENTRE_PERCENT = 50.0
DIGITS = 9
ROUNDING = 1e-9
"""Share of a step by which half a step may be missed through the rounding of floating-point numbers."""


class Pulse(NamedTuple):
    """How one transmitter sends its throttle channel.

    `low_us` and `high_us` are the pulses at 0 % and 100 % with both travels at 100 %. `jitter_us` is the largest
    departure of a sent pulse from the one asked for, one way.
    """

    low_us: float
    high_us: float
    step_us: float
    jitter_us: float = 0.0
    travel_low_percent: float = 100.0
    travel_high_percent: float = 100.0


def us_per_percent(pulse: Pulse, percent: float) -> float:
    """Pulse width for one percent of the channel at this position, us per percent.

    s = (high - low) / 100 · travel / 100, the travel of the side that the position lies on
    Valid: any position; at the centre the high side counts.
    Source: servo pulse conventions, centre of the span at half channel; rows in
    tests/data/channel/servo_pulse_conventions.csv.
    """
    travel = pulse.travel_low_percent if percent < CENTRE_PERCENT else pulse.travel_high_percent
    return (pulse.high_us - pulse.low_us) / 100.0 * travel / 100.0


def pulse_us(pulse: Pulse, percent: float) -> float:
    """Pulse width asked for at a channel position, us, before it is rounded to a step.

    t = centre + (percent - 50) · s
    Valid: any percent; the travel of each side scales from the centre.
    Source: as `us_per_percent`.
    """
    centre = 0.5 * (pulse.low_us + pulse.high_us)
    return centre + (percent - CENTRE_PERCENT) * us_per_percent(pulse, percent)


def percent_of(pulse: Pulse, width_us: float) -> float:
    """Channel position that asks for a pulse width, percent: the reverse of `pulse_us`.

    Valid: both travels above zero.
    """
    centre = 0.5 * (pulse.low_us + pulse.high_us)
    side = 0.0 if width_us < centre else 100.0
    return CENTRE_PERCENT + (width_us - centre) / us_per_percent(pulse, side)


def nearest_step_us(pulse: Pulse, width_us: float) -> float:
    """Reachable pulse width nearest to the one asked for, us.

    t = low + step · floor((width - low) / step + 1/2)
    Valid: the steps are counted from `low_us`. A device that counts from elsewhere lands within half a step of this,
    which is why every margin here holds back one whole step. A step of 0 means that every width is reachable.
    """
    if pulse.step_us <= 0.0:
        return width_us
    count = math.floor((width_us - pulse.low_us) / pulse.step_us + 0.5 + ROUNDING)
    return round(pulse.low_us + pulse.step_us * count, DIGITS)


def landed_us(pulse: Pulse, percent: float) -> float:
    """Pulse width really sent at a channel position, us, without jitter."""
    return nearest_step_us(pulse, pulse_us(pulse, percent))


def landed_percent(pulse: Pulse, percent: float) -> float:
    """Channel position that the sent pulse stands for, percent."""
    return round(percent_of(pulse, landed_us(pulse, percent)), DIGITS)


def step_percent(pulse: Pulse, percent: float = 100.0) -> float:
    """One step of the channel at this position, percent."""
    return pulse.step_us / us_per_percent(pulse, percent)


def guard_us(pulse: Pulse) -> float:
    """What a position must keep off a threshold, us: the jitter and one whole step.

    Source: common practice, no source.
    """
    return pulse.jitter_us + pulse.step_us


def step_of_levels_us(span_us: float, levels: int) -> float:
    """One step of a channel whose end codes fall on the ends of the span, us.

    step = span / (levels - 1)
    Valid: two levels or more.
    Source: arithmetic; cases in tests/data/channel/servo_quantisation_cases.csv.
    """
    return span_us / (levels - 1)


def step_of_counter_us(frame_rate_hz: float, counts: int) -> float:
    """One step of a pulse generator that counts through the whole frame, us.

    step = 1e6 / (frame rate · counts)
    Source: as `step_of_levels_us`.
    """
    return 1e6 / (frame_rate_hz * counts)


def speed_per_step(step_percent_: float, speed_at_full_rpm: float) -> float:
    """Speed of one step where speed is proportional to the channel, in the unit of `speed_at_full_rpm`.

    Valid: no load, proportional law; for a measured law multiply the step by its slope instead.
    Source: as `step_of_levels_us`.
    """
    return step_percent_ / 100.0 * speed_at_full_rpm
