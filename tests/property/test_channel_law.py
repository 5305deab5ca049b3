"""The set-point law: any readings that agree with each other."""

import dataclasses

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyhead.channel.curve import mode_curve
from steadyhead.channel.fitted_law import FittedLaw, head_speed_interval_rpm, head_speed_rpm, percent_for, slope_at
from steadyhead.channel.line_fit import affine
from steadyhead.channel.next_reading import next_reading
from steadyhead.channel.pulse import Pulse, step_percent
from steadyhead.channel.reading_doubt import interval_factor
from steadyhead.channel.result import Reading
from steadyhead.channel.set_point_law import points_of, set_point_law
from steadyhead.channel.setting import ChannelSetting, Mode

SHAPES = ("straight", "through zero", "ceiling", "floor", "bowed")


@st.composite
def readings(draw: st.DrawFn) -> tuple[Reading, ...]:
    """Readings of a law of some shape, with errors inside their spreads."""
    shape = draw(st.sampled_from(SHAPES))
    percents = draw(st.lists(st.integers(20, 100), min_size=2, max_size=7, unique=True))
    slope, offset = draw(st.floats(10.0, 40.0)), draw(st.floats(-300.0, 900.0))
    knee = draw(st.floats(40.0, 80.0))
    spread = draw(st.sampled_from([0.0, 4.0, 12.0]))
    found = []
    for percent in percents:
        at = {"ceiling": min(percent, knee), "floor": max(percent, knee)}.get(shape, percent)
        rpm = slope * at + (0.0 if shape == "through zero" else offset) + 400.0
        rpm -= 0.15 * slope * (at - 60.0) ** 2 / 60.0 if shape == "bowed" else 0.0
        error = draw(st.floats(-1.0, 1.0)) * (spread or 4.0)
        found.append(Reading(percent=percent, head_speed_rpm=max(rpm + error, 50.0), spread_rpm=spread, source="drawn"))
    return tuple(found)


def along(law: FittedLaw) -> np.ndarray:
    first, last = law.span_percent
    return np.linspace(first, last, 61)


@settings(deadline=None)
@given(readings())
def test_a_law_that_rises_never_asks_for_less_with_more_channel(given_readings: tuple[Reading, ...]) -> None:
    law = set_point_law(given_readings)
    asked = np.array([head_speed_rpm(law, float(at)) for at in along(law)])
    assert np.all(np.diff(asked) >= -1e-6)


@settings(deadline=None)
@given(readings())
def test_the_interval_holds_the_law_itself(given_readings: tuple[Reading, ...]) -> None:
    law = set_point_law(given_readings)
    for at in along(law):
        low, high = head_speed_interval_rpm(law, float(at))
        assert low - 1e-6 <= head_speed_rpm(law, float(at)) <= high + 1e-6


@settings(deadline=None)
@given(readings(), st.randoms(use_true_random=False))
def test_the_order_of_the_readings_changes_nothing(given_readings: tuple[Reading, ...], shuffler: object) -> None:
    shuffled = list(given_readings)
    shuffler.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = set_point_law(given_readings), set_point_law(shuffled)
    assert (one.kind, one.because) == (other.kind, other.because)
    for at in along(one):
        assert head_speed_rpm(one, float(at)) == head_speed_rpm(other, float(at))


@settings(deadline=None)
@given(readings(), st.floats(0.0, 1.0))
def test_the_position_for_a_head_speed_asks_for_that_head_speed(
    given_readings: tuple[Reading, ...], share: float
) -> None:
    law = set_point_law(given_readings)
    first, last = law.span_percent
    low, high = head_speed_rpm(law, first), head_speed_rpm(law, last)
    rpm = low + share * (high - low)
    percent = percent_for(law, rpm, first, last)
    assert percent is not None
    assert abs(head_speed_rpm(law, percent) - rpm) < 1e-4 * rpm


@settings(max_examples=60, deadline=None)
@given(readings(), st.floats(0.1, 0.9), st.floats(0.2, 8.0))
def test_a_curve_value_gives_its_target_within_a_step(
    given_readings: tuple[Reading, ...], share: float, step_us: float
) -> None:
    law = set_point_law(given_readings)
    first, last = law.span_percent
    target = head_speed_rpm(law, first + share * (last - first))
    setting = ChannelSetting(pulse=Pulse(1100.0, 1900.0, step_us), steady_band_percent=100.0)
    curve = mode_curve(law, Mode("drawn", target, None), setting)
    assert curve.curve_percent is not None
    assert curve.expected_rpm is not None
    steepest = max(slope_at(law, float(at)) for at in along(law))
    assert abs(curve.expected_rpm - target) <= steepest * step_percent(setting.pulse) + 1e-6


@settings(deadline=None)
@given(readings(), st.integers(0, 6))
def test_an_equal_reading_never_widens_the_interval_of_a_line(given_readings: tuple[Reading, ...], which: int) -> None:
    stated = tuple(dataclasses.replace(one, spread_rpm=one.spread_rpm or 7.0) for one in given_readings)
    more = (*stated, stated[which % len(stated)])
    before, after = affine(points_of(stated)), affine(points_of(more))
    factors = [interval_factor(line.misfit, line.freedom, stated=True) for line in (before, after)]
    for at in (0.0, 30.0, 55.0, 80.0, 100.0):
        assert factors[1] * after.deviation_rpm(at) <= factors[0] * before.deviation_rpm(at) * (1.0 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(readings())
def test_the_next_reading_lies_on_the_running_channel(given_readings: tuple[Reading, ...]) -> None:
    modes = (Mode("one", 1500.0, 50.0), Mode("two", 2000.0, None))
    setting = ChannelSetting(pulse=Pulse(1100.0, 1900.0, 1.0), modes=modes)
    asked = next_reading(set_point_law(given_readings), setting)
    assert asked.percent is not None
    assert 0.0 <= asked.percent <= 100.0
    assert asked.because
