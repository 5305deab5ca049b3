from math import pi

import pytest

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import controller_loss, drive_at
from steadyhead.physics.heat import ControllerHeat, HeatStop, MotorHeat, node_after, winding_after
from steadyhead.physics.held import Heats, drive_held
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source

MOTOR = Motor(520.0 * pi / 30.0, 0.014, 2.4, 1100.0, 0.4)
CONTROLLER = Controller(0.0016, 12000.0, 1e-6, 1.0)
SOURCE = Source(45.0, 0.04)
HEATS = Heats(MotorHeat(25.0, 0.6, 110.0, 0.9), ControllerHeat(90.0, 1.1))
AIR_K = 300.0


def test_point_and_temperatures_agree_with_each_other():
    held = drive_held(MOTOR, CONTROLLER, SOURCE, HEATS, 0.8, 1700.0, AIR_K, 60.0)
    again = drive_at(MOTOR, CONTROLLER, SOURCE, 0.8, 1700.0, held.winding.winding_k)
    iron = again.iron_loss_w + again.ripple_loss_w
    winding = winding_after(HEATS.motor, again.motor_current_a, MOTOR.resistance_20c_ohm, iron, AIR_K, 60.0)
    assert held.point.duty == pytest.approx(again.duty, rel=1e-6)
    assert held.winding.winding_k == pytest.approx(winding.winding_k, rel=1e-6)
    controller_k = node_after(HEATS.controller, controller_loss(again), AIR_K, 60.0)
    assert held.controller_k == pytest.approx(controller_k, rel=1e-6)


def test_a_load_held_longer_runs_hotter_and_needs_more_duty():
    short = drive_held(MOTOR, CONTROLLER, SOURCE, HEATS, 0.8, 1700.0, AIR_K, 5.0)
    long = drive_held(MOTOR, CONTROLLER, SOURCE, HEATS, 0.8, 1700.0, AIR_K, 60.0)
    assert long.winding.winding_k > short.winding.winding_k
    assert long.point.duty > short.point.duty


def test_a_load_that_would_burn_the_motor_is_reported_and_stays_finite():
    burnt = drive_held(MOTOR, CONTROLLER, Source(60.0, 0.0), HEATS, 6.0, 1000.0, AIR_K, 600.0)
    assert burnt.winding.code == HeatStop.RUNAWAY
    assert burnt.point.duty == pytest.approx(burnt.point.duty)
    assert 0.0 < burnt.point.duty < 2.0
