import pytest

from steadyhead.plan.curve import HIGHEST_DUTY, head_speed_against_duty
from steadyhead.plan.figures import AT
from tests.unit.plan.sample import fox, fox_solved, without_modes


@pytest.fixture(scope="module")
def curves():
    return {curve.condition: curve for curve in head_speed_against_duty(fox())}


def test_there_is_a_curve_for_every_load_and_pack_state(curves):
    assert len(curves) == 24


def test_more_head_speed_takes_more_duty(curves):
    for curve in curves.values():
        assert list(curve.head_speed_rpm) == sorted(curve.head_speed_rpm)
        assert list(curve.duty) == sorted(curve.duty)
        assert max(curve.duty) <= HIGHEST_DUTY


def test_the_curves_run_through_the_points_of_the_plan(curves):
    import numpy as np

    figures = fox_solved().central.figures
    for load, name in ((0, "hover, full pack, warm"), (1, "climb, pack at reserve, cold")):
        state = 0 if "full" in name else 5
        curve = curves[name]
        for mode in range(2):
            at = figures[mode, load, state]
            there = np.interp(at[AT["head_speed_rpm"]], curve.head_speed_rpm, curve.duty)
            assert there == pytest.approx(at[AT["duty"]], abs=0.004)


def test_without_flight_modes_there_is_no_curve():
    assert head_speed_against_duty(without_modes()) == ()
