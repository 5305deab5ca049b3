import itertools
import math

import pytest

from steadyhead.physics import rotor as rotor_module
from steadyhead.physics.air import air_at
from steadyhead.physics.rotor import Motion, Rotor, axial_loads, disc_loads, fejer_rule, figure_of_merit, ring_at
from steadyhead.physics.section import constant_section, model_section

AIR = air_at(101325.0, 288.15)
ROTOR = Rotor(2.0, 0.69, 0.1, 0.054, 0.0)
SPEED = 200.0
# The body of the kernel in plain Python sees a replaced rule; the compiled one has frozen its own.
plain_disc_loads = getattr(disc_loads, "py_func", disc_loads)


def test_the_rule_integrates_polynomials_and_a_root_exactly_enough():
    for points in (12, 16, 48):
        rule = fejer_rule(points)
        assert rule[:, 1].sum() == pytest.approx(1.0, rel=1e-12)
        assert (rule[:, 1] * rule[:, 0] ** 7).sum() == pytest.approx(1.0 / 8.0, rel=1e-12)
        assert (rule[:, 1] * (1.0 - rule[:, 0]) ** 0.5).sum() == pytest.approx(2.0 / 3.0, rel=2e-3)


@pytest.mark.parametrize(("pitch_deg", "through", "edgewise"), [(4.0, 0.0, 0.0), (9.0, 3.0, 0.0), (6.0, 2.0, 25.0)])
@pytest.mark.parametrize("blades", [2.0, 5.0])
def test_twice_as_many_rings_change_thrust_by_less_than_a_thousandth(monkeypatch, pitch_deg, through, edgewise, blades):
    motion = Motion(SPEED, math.radians(pitch_deg), 0.0, through, edgewise)
    rotor = ROTOR._replace(blades=blades)
    usual = plain_disc_loads(rotor, model_section(), AIR, motion)
    for name in ("AXIAL_RULE", "FLIGHT_RULE"):
        monkeypatch.setattr(rotor_module, name, fejer_rule(2 * len(getattr(rotor_module, name))))
    finer = plain_disc_loads(rotor, model_section(), AIR, motion)
    assert usual.thrust_n == pytest.approx(finer.thrust_n, rel=1e-3)
    assert usual.torque_nm == pytest.approx(finer.torque_nm, rel=1e-3)


def test_no_pitch_no_thrust_and_only_drag_to_overcome():
    section = constant_section(5.75, 0.0113)
    loads = axial_loads(ROTOR, section, AIR, SPEED, 0.0, 0.0)
    assert loads.thrust_n == 0.0
    assert loads.induced_power_w == 0.0
    # Q = rho/2 B c cd0 w^2 (R^4 - r0^4) / 4
    by_hand = 0.5 * 1.225 * 2.0 * 0.054 * 0.0113 * SPEED**2 * (0.69**4 - 0.1**4) / 4.0
    assert loads.torque_nm == pytest.approx(by_hand, rel=1e-3)


def test_negative_collective_pushes_down():
    loads = axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(-6.0), 0.0)
    assert loads.thrust_n < -20.0
    assert loads.inflow_m_s < 0.0
    assert loads.power_w > 0.0


def test_climb_at_one_thrust_costs_power_and_descent_gives_it_back():
    powers = [axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(6.0), v).induced_power_w for v in (0.0, 2.0)]
    assert powers[1] < powers[0]
    windmill = axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(-2.0), -14.0)
    assert windmill.thrust_n > 0.0
    assert windmill.induced_power_w < 0.0
    assert windmill.profile_power_w > 0.0


def test_ideal_power_is_never_beaten_in_hover():
    for pitch_deg in (3.0, 6.0, 9.0, 12.0):
        loads = axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(pitch_deg), 0.0)
        ideal = loads.thrust_n**1.5 / math.sqrt(2.0 * 1.225 * math.pi * 0.69**2)
        assert loads.induced_power_w > 1.03 * ideal
        assert figure_of_merit(loads, ROTOR, AIR) == pytest.approx(ideal / loads.power_w, rel=1e-6)


def test_no_thrust_has_no_figure_of_merit():
    loads = axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(-3.0), 0.0)
    assert math.isnan(figure_of_merit(loads, ROTOR, AIR))


def test_steep_pitch_stalls_a_growing_share_of_the_disc():
    shares = [
        axial_loads(ROTOR, model_section(), AIR, SPEED, math.radians(p), 0.0).stalled_share for p in (6.0, 20.0, 26.0)
    ]
    assert shares[0] == 0.0
    assert shares[0] < shares[1] <= shares[2]


def test_collective_is_the_pitch_at_three_quarters_of_the_radius():
    twisted = ROTOR._replace(twist_rad=math.radians(-8.0))
    motion = Motion(SPEED, 0.1, 0.0, 0.0, 0.0)
    assert ring_at(twisted, AIR, motion, 0.75 * 0.69).pitch_rad == pytest.approx(0.1)
    assert ring_at(twisted, AIR, motion, 0.69).pitch_rad == pytest.approx(0.1 - math.radians(2.0))


def test_twist_saves_induced_power_at_one_thrust():
    section = constant_section(5.75, 0.0113)
    plain = axial_loads(ROTOR, section, AIR, SPEED, math.radians(8.0), 0.0)
    low, high = 0.0, 0.3
    twisted = ROTOR._replace(twist_rad=math.radians(-10.0))
    for _ in range(50):
        middle = 0.5 * (low + high)
        loads = axial_loads(twisted, section, AIR, SPEED, middle, 0.0)
        low, high = (middle, high) if loads.thrust_n < plain.thrust_n else (low, middle)
    assert loads.induced_power_w < plain.induced_power_w


def test_descent_is_continuous_through_the_vortex_ring():
    section = constant_section(5.75, 0.0113, 0.0, 1.0)
    loads = [axial_loads(ROTOR, section, AIR, SPEED, math.radians(6.0), -0.05 * step) for step in range(500)]
    thrusts = [point.thrust_n for point in loads]
    assert max(abs(b - a) for a, b in itertools.pairwise(thrusts)) < 2.5
    assert loads[0].power_w > 0.0 > loads[-1].power_w
