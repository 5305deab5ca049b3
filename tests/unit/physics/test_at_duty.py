from math import pi

import pytest

from steadyhead.physics.at_duty import point_at_duty, settled_at_duty
from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DriveStop, Load, drive_at, load_torque
from steadyhead.physics.motor import Motor, no_load_current
from steadyhead.physics.pack import Source

MOTOR = Motor(520.0 * pi / 30.0, 0.014, 2.4, 1100.0, 0.4)
CONTROLLER = Controller(0.0016, 12000.0, 1e-6, 1.0)
SOURCE = Source(45.0, 0.04)
WARM_K = 340.0


def test_the_point_at_a_duty_is_the_point_that_needed_that_duty():
    asked = drive_at(MOTOR, CONTROLLER, SOURCE, 0.5, 1500.0, WARM_K)
    given = point_at_duty(MOTOR, CONTROLLER, SOURCE, asked.duty, 1500.0, WARM_K)
    assert given.motor_torque_nm == pytest.approx(0.5, rel=1e-9)
    assert given.pack_power_w == pytest.approx(asked.pack_power_w, rel=1e-9)


def test_a_motor_turned_faster_than_its_duty_draws_nothing_and_drags():
    over = point_at_duty(MOTOR, CONTROLLER, SOURCE, 0.3, 2000.0, WARM_K)
    assert over.code == DriveStop.IDLING
    assert over.motor_current_a == 0.0
    assert over.motor_torque_nm == pytest.approx(-no_load_current(MOTOR, 2000.0) / MOTOR.kv_rad_s_v, rel=1e-12)


def test_no_duty_draws_no_motor_current():
    assert point_at_duty(MOTOR, CONTROLLER, SOURCE, 0.0, 500.0, WARM_K).pack_current_a == 0.0


def test_a_load_settles_where_motor_and_load_torque_meet():
    load = Load(0.6, 1600.0)
    point = settled_at_duty(MOTOR, CONTROLLER, SOURCE, load, 0.7, WARM_K)
    assert point.code == DriveStop.DONE
    assert point.motor_torque_nm == pytest.approx(load_torque(load, point.motor_speed_rad_s), rel=1e-6)


def test_more_duty_turns_the_same_load_faster():
    load = Load(0.6, 1600.0)
    speeds = [
        settled_at_duty(MOTOR, CONTROLLER, SOURCE, load, duty, WARM_K).motor_speed_rad_s
        for duty in (0.4, 0.6, 0.8, 1.0)
    ]
    assert speeds == sorted(speeds)
    assert speeds[0] < speeds[-1]
