import math

import pytest

from steadyhead.physics.air import air_at
from steadyhead.physics.forward import edgewise_loads
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import constant_section, model_section
from steadyhead.physics.trim import (
    STOP_SAYS,
    Stop,
    collective_for_thrust,
    collective_for_thrust_forward,
    forward_trim,
    greatest_thrust,
)

AIR = air_at(101325.0, 288.15)
ROTOR = Rotor(2.0, 0.69, 0.1, 0.054, 0.0)
SPEED = 200.0


@pytest.mark.parametrize("climb", [-12.0, -4.0, 0.0, 6.0])
@pytest.mark.parametrize("thrust", [-40.0, 0.0, 5.0, 35.0, 120.0])
def test_the_collective_found_gives_the_thrust(thrust, climb):
    collective, code = collective_for_thrust(ROTOR, model_section(), AIR, SPEED, thrust, climb)
    assert code == Stop.DONE
    found = axial_loads(ROTOR, model_section(), AIR, SPEED, collective, climb).thrust_n
    assert found == pytest.approx(thrust, rel=1e-6, abs=1e-5)


def test_a_thrust_beyond_stall_gives_the_collective_of_the_most():
    most, top = greatest_thrust(ROTOR, model_section(), AIR, SPEED, 0.0, 0.0)
    collective, code = collective_for_thrust(ROTOR, model_section(), AIR, SPEED, 1.2 * most, 0.0)
    assert code == Stop.STALLED
    assert axial_loads(ROTOR, model_section(), AIR, SPEED, collective, 0.0).thrust_n == pytest.approx(most, rel=1e-3)
    for beside in (-0.02, 0.02):
        assert axial_loads(ROTOR, model_section(), AIR, SPEED, top + beside, 0.0).thrust_n < most


def test_a_thrust_just_below_the_most_is_found_before_stall():
    most, top = greatest_thrust(ROTOR, model_section(), AIR, SPEED, 0.0, 0.0)
    collective, code = collective_for_thrust(ROTOR, model_section(), AIR, SPEED, 0.999 * most, 0.0)
    assert code == Stop.DONE
    assert collective < top


def test_pitch_without_end_runs_out_of_pitch():
    never_stalls = constant_section(5.75, 0.0113, alpha_stall_rad=math.radians(60.0))
    collective, code = collective_for_thrust(ROTOR, never_stalls, AIR, SPEED, 1e6, 0.0)
    assert code == Stop.OUT_OF_PITCH
    assert collective == pytest.approx(math.radians(30.0))


@pytest.mark.parametrize(("thrust", "climb"), [(18.3, -18.4), (-24.0, 9.8), (26.0, -24.0)])
def test_windmill_and_negative_thrust_in_climb_are_not_taken_for_stall(thrust, climb):
    rotor = Rotor(3.0, 0.5, 0.08, 0.04, 0.0)
    collective, code = collective_for_thrust(rotor, model_section(), AIR, SPEED, thrust, climb)
    assert code == Stop.DONE
    found = axial_loads(rotor, model_section(), AIR, SPEED, collective, climb).thrust_n
    assert found == pytest.approx(thrust, rel=1e-6)


def test_every_stop_has_its_sentence():
    assert set(STOP_SAYS) == set(Stop)


def test_the_collective_at_a_forward_speed_gives_the_thrust():
    collective, code = collective_for_thrust_forward(ROTOR, model_section(), AIR, SPEED, 60.0, 20.0, 0.1)
    assert code == Stop.DONE
    found = edgewise_loads(ROTOR, model_section(), AIR, SPEED, collective, 20.0, 0.1)
    assert found.thrust_n == pytest.approx(60.0, rel=1e-6)


@pytest.mark.parametrize("forward", [0.0, 5.0, 15.0, 30.0])
def test_level_flight_balances_weight_and_drag(forward):
    trim = forward_trim(ROTOR, model_section(), AIR, SPEED, 35.0, 0.015, forward)
    loads = edgewise_loads(ROTOR, model_section(), AIR, SPEED, trim.collective_rad, forward, trim.disc_angle_rad)
    sine, cosine = math.sin(trim.disc_angle_rad), math.cos(trim.disc_angle_rad)
    drag = 0.5 * AIR.density_kg_m3 * forward**2 * 0.015
    assert trim.code == Stop.DONE
    assert loads.thrust_n * cosine + loads.drag_n * sine == pytest.approx(35.0, rel=1e-4)
    assert loads.thrust_n * sine - loads.drag_n * cosine == pytest.approx(drag, rel=1e-3, abs=1e-9)


def test_a_load_that_flight_cannot_carry_says_stalled():
    assert forward_trim(ROTOR, model_section(), AIR, SPEED, 900.0, 0.015, 15.0).code == Stop.STALLED


def test_the_greatest_thrust_falls_with_speed_of_the_rotor():
    fast, _ = greatest_thrust(ROTOR, model_section(), AIR, SPEED, 0.0, 0.0)
    slow, _ = greatest_thrust(ROTOR, model_section(), AIR, 0.8 * SPEED, 0.0, 0.0)
    assert slow < 0.68 * fast
