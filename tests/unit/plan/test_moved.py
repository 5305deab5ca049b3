import numpy as np
import pytest

from steadyhead.plan.demand import demand
from steadyhead.plan.loads import LOADS
from steadyhead.plan.moved import moved_demand
from steadyhead.plan.trims import aircraft, trims
from tests.unit.plan.sample import fox, fox_solved

MOVED = ("rotor.chord", "rotor.drag_factor", "tail.radius", "airframe.mass", "airframe.drag_area", "site.temperature")


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


def test_a_load_that_was_not_reached_stays_at_the_most_the_rotor_gives():
    speeds = np.array([75.0])
    heavy = aircraft(fox().replaced({"airframe.mass": 15.0}))
    trimmed = trims(heavy, speeds)
    hover = LOADS.index("hover")
    assert trimmed[0][hover].code != 0
    lighter = heavy._replace(weight_n=0.99 * heavy.weight_n)
    asked = moved_demand(trimmed, heavy, lighter, speeds)
    assert asked.wanted_n[0, hover] == pytest.approx(lighter.weight_n)
    assert asked.thrust_n[0, hover] == pytest.approx(trimmed[0][hover].loads.thrust_n)
