import pytest

from steadyhead.plan.drive_point import (
    ControllerConstants,
    LoadLaw,
    MotorConstants,
    PackSupply,
    Supply,
    drive_point,
)
from steadyhead.words.errors import InputError
from tests.drive_rows import drive_rows, half_last_digit_percent

CASES = drive_rows("motor_three_constant_cases.csv")
FOX = MotorConstants(
    kv_rpm_per_v=560.0, resistance_ohm=0.015, no_load_current_a=2.0, no_load_speed_share=0.5, no_load_voltage_v=20.0
)
REAL = ControllerConstants(resistance_ohm=0.0015, switching_khz=8.0, switching_loss_us=1.0, ripple_factor=1.0)
PACK = PackSupply(cells=12, resistance_ohm=0.03, charge=0.6, temperature_c=20.0, slow_resistance_ohm=0.01, held_s=10.0)


def motor(row):
    return MotorConstants(
        kv_rpm_per_v=float(row["kv_rev_per_min_per_V"]),
        resistance_ohm=float(row["r_ohm"]),
        no_load_current_a=float(row["i0_A"]),
    )


@pytest.mark.parametrize("row", CASES, ids=lambda row: row["case"])
def test_three_constant_cases_come_out_through_the_public_function(row):
    # M. Drela, First-Order DC Electric Motor Model, MIT, 2007; numbers computed outside, printed to 3 decimals or more.
    supply, current = Supply(voltage_v=float(row["voltage_V"])), float(row["current_A"])
    got = drive_point(motor(row), supply, duty=1.0, motor_current_a=current)
    for figure, column in (
        (got.motor_rpm, "speed_rev_per_min"),
        (got.torque_nm, "torque_Nm"),
        (got.shaft_power_w, "shaft_power_W"),
        (got.efficiency, "efficiency"),
    ):
        printed = max(1e-5, half_last_digit_percent(row[column]) / 100.0) if float(row[column]) else 0.0
        assert figure == pytest.approx(float(row[column]), rel=printed, abs=1e-9), column
    assert got.efficiency == pytest.approx(got.motor_efficiency, rel=1e-12)


@pytest.mark.parametrize("row", [row for row in CASES if float(row["torque_Nm"]) > 0.0], ids=lambda row: row["case"])
def test_the_four_ways_to_ask_give_one_answer(row):
    supply, current = Supply(voltage_v=float(row["voltage_V"])), float(row["current_A"])
    known = drive_point(motor(row), supply, duty=0.9, motor_current_a=current)
    speed, torque = known.motor_rpm, known.torque_nm
    for asked in (
        {"torque_nm": torque, "motor_speed_rpm": speed},
        {"duty": 0.9, "motor_speed_rpm": speed},
        {"duty": 0.9, "torque_nm": torque},
        {"duty": 0.9, "load": LoadLaw(torque_nm=torque, at_rpm=speed)},
    ):
        got = drive_point(motor(row), supply, **asked)
        assert got.motor_rpm == pytest.approx(speed, rel=1e-9)
        assert got.torque_nm == pytest.approx(torque, rel=1e-6)
        assert got.duty == pytest.approx(0.9, rel=1e-9)
        assert got.held


def test_power_from_the_pack_is_shaft_power_and_losses():
    got = drive_point(FOX, PACK, REAL, torque_nm=0.8, motor_speed_rpm=17900.0)
    losses = (
        got.copper_loss_w, got.iron_loss_w, got.ripple_loss_w, got.conduction_loss_w, got.switching_loss_w,
        got.freewheel_loss_w,
    )  # fmt: skip
    assert got.held
    assert got.pack_power_w == pytest.approx(got.shaft_power_w + sum(losses), rel=1e-9)
    assert got.pack_power_w == pytest.approx(got.pack_voltage_v * got.pack_current_a, rel=1e-12)
    assert 0.0 < got.efficiency < got.motor_efficiency < 1.0


def test_a_speed_beyond_full_duty_is_not_held_and_says_so():
    got = drive_point(FOX, PACK, REAL, torque_nm=0.8, motor_speed_rpm=27000.0)
    assert not got.held
    assert got.duty > 1.0
    assert "full duty" in got.says


def test_a_cold_pack_sags_more():
    cold = drive_point(
        FOX,
        PackSupply(cells=12, resistance_ohm=0.03, charge=0.6, temperature_c=0.0),
        torque_nm=0.8,
        motor_speed_rpm=1e4,
    )
    warm = drive_point(
        FOX,
        PackSupply(cells=12, resistance_ohm=0.03, charge=0.6, temperature_c=30.0),
        torque_nm=0.8,
        motor_speed_rpm=1e4,
    )
    assert cold.pack_voltage_v < warm.pack_voltage_v
    assert cold.duty > warm.duty


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"duty": 0.5},
        {"torque_nm": 1.0},
        {"duty": 0.5, "torque_nm": 1.0, "motor_speed_rpm": 100.0},
        {"duty": 1.5, "motor_speed_rpm": 100.0},
        {"duty": 0.5, "motor_speed_rpm": -1.0},
        {"duty": 0.5, "motor_current_a": 1e6},
    ],
)
def test_questions_without_an_answer_are_refused(asked):
    with pytest.raises(InputError):
        drive_point(FOX, Supply(voltage_v=22.0), **asked)


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"kv_rpm_per_v": 0.0}, "kv_rpm_per_v"),
        ({"resistance_ohm": -0.1}, "resistance_ohm"),
        ({"no_load_speed_share": 0.5}, "no_load_voltage_v"),
    ],
)
def test_a_motor_that_cannot_be_is_refused_by_name(changed, place):
    numbers = {"kv_rpm_per_v": 500.0, "resistance_ohm": 0.02, "no_load_current_a": 1.0} | changed
    with pytest.raises(InputError, match=place):
        drive_point(MotorConstants(**numbers), Supply(voltage_v=20.0), duty=1.0, motor_speed_rpm=1000.0)
