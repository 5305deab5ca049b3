import pytest

from steadyhead.physics.motor import (
    COPPER_REFERENCE_K,
    Motor,
    current_for_torque,
    kv_from_no_load,
    no_load_current,
    no_load_speed,
    shaft_torque,
    speed_at,
    terminal_voltage,
    winding_resistance,
)

MOTOR = Motor(50.0, 0.015, 2.0, 1000.0, 0.4)


def test_copper_at_120_c_has_39_percent_more_resistance():
    assert winding_resistance(0.010, COPPER_REFERENCE_K + 100.0) == pytest.approx(0.01393, rel=1e-12)
    assert winding_resistance(0.010, COPPER_REFERENCE_K) == 0.010


def test_the_no_load_current_is_the_stated_one_at_its_own_speed_and_grows_by_its_share():
    assert no_load_current(MOTOR, 1000.0) == pytest.approx(2.0, rel=1e-12)
    assert no_load_current(MOTOR, 0.0) == pytest.approx(1.2, rel=1e-12)
    assert no_load_current(MOTOR, 2000.0) == pytest.approx(2.8, rel=1e-12)


def test_a_share_of_zero_needs_no_speed_for_the_no_load_current():
    assert no_load_current(Motor(50.0, 0.015, 2.0, 0.0, 0.0), 1234.0) == 2.0


def test_torque_and_current_undo_each_other():
    assert shaft_torque(MOTOR, current_for_torque(MOTOR, 0.7, 1500.0), 1500.0) == pytest.approx(0.7, rel=1e-12)


def test_below_the_no_load_current_the_motor_brakes():
    assert shaft_torque(MOTOR, 0.0, 1000.0) == pytest.approx(-0.04, rel=1e-12)


def test_voltage_and_speed_undo_each_other_with_a_hot_winding():
    volts = terminal_voltage(MOTOR, 60.0, 1500.0, 390.0)
    assert speed_at(MOTOR, volts, 60.0, 390.0) == pytest.approx(1500.0, rel=1e-12)


def test_at_no_load_speed_the_no_load_current_flows_and_no_torque_is_left():
    speed = no_load_speed(MOTOR, 22.0, COPPER_REFERENCE_K)
    current = no_load_current(MOTOR, speed)
    assert speed_at(MOTOR, 22.0, current, COPPER_REFERENCE_K) == pytest.approx(speed, rel=1e-12)


def test_a_voltage_that_friction_eats_leaves_the_motor_at_rest():
    assert no_load_speed(MOTOR, 0.001, COPPER_REFERENCE_K) == 0.0


def test_kv_comes_back_from_a_no_load_reading():
    speed = no_load_speed(MOTOR, 20.0, COPPER_REFERENCE_K)
    assert kv_from_no_load(20.0, no_load_current(MOTOR, speed), speed, 0.015) == pytest.approx(50.0, rel=1e-12)
