"""What must hold for every rotor: the power closes, laws of scale and mirror, and no thrust for nothing."""

import math

import pytest
from hypothesis import given, settings

from steadyhead.physics.air import Air
from steadyhead.physics.forward import edgewise_loads
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import model_section
from steadyhead.physics.trim import Stop, collective_for_thrust
from tests.property.rotor_draws import AIR, SECTION, between, pitches, rotors, tip_speeds

CHECKED = settings(max_examples=60, deadline=None, derandomize=True)
SETTLED = 1e-6


@CHECKED
@given(rotors(), tip_speeds(), pitches(-14.0, 16.0), between(-2.0, 1.0))
def test_power_is_induced_plus_profile_and_torque_times_speed(rotor, tip_speed, pitch, climb_share):
    speed = tip_speed / rotor.radius_m
    loads = axial_loads(rotor, model_section(), AIR, speed, pitch, climb_share * 5.0)
    assert loads.power_w == pytest.approx(loads.induced_power_w + loads.profile_power_w, rel=1e-9)
    assert loads.power_w == pytest.approx(loads.torque_nm * speed, rel=1e-9)
    assert loads.profile_power_w > 0.0
    assert 0.0 <= loads.stalled_share <= 1.0


@CHECKED
@given(rotors(), tip_speeds(), pitches(-8.0, 12.0), between(1.0, 35.0), between(-0.1, 0.3))
def test_power_closes_in_forward_flight(rotor, tip_speed, pitch, forward, angle):
    speed = tip_speed / rotor.radius_m
    loads = edgewise_loads(rotor, model_section(), AIR, speed, pitch, forward, angle)
    assert all(math.isfinite(value) for value in loads)
    assert loads.power_w == pytest.approx(loads.induced_power_w + loads.profile_power_w, rel=1e-9)


@CHECKED
@given(rotors(twisted=False), tip_speeds(), pitches(0.0, 9.5), between(0.1, 2.0))
def test_more_collective_never_needs_less_power_in_hover_past_zero_lift(rotor, tip_speed, pitch, step_deg):
    speed = tip_speed / rotor.radius_m
    for section in (SECTION, model_section()):
        less = axial_loads(rotor, section, AIR, speed, pitch, 0.0)
        more = axial_loads(rotor, section, AIR, speed, pitch + math.radians(step_deg), 0.0)
        assert more.power_w >= less.power_w


@CHECKED
@given(rotors(), tip_speeds(), pitches(-8.0, 9.0), between(0.1, 2.0), between(-0.5, 1.0))
def test_more_collective_gives_more_thrust_below_stall(rotor, tip_speed, pitch, step_deg, climb_share):
    speed = tip_speed / rotor.radius_m
    less = axial_loads(rotor, SECTION, AIR, speed, pitch, climb_share * 3.0)
    more = axial_loads(rotor, SECTION, AIR, speed, pitch + math.radians(step_deg), climb_share * 3.0)
    assert more.thrust_n > less.thrust_n


@CHECKED
@given(rotors(), tip_speeds(), pitches(2.0, 12.0), between(0.5, 1.5), between(0.5, 2.0))
def test_thrust_and_torque_scale_with_density_and_speed_squared(rotor, tip_speed, pitch, thinner, faster):
    speed = tip_speed / rotor.radius_m
    base = axial_loads(rotor, SECTION, AIR, speed, pitch, 1.0)
    thin = axial_loads(rotor, SECTION, AIR._replace(density_kg_m3=AIR.density_kg_m3 * thinner), speed, pitch, 1.0)
    fast = axial_loads(rotor, SECTION, AIR, speed * faster, pitch, faster)
    assert thin.thrust_n == pytest.approx(base.thrust_n * thinner, rel=SETTLED)
    assert thin.torque_nm == pytest.approx(base.torque_nm * thinner, rel=SETTLED)
    assert fast.thrust_n == pytest.approx(base.thrust_n * faster**2, rel=SETTLED)
    assert fast.power_w == pytest.approx(base.power_w * faster**3, rel=SETTLED)


@CHECKED
@given(rotors(), tip_speeds(), pitches(2.0, 12.0), between(0.5, 3.0))
def test_a_scaled_rotor_at_the_same_tip_speed_scales_with_its_area(rotor, tip_speed, pitch, bigger):
    big = Rotor(*(value * bigger if name.endswith("_m") else value for name, value in rotor._asdict().items()))
    small_loads = axial_loads(rotor, SECTION, AIR, tip_speed / rotor.radius_m, pitch, 0.0)
    big_loads = axial_loads(big, SECTION, AIR, tip_speed / big.radius_m, pitch, 0.0)
    assert big_loads.thrust_n == pytest.approx(small_loads.thrust_n * bigger**2, rel=SETTLED)
    assert big_loads.power_w == pytest.approx(small_loads.power_w * bigger**2, rel=SETTLED)


@CHECKED
@given(rotors(), tip_speeds(), pitches(0.5, 14.0), between(-8.0, 5.0))
def test_negative_collective_mirrors_thrust_and_keeps_torque(rotor, tip_speed, pitch, climb):
    speed = tip_speed / rotor.radius_m
    mirrored = rotor._replace(twist_rad=-rotor.twist_rad)
    up = axial_loads(rotor, model_section(), AIR, speed, pitch, climb)
    down = axial_loads(mirrored, model_section(), AIR, speed, -pitch, -climb)
    # Descent of the one is climb of the other, but the finer rings follow the descent of thrust upwards only.
    close = 1e-6 if climb == 0.0 else 0.02 * max(abs(up.thrust_n), 0.01 * speed)
    assert down.thrust_n == pytest.approx(-up.thrust_n, abs=close)


@CHECKED
@given(rotors(), tip_speeds(), pitches(2.0, 9.0), between(-0.4, 0.8))
def test_the_collective_found_gives_the_thrust_asked_for(rotor, tip_speed, pitch, climb_share):
    speed = tip_speed / rotor.radius_m
    wanted = axial_loads(rotor, model_section(), AIR, speed, pitch, climb_share * 4.0).thrust_n
    collective, code = collective_for_thrust(rotor, model_section(), AIR, speed, wanted, climb_share * 4.0)
    found = axial_loads(rotor, model_section(), AIR, speed, collective, climb_share * 4.0)
    assert code == Stop.DONE
    assert found.thrust_n == pytest.approx(wanted, rel=1e-6, abs=1e-6)


@CHECKED
@given(rotors(), tip_speeds(), between(0.3, 1.2), between(100.0, 3000.0))
def test_every_point_of_a_wide_sweep_is_a_number(rotor, tip_speed, density, height):
    air = Air(density, 330.0, 1.4e-5 + height * 1e-9)
    speed = tip_speed / rotor.radius_m
    for pitch_deg in (-30.0, -12.0, -3.0, 0.0, 3.0, 12.0, 30.0):
        for climb in (-30.0, -12.0, -5.0, -1e-6, 0.0, 1e-6, 5.0, 30.0):
            loads = axial_loads(rotor, model_section(), air, speed, math.radians(pitch_deg), climb)
            assert all(math.isfinite(value) for value in loads)
