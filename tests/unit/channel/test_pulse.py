import pytest

from steadyhead.channel.pulse import (
    guard_us,
    landed_percent,
    landed_us,
    nearest_step_us,
    percent_of,
    pulse_us,
    step_percent,
)
from tests.unit.channel.bench import pulse


def test_travel_moves_its_own_side_only() -> None:
    wider = pulse(travel_high_percent=110.0)
    assert pulse_us(wider, 100.0) == pytest.approx(1940.0)
    assert pulse_us(wider, 75.0) == pytest.approx(1720.0)
    assert pulse_us(wider, 25.0) == pytest.approx(1300.0)
    assert pulse_us(wider, 50.0) == pytest.approx(1500.0)


def test_a_pulse_lands_on_the_nearest_step() -> None:
    coarse = pulse(step_us=8.0)
    assert nearest_step_us(coarse, 1103.9) == 1100.0
    assert nearest_step_us(coarse, 1104.1) == 1108.0
    assert landed_us(coarse, 57.3) == 1556.0
    assert landed_percent(coarse, 57.3) == 57.0


def test_half_a_step_goes_up_even_when_arithmetic_rounds_it_down() -> None:
    assert nearest_step_us(pulse(step_us=0.1), 1100.25 - 1e-13) == pytest.approx(1100.3)


def test_without_steps_every_width_is_reachable() -> None:
    assert nearest_step_us(pulse(step_us=0.0), 1234.567) == 1234.567


def test_a_wider_travel_makes_a_step_fewer_percent() -> None:
    assert step_percent(pulse()) == pytest.approx(0.125)
    assert step_percent(pulse(travel_high_percent=125.0)) == pytest.approx(0.1)
    assert step_percent(pulse(travel_high_percent=125.0), 10.0) == pytest.approx(0.125)


def test_percent_beyond_the_ends_is_said_as_such() -> None:
    assert percent_of(pulse(), 1950.0) == pytest.approx(106.25)
    assert percent_of(pulse(travel_low_percent=80.0), 1100.0) == pytest.approx(-12.5)


def test_a_position_keeps_jitter_and_one_step_off_a_threshold() -> None:
    assert guard_us(pulse(jitter_us=2.5, step_us=4.0)) == 6.5
