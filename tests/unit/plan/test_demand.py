import math

import numpy as np

from steadyhead.plan.demand import demand
from steadyhead.plan.loads import LOADS
from steadyhead.plan.trims import aircraft, trims
from tests.unit.plan.sample import fox

AT = {load: place for place, load in enumerate(LOADS)}
HOVER = "hover"


def test_a_rotor_that_cannot_carry_the_weight_says_so_and_gives_its_most():
    heavy = aircraft(fox().replaced({"airframe.mass": 15.0}))._replace(weight_n=2000.0)
    asked = demand(trims(heavy, np.array([150.0])), heavy, np.array([150.0]))
    assert asked.code[0, AT[HOVER]] != 0
    assert asked.thrust_n[0, AT[HOVER]] < asked.wanted_n[0, AT[HOVER]] == 2000.0


def test_a_rotor_that_answers_beyond_belief_is_left_without_figures():
    craft, speeds = aircraft(fox()), np.array([200.0])
    (mode,) = trims(craft, speeds)
    mad = mode[0]._replace(loads=mode[0].loads._replace(thrust_n=1e150), code=2)
    asked = demand(((mad, *mode[1:]),), craft, speeds)
    assert math.isnan(asked.torque_nm[0, 0])
    assert asked.code[0, 0] != 0
    assert np.all(np.isfinite(asked.torque_nm[0, 1:]))
