import math

import pytest

from steadyhead.physics.air import air_at
from steadyhead.physics.forward import edgewise_loads, level_cyclic
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import constant_section, model_section
from steadyhead.physics.trim import forward_trim

AIR = air_at(101325.0, 288.15)
ROTOR = Rotor(2.0, 0.69, 0.1, 0.054, 0.0)
SPEED = 200.0


def level_power(forward_m_s: float, drag_area_m2: float = 0.012) -> float:
    trim = forward_trim(ROTOR, model_section(), AIR, SPEED, 35.0, drag_area_m2, forward_m_s)
    loads = edgewise_loads(ROTOR, model_section(), AIR, SPEED, trim.collective_rad, forward_m_s, trim.disc_angle_rad)
    return loads.power_w


def test_without_speed_it_is_the_hover():
    hover = axial_loads(ROTOR, model_section(), AIR, SPEED, 0.08, 0.0)
    assert edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.08, 0.0, 0.3) == hover


def test_straight_up_it_is_the_climb():
    climb = axial_loads(ROTOR, model_section(), AIR, SPEED, 0.12, 4.0)
    upright = edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.12, 4.0, math.pi / 2.0)
    assert upright.thrust_n == pytest.approx(climb.thrust_n, rel=1e-3)
    assert upright.power_w == pytest.approx(climb.power_w, rel=1e-3)


def test_a_little_speed_changes_little():
    hover = axial_loads(ROTOR, model_section(), AIR, SPEED, 0.08, 0.0)
    slow = edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.08, 0.05, 0.0)
    assert slow.thrust_n == pytest.approx(hover.thrust_n, rel=2e-3)


def test_power_has_its_bucket_between_hover_and_fast_flight():
    powers = [level_power(speed) for speed in (0.0, 10.0, 30.0)]
    assert powers[1] < powers[0]
    assert powers[1] < powers[2]


def test_more_airframe_drag_needs_more_power():
    assert level_power(25.0, 0.02) > level_power(25.0, 0.01)


def test_extra_power_of_airframe_drag_is_drag_times_speed():
    thin, thick = (level_power(25.0, area) for area in (0.0100, 0.0101))
    drag_power = 0.5 * 1.225 * 25.0**3 * 0.0001
    assert thick - thin == pytest.approx(drag_power, rel=0.25)


def test_inflow_of_fast_flight_is_that_of_a_wing_with_uneven_load():
    section = constant_section(5.75, 0.0113)
    loads = edgewise_loads(ROTOR, section, AIR, SPEED, 0.08, 30.0, 0.05)
    ideal = loads.thrust_n / (2.0 * 1.225 * math.pi * 0.69**2 * 30.0)
    assert 0.95 < loads.inflow_m_s / ideal < 1.25


def test_flying_backwards_is_flying_forwards():
    ahead = edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.08, 20.0, 0.1)
    astern = edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.08, -20.0, -0.1)
    assert astern.thrust_n == pytest.approx(ahead.thrust_n, rel=1e-12)


def test_blade_drag_pulls_the_disc_back():
    assert edgewise_loads(ROTOR, model_section(), AIR, SPEED, 0.06, 20.0, 0.05).drag_n > 0.0


def test_the_advancing_blade_is_pitched_down():
    assert level_cyclic(0.12, 0.2, 0.02) < 0.0
    assert level_cyclic(0.12, 0.0, 0.02) == 0.0


def test_reverse_flow_at_a_high_advance_ratio_stays_a_number():
    loads = edgewise_loads(ROTOR, model_section(), AIR, 60.0, 0.1, 35.0, 0.2)
    assert all(math.isfinite(value) for value in loads)


def test_a_rotor_with_stubs_for_blades_still_flies() -> None:
    stubs = Rotor(2.0, 0.66, 0.5, 0.054, 0.0)
    flown = edgewise_loads(stubs, model_section(), AIR, 208.0, 0.14, 25.0, 0.05)
    hover = edgewise_loads(stubs, model_section(), AIR, 208.0, 0.14, 0.0, 0.0)
    assert hover.thrust_n < flown.thrust_n < 2.0 * hover.thrust_n
