import math

import pytest

from steadyhead.physics.air import air_at
from steadyhead.physics.ring import bracketed_inflow, loss_factor, ring_balance, ring_inflow
from steadyhead.physics.rotor import Motion, Rotor, ring_at
from steadyhead.physics.section import model_section

AIR = air_at(101325.0, 288.15)
ROTOR = Rotor(2.0, 0.69, 0.1, 0.054, 0.0)
FLOWS = [(0.0, 0.0), (6.0, 0.0), (-3.0, 0.0), (-9.0, 0.0), (-14.0, 0.0), (1.0, 20.0), (-6.0, 12.0)]


@pytest.mark.parametrize(("through", "edgewise"), FLOWS)
@pytest.mark.parametrize("pitch_deg", [-11.0, -2.0, 0.5, 5.0, 11.0, 20.0])
@pytest.mark.parametrize("radius", [0.12, 0.4, 0.65, 0.688])
def test_the_inflow_found_balances_blade_and_momentum(through, edgewise, pitch_deg, radius):
    ring = ring_at(ROTOR, AIR, Motion(200.0, math.radians(pitch_deg), 0.0, through, edgewise), radius)
    inflow = ring_inflow(ring, model_section())
    speeds = ring.tangential_m_s + abs(through) + edgewise
    sides = [ring_balance(ring, model_section(), inflow + step * 1e-6 * speeds) for step in (-1.0, 1.0)]
    assert sides[0] >= 0.0 >= sides[1] or abs(sides[0]) < 1e-4 * speeds**2


@pytest.mark.parametrize(("through", "edgewise"), FLOWS)
def test_the_net_below_the_quick_search_finds_the_same_inflow(through, edgewise):
    for pitch_deg in (-6.0, 2.0, 6.0):
        ring = ring_at(ROTOR, AIR, Motion(200.0, math.radians(pitch_deg), 0.0, through, edgewise), 0.5)
        quick, net = ring_inflow(ring, model_section()), bracketed_inflow(ring, model_section())
        assert quick == pytest.approx(net, abs=1e-5)


def test_tip_and_root_lose_and_the_middle_does_not():
    def loss(radius: float) -> float:
        return loss_factor(ring_at(ROTOR, AIR, Motion(200.0, 0.1, 0.0, 0.0, 0.0), radius), 0.04)

    assert loss(0.6899) < 0.3
    assert loss(0.1001) < 0.3
    assert loss(0.4) > 0.99


def test_no_air_through_the_disc_no_loss():
    ring = ring_at(ROTOR, AIR, Motion(200.0, 0.0, 0.0, 0.0, 0.0), 0.68)
    # The exponential stands still at exp(-30): tip and root are one less 6e-14 each.
    assert loss_factor(ring, 0.0) == pytest.approx(1.0, abs=2e-13)
    assert ring_inflow(ring, model_section()) == 0.0


def test_a_tip_loss_by_hand():
    # B/2 (R - r)/(r sin phi) = 0.09/(0.6 * 0.05) = 3; 2/pi acos(exp(-3)) = 0.96829
    ring = ring_at(ROTOR, AIR, Motion(200.0, 0.1, 0.0, 0.0, 0.0), 0.6)
    assert loss_factor(ring, 0.05) == pytest.approx(0.96829, rel=1e-4)
