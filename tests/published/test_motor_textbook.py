"""Permanent-magnet machine: Fitzgerald, Kingsley, Umans, Electric Machinery, 6th ed., 2003, Example 7.9.

From memory; the recomputed column was made outside this project without the book's early rounding. Constants come
from the no-load test, then the loaded point follows: 0.1 % to the recomputed column, 3 % to the book.
"""

import pytest

from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.controller import Controller
from steadyhead.physics.motor import COPPER_REFERENCE_K, Motor, kv_from_no_load
from steadyhead.physics.pack import Source
from tests.agrees import agrees
from tests.drive_rows import RAD_S_PER_RPM, drive_rows

ROWS = {row["quantity"]: row for row in drive_rows("motor_textbook_example.csv")}


def recomputed(quantity: str) -> float:
    return float(ROWS[quantity]["recomputed_unrounded"])


def motor_of_the_book() -> Motor:
    speed = recomputed("no-load speed") * RAD_S_PER_RPM
    volts, amps, ohms = (recomputed(f"{q}") for q in ("no-load voltage", "no-load current", "armature resistance"))
    return Motor(kv_from_no_load(volts, amps, speed, ohms), ohms, amps, speed, 0.0)


def loaded_figures() -> dict[str, float]:
    motor, speed = motor_of_the_book(), 1700.0 * RAD_S_PER_RPM
    perfect = Controller(0.0, 16000.0, 0.0, 0.0)
    point = point_at_duty(motor, perfect, Source(48.0, 0.0), 1.0, speed, COPPER_REFERENCE_K)
    back_v = speed / motor.kv_rad_s_v
    no_load_loss = recomputed("no-load current") * recomputed("no-load speed") * RAD_S_PER_RPM / motor.kv_rad_s_v
    return {
        "torque constant": 1.0 / motor.kv_rad_s_v,
        "no-load rotational loss": no_load_loss,
        "back-EMF at 1700 rev/min": back_v,
        "current at 48 V and 1700 rev/min": point.motor_current_a,
        "electromagnetic power": point.motor_current_a * back_v,
        "shaft power (constant loss power)": point.motor_current_a * back_v - no_load_loss,
        "shaft power (constant no-load current)": point.shaft_power_w,
    }


@pytest.mark.parametrize("quantity", list(loaded_figures()))
def test_the_loaded_point_follows_from_the_no_load_test(quantity):
    got = loaded_figures()[quantity]
    assert agrees(got, recomputed(quantity), percent=0.1, because="the same sums without the book's early rounding")
    if ROWS[quantity]["book_value"]:
        book = float(ROWS[quantity]["book_value"])
        assert agrees(got, book, percent=3.0, because="the book rounds its torque constant to two digits")
