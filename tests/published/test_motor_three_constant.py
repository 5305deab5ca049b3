"""Three-constant motor: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007.

Equations from memory; the numbers were computed outside this project and agree with AeroSandbox 4.2.10 to the printed
digits (comment lines of the file). Held to 1e-5 relative, or half of the last printed digit where that is coarser.
"""

import pytest

from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import drive_at
from steadyhead.physics.motor import (
    COPPER_REFERENCE_K,
    Motor,
    best_efficiency,
    best_efficiency_current,
    no_load_speed,
    shaft_torque,
    speed_at,
    stall_current,
)
from steadyhead.physics.pack import Source
from tests.agrees import agrees
from tests.drive_rows import RAD_S_PER_RPM, drive_rows, half_last_digit_percent

ROWS = drive_rows("motor_three_constant_cases.csv")
LOADED = [row for row in ROWS if float(row["torque_Nm"]) > 0.0]
PERFECT = Controller(0.0, 16000.0, 0.0, 0.0)


def motor_of(row: dict[str, str]) -> Motor:
    kv = float(row["kv_rev_per_min_per_V"]) * RAD_S_PER_RPM
    return Motor(kv, float(row["r_ohm"]), float(row["i0_A"]), 1000.0, 0.0)


def same(got: float, row: dict[str, str], column: str) -> bool:
    percent = max(1e-3, half_last_digit_percent(row[column]))
    return agrees(got, float(row[column]), percent=percent, because="exact arithmetic, rounded in print only")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_speed_and_the_closed_forms_follow_the_three_constant_motor(row):
    motor, volts, amps = motor_of(row), float(row["voltage_V"]), float(row["current_A"])
    cold = COPPER_REFERENCE_K
    assert same(speed_at(motor, volts, amps, cold) / RAD_S_PER_RPM, row, "speed_rev_per_min")
    assert same(best_efficiency_current(motor, volts, cold), row, "current_at_max_eff_A")
    assert same(best_efficiency(motor, volts, cold), row, "max_efficiency")
    assert same(no_load_speed(motor, volts, cold) / RAD_S_PER_RPM, row, "no_load_speed_rev_per_min")
    assert same(stall_current(motor, volts, cold), row, "stall_current_A")


@pytest.mark.parametrize("row", LOADED, ids=lambda row: row["case"])
def test_torque_power_and_efficiency_follow_the_three_constant_motor(row):
    motor, volts, amps = motor_of(row), float(row["voltage_V"]), float(row["current_A"])
    speed = speed_at(motor, volts, amps, COPPER_REFERENCE_K)
    torque = shaft_torque(motor, amps, speed)
    assert same(torque, row, "torque_Nm")
    assert same(torque * speed, row, "shaft_power_W")
    assert same(torque * speed / (volts * amps), row, "efficiency")


@pytest.mark.parametrize("row", LOADED, ids=lambda row: row["case"])
def test_the_whole_drive_with_a_perfect_controller_comes_to_the_same_point(row):
    motor, volts = motor_of(row), float(row["voltage_V"])
    speed = speed_at(motor, volts, float(row["current_A"]), COPPER_REFERENCE_K)
    given = point_at_duty(motor, PERFECT, Source(volts, 0.0), 1.0, speed, COPPER_REFERENCE_K)
    assert same(given.motor_current_a, row, "current_A")
    assert same(given.shaft_power_w, row, "shaft_power_W")
    almost = given.motor_torque_nm * (1.0 - 1e-9)
    asked = drive_at(motor, PERFECT, Source(volts, 0.0), almost, speed, COPPER_REFERENCE_K)
    assert asked.code == 0
    assert same(asked.pack_current_a, row, "current_A")
    assert agrees(asked.duty, 1.0, percent=1e-3, because="the published point is at full duty")


def test_no_torque_is_left_at_the_no_load_current():
    (row,) = [row for row in ROWS if row["case"] == "D5"]
    motor = motor_of(row)
    speed = speed_at(motor, float(row["voltage_V"]), float(row["current_A"]), COPPER_REFERENCE_K)
    assert abs(shaft_torque(motor, float(row["current_A"]), speed)) < 1e-15
