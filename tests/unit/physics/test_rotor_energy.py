"""The energy words: closed forms, and what they must do at their ends."""

import math

import pytest

from steadyhead.physics.rotor_energy import (
    energy_height,
    hover_time,
    least_head_speed,
    rotor_energy,
    sink_energy,
    usable_energy,
)


def test_energy_goes_with_speed_squared_and_with_inertia():
    assert rotor_energy(0.04, 200.0) == pytest.approx(800.0)
    assert rotor_energy(0.04, 400.0) == pytest.approx(4.0 * rotor_energy(0.04, 200.0))


def test_height_and_time_are_energy_over_weight_and_power():
    assert energy_height(700.0, 35.0) == pytest.approx(20.0)
    assert hover_time(700.0, 350.0) == pytest.approx(2.0)


def test_usable_energy_is_what_lies_above_the_least_head_speed():
    least = least_head_speed(200.0, 35.0, 100.0)
    assert usable_energy(rotor_energy(0.04, 200.0), 35.0, 100.0) == pytest.approx(
        rotor_energy(0.04, 200.0) - rotor_energy(0.04, least)
    )


def test_a_rotor_that_cannot_carry_the_machine_has_nothing_to_give():
    assert usable_energy(800.0, 35.0, 35.0) == 0.0
    assert least_head_speed(200.0, 35.0, 35.0) > 200.0


def test_sinking_energy_is_that_of_the_mass():
    assert sink_energy(9.80665 * 3.6, 10.0) == pytest.approx(180.0)
    assert math.isnan(sink_energy(35.0, math.nan))
