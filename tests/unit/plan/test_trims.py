import math

import pytest

from steadyhead.machine import si
from steadyhead.physics.rotor import axial_loads
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, HOVER, LOADS
from steadyhead.plan.trims import GRAVITY_M_S2
from tests.unit.plan.sample import fox, fox_solved

AT = {load: place for place, load in enumerate(LOADS)}


def test_hover_carries_the_weight_and_hard_cyclic_the_load_factor():
    solved = fox_solved()
    weight = si.number(fox(), "airframe.mass") * GRAVITY_M_S2
    thrust = solved.asked.thrust_n
    assert thrust[:, AT[HOVER]] == pytest.approx(weight, rel=1e-9)
    assert thrust[:, AT[HARD_CYCLIC]] == pytest.approx(weight * si.number(fox(), "limits.load_factor"), rel=1e-9)


def test_the_climb_begins_with_full_collective_in_the_inflow_of_a_hover():
    solved = fox_solved()
    craft, speed = solved.craft, float(solved.speeds_rad_s[0])
    loads = axial_loads(craft.rotor, craft.section, craft.air, speed, craft.collective_max_rad, 0.0)
    assert solved.asked.torque_nm[0, AT[CLIMB]] == pytest.approx(loads.torque_nm, rel=1e-12)
    assert solved.asked.collective_rad[0, AT[CLIMB]] == pytest.approx(craft.collective_max_rad)


def test_fast_forward_carries_weight_and_drag():
    solved = fox_solved()
    craft = solved.craft
    drag = 0.5 * craft.air.density_kg_m3 * craft.forward_m_s**2 * craft.drag_area_m2
    for mode in solved.trimmed:
        loads = mode[AT[FAST_FORWARD]].loads
        # Thrust and rearward force stand at right angles: together they are the whole force on the rotor.
        assert math.hypot(loads.thrust_n, loads.drag_n) == pytest.approx(math.hypot(craft.weight_n, drag), rel=1e-4)


def test_a_trim_that_ended_well_reaches_what_was_asked():
    for mode in fox_solved().trimmed:
        for one in mode:
            assert one.code == 0
            assert one.loads.thrust_n == pytest.approx(one.wanted_n, rel=1e-5)


def test_the_tail_answers_the_main_rotors_torque():
    solved = fox_solved()
    wanted = solved.asked.torque_nm / solved.craft.tail.arm_m
    assert solved.asked.tail_thrust_n == pytest.approx(wanted, rel=1e-8)
