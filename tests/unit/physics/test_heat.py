from math import isinf

import pytest

from steadyhead.physics.heat import (
    HEAT_STOP_SAYS,
    ControllerHeat,
    HeatStop,
    MotorHeat,
    copper_node_after,
    growth_integral,
    node_after,
    winding_after,
)

MOTOR = MotorHeat(25.0, 0.6, 110.0, 0.9)


def test_nothing_warms_in_no_time():
    assert winding_after(MOTOR, 80.0, 0.012, 60.0, 300.0, 0.0).winding_k == 300.0
    assert node_after(ControllerHeat(80.0, 1.0), 20.0, 300.0, 0.0) == 300.0


def test_the_controller_settles_at_loss_times_resistance_to_air():
    assert node_after(ControllerHeat(80.0, 1.5), 20.0, 300.0, 1e6) == pytest.approx(330.0, rel=1e-12)


def test_at_first_the_winding_warms_by_its_own_loss_alone():
    early = winding_after(MOTOR, 80.0, 0.012, 0.0, 293.15, 0.01)
    assert early.winding_k - 293.15 == pytest.approx(80.0**2 * 0.012 * 0.01 / 25.0, rel=1e-3)


def test_a_motor_held_for_ever_comes_to_its_settled_temperature():
    late = winding_after(MOTOR, 60.0, 0.012, 40.0, 300.0, 1e5)
    assert late.winding_k == pytest.approx(late.settled_winding_k, rel=1e-9)
    assert late.winding_k > late.case_k > 300.0


def test_a_winding_that_runs_away_says_so_in_words():
    hot = winding_after(MOTOR, 200.0, 0.012, 40.0, 300.0, 60.0)
    assert hot.code == HeatStop.RUNAWAY
    assert isinf(hot.settled_winding_k)
    assert "burns the motor" in HEAT_STOP_SAYS[HeatStop(hot.code)]


def test_right_at_the_edge_of_runaway_the_temperature_is_still_finite():
    heat = ControllerHeat(100.0, 1.0)
    edge = copper_node_after(heat, 1.0, 1.0 / 0.00393, 0.0, 293.15, 100.0)
    assert edge.feedback == pytest.approx(1.0, rel=1e-12)
    assert edge.temperature_k - 293.15 == pytest.approx(1.0 / 0.00393, rel=1e-9)


def test_the_growth_integral_is_the_time_where_nothing_grows():
    assert growth_integral(0.0, 7.0) == 7.0
    assert growth_integral(1e-9, 7.0) == pytest.approx(7.0, rel=1e-8)
