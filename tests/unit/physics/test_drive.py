from math import pi

import pytest

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DRIVE_STOP_SAYS, DriveStop, Load, controller_loss, drive_at, full_duty, load_torque
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Pack, Source, pack_source

MOTOR = Motor(520.0 * pi / 30.0, 0.014, 2.4, 1100.0, 0.4)
CONTROLLER = Controller(0.0016, 12000.0, 1e-6, 1.0)
PACK = pack_source(Pack(12.0, 18000.0, 0.032, 0.012, 20.0), 0.5, 298.15, 8.0)
WARM_K = 340.0


def test_every_stop_code_has_its_sentence():
    assert set(DRIVE_STOP_SAYS) == set(DriveStop)


def test_a_hover_point_lies_between_idling_and_full_duty():
    hover = drive_at(MOTOR, CONTROLLER, PACK, 0.3, 1600.0, WARM_K)
    assert hover.code == DriveStop.DONE
    assert 0.0 < hover.duty < 1.0
    assert hover.pack_current_a < hover.motor_current_a
    assert hover.pack_voltage_v < PACK.open_circuit_v


def test_a_speed_out_of_reach_names_the_duty_that_is_missing():
    point = drive_at(MOTOR, CONTROLLER, PACK, 2.0, 2600.0, WARM_K)
    assert point.code == DriveStop.OVER_FULL_DUTY
    assert point.duty > 1.0
    assert "voltage is too low" in DRIVE_STOP_SAYS[DriveStop(point.code)]


def test_more_power_than_the_pack_has_is_refused():
    weak = Source(44.0, 0.5)
    assert drive_at(MOTOR, CONTROLLER, weak, 3.0, 1000.0, WARM_K).code == DriveStop.PACK_CANNOT


def test_duty_needed_passes_smoothly_through_full_duty():
    ceiling = full_duty(MOTOR, CONTROLLER, PACK, Load(0.6, 1600.0), WARM_K)
    torque, speed = ceiling.motor_torque_nm, ceiling.motor_speed_rad_s
    below = drive_at(MOTOR, CONTROLLER, PACK, torque, speed * (1.0 - 1e-6), WARM_K)
    above = drive_at(MOTOR, CONTROLLER, PACK, torque, speed * (1.0 + 1e-6), WARM_K)
    assert below.duty < 1.0 < above.duty
    assert above.duty - below.duty < 1e-5


def test_in_autorotation_the_motor_idles_whatever_the_head_does():
    free = drive_at(MOTOR, CONTROLLER, PACK, -4.0, 1600.0, WARM_K)
    assert free.code == DriveStop.IDLING
    assert free == drive_at(MOTOR, CONTROLLER, PACK, 0.0, 1600.0, WARM_K)
    assert free.motor_torque_nm == pytest.approx(0.0, abs=1e-12)


def test_a_drive_at_rest_without_load_is_no_error():
    still = drive_at(MOTOR, CONTROLLER, PACK, 0.0, 0.0, WARM_K)
    assert 0.0 < still.duty < 0.01
    nothing = drive_at(Motor(50.0, 0.01, 0.0, 1000.0, 0.0), CONTROLLER, PACK, 0.0, 0.0, WARM_K)
    assert nothing.duty == pytest.approx(0.0, abs=1e-9)


def test_a_hot_winding_needs_more_duty():
    cool = drive_at(MOTOR, CONTROLLER, PACK, 0.6, 1600.0, 293.15)
    assert drive_at(MOTOR, CONTROLLER, PACK, 0.6, 1600.0, 393.15).duty > cool.duty


def test_a_load_has_a_steady_and_a_growing_part():
    load = Load(2.0, 100.0, 2.0, 0.5)
    assert load_torque(load, 50.0) == pytest.approx(1.0, rel=1e-12)
    assert load_torque(load, 0.0) == 0.5


def test_a_motor_that_cannot_start_has_no_ceiling():
    stuck = full_duty(MOTOR, CONTROLLER, PACK, Load(500.0, 100.0, 0.0), WARM_K)
    assert stuck.code == DriveStop.PACK_CANNOT
    assert stuck.motor_speed_rad_s == pytest.approx(0.0, abs=1e-6)


def test_the_ripple_loss_warms_the_motor_and_not_the_controller():
    point = drive_at(MOTOR, CONTROLLER, PACK, 0.3, 1600.0, WARM_K)
    assert point.ripple_loss_w > 0.0
    assert controller_loss(point) == pytest.approx(point.conduction_loss_w + point.switching_loss_w, rel=1e-12)
