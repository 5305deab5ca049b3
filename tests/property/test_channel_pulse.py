"""Pulses: any transmitter, any position."""

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyhead.channel.autorotation_window import autorotation_window
from steadyhead.channel.end_points import travel_that_lands
from steadyhead.channel.pulse import (
    Pulse,
    guard_us,
    landed_percent,
    landed_us,
    nearest_step_us,
    percent_of,
    pulse_us,
    step_percent,
)
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.channel.thresholds import start_delay_s
from tests.naive import channel_line as plain

PERCENT = st.floats(0.0, 100.0)
PULSE = st.builds(
    Pulse,
    low_us=st.floats(800.0, 1200.0),
    high_us=st.floats(1700.0, 2300.0),
    step_us=st.floats(0.1, 20.0),
    jitter_us=st.floats(0.0, 10.0),
    travel_low_percent=st.floats(30.0, 150.0),
    travel_high_percent=st.floats(30.0, 150.0),
)


@settings(deadline=None)
@given(PULSE, PERCENT)
def test_percent_to_pulse_and_back_is_the_same_position(pulse: Pulse, percent: float) -> None:
    assert abs(percent_of(pulse, pulse_us(pulse, percent)) - percent) < 1e-9


@settings(deadline=None)
@given(PULSE, PERCENT)
def test_a_landed_position_is_within_half_a_step(pulse: Pulse, percent: float) -> None:
    assert abs(landed_us(pulse, percent) - pulse_us(pulse, percent)) <= 0.5 * pulse.step_us + 1e-6
    widest = max(step_percent(pulse, 0.0), step_percent(pulse, 100.0))
    assert abs(landed_percent(pulse, percent) - percent) <= 0.5 * widest + 1e-6


@settings(deadline=None)
@given(PULSE, PERCENT)
def test_a_landed_pulse_is_a_whole_number_of_steps_and_stays_there(pulse: Pulse, percent: float) -> None:
    landed = landed_us(pulse, percent)
    count = (landed - pulse.low_us) / pulse.step_us
    assert abs(count - round(count)) < 1e-6
    assert nearest_step_us(pulse, landed) == landed


@settings(deadline=None)
@given(PULSE, PERCENT)
def test_the_landed_pulse_is_the_one_a_plain_search_finds(pulse: Pulse, percent: float) -> None:
    asked = pulse_us(pulse, percent)
    found = plain.landed(pulse.low_us, pulse.step_us, asked)
    assert abs(abs(found - asked) - abs(landed_us(pulse, percent) - asked)) < 1e-6


@settings(deadline=None)
@given(PULSE, PERCENT, PERCENT)
def test_more_percent_never_sends_a_shorter_pulse(pulse: Pulse, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert landed_us(pulse, low) <= landed_us(pulse, high)


@settings(deadline=None)
@given(PULSE, st.floats(0.0, 45.0), st.floats(0.0, 45.0))
def test_the_window_keeps_off_both_thresholds_and_loses_less_than_a_step_on_each_side(
    pulse: Pulse, cut_off: float, gap: float
) -> None:
    setting = ChannelSetting(pulse=pulse, cut_off_percent=Doubted(cut_off), start_percent=Doubted(cut_off + gap))
    stop_us, start_us = pulse_us(pulse, cut_off), pulse_us(pulse, cut_off + gap)
    window = autorotation_window(setting)
    if window is None:
        assert start_us - stop_us < 2.0 * guard_us(pulse) + pulse.step_us + 1e-6
        return
    assert -1e-6 <= window.low_us - stop_us - guard_us(pulse) <= pulse.step_us + 1e-6
    assert -1e-6 <= start_us - window.high_us - guard_us(pulse) <= pulse.step_us + 1e-6


@settings(deadline=None)
@given(PULSE, st.floats(700.0, 2500.0), st.sampled_from([-1.0, 1.0]), st.sampled_from([1.0, 0.1]))
def test_the_travel_reaches_and_lands_beyond_the_learned_end_and_one_less_does_not(
    pulse: Pulse, learned_us: float, sign: float, travel_step: float
) -> None:
    travel = travel_that_lands(pulse, learned_us, sign, travel_step)
    if travel is None:
        return
    end = 0.0 if sign < 0.0 else 100.0

    def beyond(travel_percent: float) -> float:
        moved = pulse._replace(travel_low_percent=travel_percent, travel_high_percent=travel_percent)
        return sign * (landed_us(moved, end) - learned_us)

    assert beyond(travel) >= -1e-6
    reached = sign * (pulse_us(pulse._replace(travel_low_percent=travel, travel_high_percent=travel), end) - learned_us)
    assert reached >= -1e-6
    if travel > travel_step:
        less = travel - travel_step
        moved = pulse._replace(travel_low_percent=less, travel_high_percent=less)
        assert beyond(less) < 1e-6 or sign * (pulse_us(moved, end) - learned_us) < 1e-6


@settings(deadline=None)
@given(st.floats(0.0, 60.0), st.floats(0.0, 100.0), st.floats(0.1, 500.0), st.floats(0.05, 5.0))
def test_a_start_is_late_by_the_gap_and_at_most_one_step(start: float, origin: float, rate: float, step: float) -> None:
    delay = start_delay_s(start, origin, rate, step)
    if origin > start:
        assert delay == 0.0
    else:
        gap = start - origin
        assert gap / rate - 1e-6 <= delay <= (gap + step) / rate + 1e-6
        assert delay > 0.0
