import math

import numpy as np
import pytest

from steadyhead.machine import si
from steadyhead.physics.rotor import axial_loads
from steadyhead.plan.demand import GRAVITY_M_S2, aircraft, demand, moved_demand, trims
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, HOVER, LOADS
from tests.unit.plan.sample import fox, fox_solved

AT = {load: place for place, load in enumerate(LOADS)}
MOVED = ("rotor.chord", "rotor.drag_factor", "tail.radius", "airframe.mass", "airframe.drag_area", "site.temperature")


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
    assert np.all(solved.asked.thrust_n[:, AT[FAST_FORWARD]] > math.hypot(craft.weight_n, drag))


def test_a_trim_that_ended_well_reaches_what_was_asked():
    for mode in fox_solved().trimmed:
        for one in mode:
            assert one.code == 0
            assert one.loads.thrust_n == pytest.approx(one.wanted_n, rel=1e-5)


def test_the_tail_answers_the_main_rotors_torque():
    solved = fox_solved()
    wanted = solved.asked.torque_nm / solved.craft.tail.arm_m
    assert solved.asked.tail_thrust_n == pytest.approx(wanted, rel=1e-8)


@pytest.mark.parametrize("way", [-1.0, 1.0])
@pytest.mark.parametrize("key", MOVED)
def test_a_moved_input_gives_what_a_full_trim_gives(key, way):
    solved = fox_solved()
    moved = aircraft(fox().shifted(key, way))
    stepped = moved_demand(solved.trimmed, solved.craft, moved, solved.speeds_rad_s)
    full = demand(trims(moved, solved.speeds_rad_s), moved, solved.speeds_rad_s)
    effect = np.abs(full.torque_nm - solved.asked.torque_nm).max()
    # The last short step's error is of second order: held to 3 % of what the move itself does, and in forward flight,
    # where the rotor's own rearward force is kept from the unmoved trim, to 10 %; to the digits at which a trim stops.
    error = np.abs(stepped.torque_nm - full.torque_nm)
    assert error[:, :3].max() <= 0.03 * effect + 1e-5
    assert error.max() <= 0.1 * effect + 1e-5
    tail_effect = np.abs(full.tail_torque_nm - solved.asked.tail_torque_nm).max()
    assert np.abs(stepped.tail_torque_nm - full.tail_torque_nm).max() <= 0.1 * tail_effect + 1e-5


def test_a_rotor_that_cannot_carry_the_weight_says_so_and_gives_its_most():
    heavy = aircraft(fox().replaced({"airframe.mass": 15.0}))._replace(weight_n=2000.0)
    asked = demand(trims(heavy, np.array([150.0])), heavy, np.array([150.0]))
    assert asked.code[0, AT[HOVER]] != 0
    assert asked.thrust_n[0, AT[HOVER]] < asked.wanted_n[0, AT[HOVER]] == 2000.0
