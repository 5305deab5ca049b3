import math

import pytest

from steadyhead.physics.air import Air
from steadyhead.physics.flow_trim import Sought, collective_settled
from steadyhead.physics.rotor import Motion, Rotor
from steadyhead.physics.rotor_flow import settled_loads, still_flow
from steadyhead.physics.section import model_section
from steadyhead.physics.trim import Stop, collective_for_thrust, greatest_thrust

AIR = Air(1.2, 341.0, 1.5e-5)
ROTOR = Rotor(2.0, 0.66, 0.096, 0.054, 0.0)
TWISTED = Rotor(2.0, 0.66, 0.096, 0.054, math.radians(-8.0))
SECTION = model_section()


@pytest.mark.parametrize("rotor", [ROTOR, TWISTED])
@pytest.mark.parametrize("thrust", [-20.0, 5.0, 36.0, 80.0])
def test_the_settled_collective_gives_the_thrust_and_is_the_one_of_steady_flight(rotor, thrust):
    flow = still_flow()
    found, code = collective_settled(rotor, SECTION, AIR, Sought(thrust, 200.0, 0.0), flow)
    assert code == Stop.DONE
    loads = settled_loads(rotor, SECTION, AIR, Motion(200.0, found, 0.0, 0.0, 0.0), flow)
    assert loads.thrust_n == pytest.approx(thrust, rel=1e-6)
    # Twelve rings against the sixteen of the steady solve: 0.2 % of thrust, below 0.01 degrees of collective.
    steady = collective_for_thrust(rotor, SECTION, AIR, 200.0, thrust, 0.0)[0]
    assert found == pytest.approx(steady, abs=2e-4)


def test_no_thrust_needs_no_collective():
    assert collective_settled(ROTOR, SECTION, AIR, Sought(0.0, 200.0, 0.0), still_flow()) == (0.0, Stop.DONE)


def test_more_than_the_blades_give_is_told_as_stalled():
    most, _ = greatest_thrust(ROTOR, SECTION, AIR, 200.0, 0.0, 0.0)
    assert collective_settled(ROTOR, SECTION, AIR, Sought(0.98 * most, 200.0, 0.0), still_flow())[1] == Stop.DONE
    assert collective_settled(ROTOR, SECTION, AIR, Sought(1.02 * most, 200.0, 0.0), still_flow())[1] != Stop.DONE


def test_a_speed_that_is_no_number_is_never_done():
    assert collective_settled(ROTOR, SECTION, AIR, Sought(30.0, math.nan, 0.0), still_flow())[1] != Stop.DONE
