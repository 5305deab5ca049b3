import math

import pytest

from steadyhead.physics.gears import Gears
from steadyhead.physics.ramp import RampLoad, bearing_peak, ramp_torque

GEARS = Gears(9.0, 0.96, 0.04)
LOAD = RampLoad(
    speed_rad_s=200.0, from_rad_s=0.0, rotor_nm=2.0, tail_nm=0.3, head_kg_m2=0.035, motor_kg_m2=1e-4,
    head_drag_nm=0.02, tail_on_head=1.0, one_way_play_rad=math.nan, stiffness_nm_rad=math.nan, catches_up=1.0,
)  # fmt: skip


def test_at_rest_only_inertia_and_drag_are_carried():
    assert ramp_torque(LOAD, 0.0, 100.0) == pytest.approx((3.52, 3.52))


def test_at_head_speed_the_whole_load_comes_on():
    assert ramp_torque(LOAD, 200.0, 100.0)[0] == pytest.approx(3.52 + 2.3)


def test_a_tail_on_the_motors_side_passes_the_gears_and_not_the_bearing():
    carried, whole = ramp_torque(LOAD._replace(tail_on_head=0.0), 200.0, 100.0)
    assert carried == pytest.approx(3.52 + 2.0)
    assert whole - carried == pytest.approx(0.3)


def test_half_the_speed_asks_a_quarter_of_the_load():
    assert ramp_torque(LOAD, 100.0, 0.0)[0] - 0.02 == pytest.approx(2.3 / 4.0)


@pytest.mark.parametrize("gone", ["one_way_play_rad", "stiffness_nm_rad"])
def test_a_catch_up_without_play_or_stiffness_is_not_known(gone):
    known = LOAD._replace(one_way_play_rad=0.03, stiffness_nm_rad=300.0)
    assert math.isnan(bearing_peak(known._replace(**{gone: math.nan}), GEARS, 5.0, 100.0))


def test_the_peak_grows_with_play_and_with_stiffness():
    known = LOAD._replace(one_way_play_rad=0.03, stiffness_nm_rad=300.0)
    peak = bearing_peak(known, GEARS, 5.0, 100.0)
    assert bearing_peak(known._replace(one_way_play_rad=0.06), GEARS, 5.0, 100.0) > peak
    assert bearing_peak(known._replace(stiffness_nm_rad=600.0), GEARS, 5.0, 100.0) > peak
    assert peak > 10.0


def test_from_rest_the_torque_carried_is_the_peak():
    assert bearing_peak(LOAD._replace(catches_up=0.0), GEARS, 5.0, 100.0) == 5.0
