"""One load flown level: what is left over is nothing, and the engine's own rates say so."""

import math

import numpy as np
import pytest

from steadyhead import job
from steadyhead.flight.governor_case import bench
from steadyhead.flight.level_flight import level_flight
from steadyhead.flight.linear_rates import ALOFT_M
from steadyhead.physics.craft import GRAVITY_M_S2, NO_LOADS, Acting, State
from steadyhead.physics.flight_step import climb_rate
from steadyhead.physics.rotor_flow import RINGS

BENCH = bench(job.read_machine(job.bundled("fox600")))


@pytest.mark.parametrize(("ahead_m_s", "weights"), [(0.0, 1.0), (0.0, 2.0), (15.0, 1.0)])
def test_the_collective_found_carries_the_load_level(ahead_m_s: float, weights: float) -> None:
    craft, head = BENCH.rig.craft, BENCH.rig.set_rad_s[1]
    weight = weights * craft.body.mass_kg * GRAVITY_M_S2
    first = Acting(0.0, 0.08, ahead_m_s, 0.0, weights)
    level = level_flight(craft, head, first, NO_LOADS._replace(thrust_n=weight), np.zeros((3, RINGS)))
    assert level.found
    state = State(head, 0.0, ALOFT_M, 0.0, 0.5, 0.0, 300.0, 300.0, 300.0, 1.0)
    acting = Acting(0.0, level.collective_rad, ahead_m_s, 0.0, weights, 0.0, math.nan)
    assert abs(climb_rate(craft, state, acting, level.held)) < 1e-3 * GRAVITY_M_S2
    assert level.held.lift_n == pytest.approx(weight, rel=1e-3)
    assert (level.tilting.rearward_n > 0.0) is (ahead_m_s > 0.0)


def test_a_load_that_no_collective_carries_is_not_found() -> None:
    craft, head = BENCH.rig.craft, 0.25 * BENCH.rig.set_rad_s[0]
    weight = 4.0 * craft.body.mass_kg * GRAVITY_M_S2
    first = Acting(0.0, 0.3, 0.0, 0.0, 4.0)
    assert not level_flight(craft, head, first, NO_LOADS._replace(thrust_n=weight), np.zeros((3, RINGS))).found
