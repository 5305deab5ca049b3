import pytest

from steadyhead.physics.controller import Controller
from steadyhead.physics.feed import duty_for, fed_voltage, pack_current, sag_gap, sagged_voltage
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source

MOTOR = Motor(50.0, 0.015, 2.0, 1000.0, 0.5)
CONTROLLER = Controller(0.002, 16000.0, 1e-6, 1.0, 0.4)
PLAIN = Controller(0.002, 16000.0, 0.0, 0.0)


def test_duty_is_wanted_over_pack_voltage_without_a_freewheel_drop():
    assert duty_for(PLAIN, 11.0, 44.0) == 0.25


def test_a_plain_chopper_draws_duty_times_motor_current():
    assert pack_current(PLAIN, MOTOR, 40.0, 44.0, 0.25) == 10.0


def test_the_sag_of_a_plain_chopper_is_the_root_of_its_quadratic():
    got = sagged_voltage(MOTOR, PLAIN, Source(44.0, 0.04), 60.0, 30.0)
    root = 22.0 + (22.0**2 - 0.04 * 60.0 * 30.0) ** 0.5
    assert got == pytest.approx(root, rel=1e-12)


def test_a_stiff_supply_does_not_sag():
    assert sagged_voltage(MOTOR, CONTROLLER, Source(44.0, 0.0), 60.0, 30.0) == pytest.approx(44.0, rel=1e-12)


def test_a_large_current_at_low_voltage_is_found_although_full_duty_would_collapse():
    source = Source(44.0, 0.04)
    assert sag_gap(MOTOR, PLAIN, source, 1000.0, 5.0, 5.0) < 0.0
    got = sagged_voltage(MOTOR, PLAIN, source, 1000.0, 5.0)
    assert got == pytest.approx(22.0 + (22.0**2 - 0.04 * 1000.0 * 5.0) ** 0.5, rel=1e-12)


def test_no_voltage_feeds_what_the_pack_does_not_have():
    assert sagged_voltage(MOTOR, PLAIN, Source(44.0, 0.04), 2000.0, 10.0) == -1.0
    assert sagged_voltage(MOTOR, PLAIN, Source(20.0, 0.04), 10.0, 30.0) == -1.0


def test_the_voltage_under_a_given_duty_closes_its_own_loop():
    source = Source(44.0, 0.04)
    volts = fed_voltage(MOTOR, CONTROLLER, source, 60.0, 0.7)
    assert volts + 0.04 * pack_current(CONTROLLER, MOTOR, 60.0, volts, 0.7) == pytest.approx(44.0, rel=1e-12)
