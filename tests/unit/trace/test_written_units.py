"""Tenths and hundredths of a unit, however they are written: right, or left out and said; never ignored."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.headings import heading_of as parted
from steadyhead.trace.units import scale_alone, units_named
from tests.unit.trace.flights import CURRENT_A, DUTY, HEAD_RPM, ROWS, USED_MAH, VOLTAGE_V, flight

WARM_C = 35.0 + 0.02 * np.arange(ROWS)
READ = [
    ("pack current (A)", "current (1/10 A)", 10.0 * CURRENT_A, "pack_current_a", CURRENT_A),
    ("pack current (A)", "current (0,1 A)", 10.0 * CURRENT_A, "pack_current_a", CURRENT_A),
    ("pack current (A)", "Strom [dA]", 10.0 * CURRENT_A, "pack_current_a", CURRENT_A),
    ("pack current (A)", "current (centiampere)", 100.0 * CURRENT_A, "pack_current_a", CURRENT_A),
    ("pack current (A)", "current (A/100)", 100.0 * CURRENT_A, "pack_current_a", CURRENT_A),
    ("pack voltage (V)", "voltage (1/100 V)", 100.0 * VOLTAGE_V, "pack_voltage_v", VOLTAGE_V),
    ("pack voltage (V)", "voltage (V/100)", 100.0 * VOLTAGE_V, "pack_voltage_v", VOLTAGE_V),
    ("pack voltage (V)", "voltage (V x 10)", 10.0 * VOLTAGE_V, "pack_voltage_v", VOLTAGE_V),
    ("pack voltage (V)", "voltage (V x 100)", 0.01 * VOLTAGE_V, "pack_voltage_v", VOLTAGE_V),
    ("duty (%)", "duty (1/10 %)", 10.0 * DUTY, "duty", 0.01 * DUTY),
    ("duty (%)", "duty (1/1000)", 10.0 * DUTY, "duty", 0.01 * DUTY),
    ("duty (%)", "duty (% x100)", 100.0 * DUTY, "duty", 0.01 * DUTY),
    ("charge used (mAh)", "used (1/10 mAh)", 10.0 * USED_MAH, "charge_used_mah", USED_MAH),
    ("head speed (rpm)", "head speed (1/100 Hz)", 100.0 / 60.0 * HEAD_RPM, "head_speed_rpm", HEAD_RPM),
    ("head speed (rpm)", "head speed (1/min x10)", 0.1 * HEAD_RPM, "head_speed_rpm", HEAD_RPM),
    ("head speed (rpm)", "Rotordrehzahl min?¹", HEAD_RPM, "head_speed_rpm", HEAD_RPM),
    ("head speed (rpm)", "eRPM (k)", 0.045 * HEAD_RPM, "motor_side_speed_rpm", HEAD_RPM),
]


@pytest.mark.parametrize(("plain", "odd", "written", "channel", "means"), READ, ids=[row[1] for row in READ])
def test_a_part_of_a_unit_is_read_as_such(
    plain: str, odd: str, written: np.ndarray, channel: str, means: np.ndarray, tmp_path: Path
) -> None:
    trace = flight(tmp_path, instead={plain: {odd: written}})
    assert trace.channels[channel] == pytest.approx(means, rel=0.01, abs=0.6)


@pytest.mark.parametrize(
    ("heading", "written"),
    [
        ("controller temp (1/10 °C)", 10.0 * WARM_C),
        ("controller temp (0.1 K)", 10.0 * (WARM_C + 273.15)),
        ("controller temp (°C x 10)", 10.0 * WARM_C),
        ("controller temp (deg C/100)", 100.0 * WARM_C),
    ],
)
def test_a_part_of_a_degree_is_read_as_such(heading: str, written: np.ndarray, tmp_path: Path) -> None:
    trace = flight(tmp_path, last={heading: written})
    assert trace.channels["controller_temperature_c"] == pytest.approx(WARM_C, abs=0.01)


@pytest.mark.parametrize(
    ("plain", "odd", "written"),
    [
        ("pack current (A)", "current (Zehntel A)", 10.0 * CURRENT_A),
        ("pack current (A)", "current A *0.1", 10.0 * CURRENT_A),
        ("pack current (A)", "current (blob/7)", 10.0 * CURRENT_A),
        ("pack current (A)", "current [mA] (x10)", 100.0 * CURRENT_A),
        ("pack voltage (V)", "voltage (tenths of a volt)", 10.0 * VOLTAGE_V),
        ("charge used (mAh)", "charge (mAs)", 3600.0 * USED_MAH),
        ("head speed (rpm)", "head speed (pulses per second)", 0.1 * HEAD_RPM),
    ],
)
def test_a_unit_that_is_not_understood_is_never_ignored(
    plain: str, odd: str, written: np.ndarray, tmp_path: Path
) -> None:
    trace = flight(tmp_path, instead={plain: {odd: written}})
    assert odd not in [column.heading for column in trace.columns]
    assert any(said.startswith(f"{odd}: left out") and "not understood" in said for said in trace.warnings)


def test_a_factor_that_fits_both_ways_is_asked_about(tmp_path: Path) -> None:
    """Ten on a current of 30 may be 300 A or 3 A: both can be flown, or spun on the bench."""
    trace = flight(tmp_path, instead={"pack current (A)": {"current (A x10)": CURRENT_A}})
    assert not trace.has("pack_current_a")
    assert any("to multiply or to divide" in said for said in trace.warnings)


def test_a_current_without_a_unit_in_milliamperes_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"pack current (A)": {"current": 1000.0 * CURRENT_A}})
    assert not trace.has("pack_current_a")
    assert any("too large for amperes" in said for said in trace.warnings)


@pytest.mark.parametrize("text", ["voltage (12S)", "throttle (raw)", "temp (#2)", "time (UTC)", "pack voltage (0-60)"])
def test_what_stands_in_brackets_and_is_no_unit_is_not_taken_for_one(text: str) -> None:
    assert parted(text).unread == ""


def test_a_factor_alone_takes_the_unit_of_its_column() -> None:
    tenth, thousand = scale_alone("1/10", "current"), scale_alone("k", "rotation")
    assert tenth is not None
    assert thousand is not None
    assert (tenth.key, tenth.factor, tenth.other_factor) == ("a", 0.1, None)
    assert thousand.factor == 1000.0
    assert scale_alone("x10", None) is None
    assert scale_alone("about", "current") is None


def test_a_factor_behind_a_unit_has_two_readings_and_one_before_it_has_one() -> None:
    behind, before = units_named("V/100")[0], units_named("1/100 V")[0]
    assert (behind.factor, behind.other_factor) == (100.0, 0.01)
    assert (before.factor, before.other_factor) == (0.01, None)
