import math

import pytest

from steadyhead.physics.air import air_at
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.section import model_section
from steadyhead.physics.tail import Tail, tail_loads
from steadyhead.physics.trim import Stop

AIR = air_at(101325.0, 288.15)
TAIL = Tail(Rotor(2.0, 0.13, 0.03, 0.027, 0.0), 4.6, 0.8)


def test_the_tail_holds_the_torque_of_the_main_rotor():
    loads = tail_loads(TAIL, model_section(), AIR, 200.0, 2.4)
    assert loads.code == Stop.DONE
    assert loads.thrust_n * TAIL.arm_m == pytest.approx(2.4, rel=1e-6)
    alone = axial_loads(TAIL.rotor, model_section(), AIR, 200.0 * 4.6, loads.pitch_rad, 0.0)
    assert loads.power_w == pytest.approx(alone.power_w)
    assert loads.torque_at_main_shaft_nm * 200.0 == pytest.approx(loads.power_w, rel=1e-9)


def test_the_tail_of_a_model_takes_a_usual_share_of_power():
    share = tail_loads(TAIL, model_section(), AIR, 200.0, 2.4).power_w / (2.4 * 200.0)
    assert 0.05 < share < 0.15


def test_torque_the_other_way_needs_pitch_the_other_way():
    right, left = (tail_loads(TAIL, model_section(), AIR, 200.0, torque) for torque in (1.5, -1.5))
    assert left.pitch_rad == pytest.approx(-right.pitch_rad, rel=1e-6)
    assert left.power_w == pytest.approx(right.power_w, rel=1e-6)


def test_a_tail_without_load_still_has_drag():
    loads = tail_loads(TAIL, model_section(), AIR, 200.0, 0.0)
    assert loads.pitch_rad == pytest.approx(0.0, abs=1e-6)
    assert loads.power_w > 5.0


def test_a_torque_the_tail_cannot_hold_says_stalled_and_gives_the_most():
    loads = tail_loads(TAIL, model_section(), AIR, 200.0, 60.0)
    assert loads.code == Stop.STALLED
    assert loads.thrust_n * TAIL.arm_m < 60.0
    assert math.degrees(loads.pitch_rad) > 8.0
