"""A column that says it is a peak, a limit, a wish or another part is never taken for the plain measurement."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.meaning import claims_of
from steadyhead.trace.table import RawColumn, RawTable
from tests.unit.trace.flights import (
    CURRENT_A,
    DUTY,
    HEAD_RPM,
    ROWS,
    THROTTLE,
    USED_MAH,
    VOLTAGE_V,
    flight,
    heading_of,
)

SMOOTH = np.convolve(HEAD_RPM, np.ones(9) / 9.0, "same")
ODD = [
    ("head speed (rpm)", "Peak head speed (rpm)", np.maximum.accumulate(HEAD_RPM)),
    ("head speed (rpm)", "Rotordrehzahl Maximum (1/min)", np.maximum.accumulate(HEAD_RPM)),
    ("head speed (rpm)", "régime rotor moyen (tr/min)", SMOOTH),
    ("head speed (rpm)", "giri rotore filtrati (giri/min)", SMOOTH),
    ("head speed (rpm)", "rotor rpm low-pass", SMOOTH),
    ("head speed (rpm)", "Sollwert Kopfdrehzahl (1/min)", np.full(ROWS, 2000.0)),
    ("head speed (rpm)", "programmed rotor speed (rpm)", np.full(ROWS, 2000.0)),
    ("head speed (rpm)", "velocidad límite del rotor (rpm)", np.full(ROWS, 2300.0)),
    ("duty (%)", "Duty limit (%)", np.full(ROWS, 95.0)),
    ("duty (%)", "Lüfter Tastgrad (%)", np.full(ROWS, 40.0)),
    ("duty (%)", "gemiddelde duty (%)", 0.9 * DUTY),
    ("throttle (%)", "Throttle trim (%)", np.full(ROWS, 5.0)),
    ("throttle (%)", "Gasknüppel (%)", 20.0 + THROTTLE),
    ("throttle (%)", "throttle armed", np.sign(THROTTLE)),
    ("pack voltage (V)", "Abschaltspannung (V)", np.full(ROWS, 38.0)),
    ("pack voltage (V)", "tension nominale (V)", np.full(ROWS, 44.4)),
    ("pack voltage (V)", "open-circuit voltage (V)", VOLTAGE_V + 0.06 * CURRENT_A),
    ("pack voltage (V)", "Spannungseinbruch (V)", 0.06 * CURRENT_A),
    ("pack voltage (V)", "battery backup (V)", np.full(ROWS, 8.1)),
    ("pack current (A)", "corriente de fase (A)", 1.3 * CURRENT_A),
    ("pack current (A)", "Ladestrom (A)", np.zeros(ROWS)),
    ("pack current (A)", "toegestane stroom limiet (A)", np.full(ROWS, 120.0)),
    ("duty (%)", "duty left (%)", 100.0 - DUTY),
    ("duty (%)", "unused duty (%)", 100.0 - DUTY),
    ("duty (%)", "PWM in (%)", 0.9 * DUTY),
    ("duty (%)", "PWM frequency (%)", 0.2 * DUTY),
    ("duty (%)", "duty feed forward (%)", 0.8 * DUTY),
    ("duty (%)", "duty P-term (%)", 0.2 * DUTY),
    ("duty (%)", "duty correction (%)", 0.2 * DUTY),
    ("duty (%)", "governor output (%)", 0.8 * DUTY),
    ("duty (%)", "power level (%)", np.full(ROWS, 80.0)),
    ("duty (%)", "controller load (%)", 0.6 * DUTY),
    ("pack current (A)", "current ripple (A)", 0.2 * CURRENT_A),
    ("pack current (A)", "current std (A)", 0.1 * CURRENT_A),
    ("pack current (A)", "charger current (A)", 0.5 * CURRENT_A),
    ("pack current (A)", "Bremsstrom (A)", 0.5 * CURRENT_A),
    ("pack current (A)", "idle current (A)", 0.1 * CURRENT_A),
    ("pack current (A)", "Iq (A)", 1.3 * CURRENT_A),
    ("pack current (A)", "current raw counts", 0.6 * CURRENT_A),
    ("pack current (A)", "estimated current (A)", 0.6 * CURRENT_A),
    ("pack voltage (V)", "charger voltage (V)", VOLTAGE_V + 0.5),
    ("pack voltage (V)", "voltage at rest (V)", VOLTAGE_V + 0.5),
    ("pack voltage (V)", "pack voltage compensated (V)", VOLTAGE_V + 0.06 * CURRENT_A),
    ("head speed (rpm)", "virtual head speed (rpm)", 0.97 * HEAD_RPM),
    ("charge used (mAh)", "Restalarm Kapazität (mAh)", np.full(ROWS, 900.0)),
    ("charge used (mAh)", "pojemność znamionowa (mAh)", np.full(ROWS, 3300.0)),
]


@pytest.mark.parametrize(("plain", "odd", "values"), ODD, ids=[odd for _, odd, _ in ODD])
def test_it_loses_to_the_plain_column_in_either_order(plain: str, odd: str, values: np.ndarray, tmp_path: Path) -> None:
    for placed in ({"first": {odd: values}}, {"last": {odd: values}}):
        trace = flight(tmp_path, **placed)
        assert plain in [column.heading for column in trace.columns]
        assert odd not in [column.heading for column in trace.columns]
        assert not any(odd in said for said in trace.warnings)


@pytest.mark.parametrize(("plain", "odd", "values"), ODD, ids=[odd for _, odd, _ in ODD])
def test_alone_it_is_left_out_and_said(plain: str, odd: str, values: np.ndarray, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={plain: {odd: values}})
    assert odd not in [column.heading for column in trace.columns]
    assert any(said.startswith(f"{odd}: left out") for said in trace.warnings)


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("lowest cell (V)", "lowest_cell_v"),
        ("Zellspannung Minimum (V)", "lowest_cell_v"),
        ("mean cell voltage (V)", "cell_voltage_v"),
        ("throttle command (%)", "throttle_percent"),
        ("main shaft (rpm)", "head_speed_rpm"),
        ("Current height (m)", "height_m"),
        ("capacity used (mAh)", "charge_used_mah"),
        ("Duty in %", "duty"),
        ("input voltage (V)", "pack_voltage_v"),
        ("rotor frequency (Hz)", "head_speed_rpm"),
        ("throttle level (%)", "throttle_percent"),
        ("outside air temperature (°C)", "air_temperature_c"),
    ],
)
def test_words_that_belong_to_a_channel_do_not_qualify_it(heading: str, meaning: str) -> None:
    claims = claims_of(RawTable(kind="text", columns=(RawColumn(heading=heading),), rows_read=0), {})
    assert [(claim.meaning, claim.not_plain) for claim in claims] == [(meaning, "")]


@pytest.mark.parametrize(
    "heading",
    [
        "gearbox temperature (°C)",
        "Lagertemperatur (°C)",
        "température émetteur (°C)",
        "gimbal temp (°C)",
        "fan temp (°C)",
        "controller temp margin (°C)",
        "controller temp rise (°C)",
        "controller temp sensor id",
        "controller cutback temp (°C)",
        "controller inlet temp (°C)",
        "controller air temperature (°C)",
    ],
)
def test_the_temperature_of_another_part_is_not_the_controllers(heading: str, tmp_path: Path) -> None:
    assert not flight(tmp_path, last={heading: np.full(ROWS, 70.0)}).has("controller_temperature_c")


def test_two_temperatures_without_a_name_are_not_chosen_between(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"temp 1 (°C)": np.full(ROWS, 30.0), "temp 2 (°C)": np.full(ROWS, 80.0)})
    assert not trace.has("controller_temperature_c")
    assert any("neither is used" in said for said in trace.warnings)


def test_a_tail_pitch_or_a_pitch_angle_is_no_collective(tmp_path: Path) -> None:
    odd = {"Heckpitch (°)": np.full(ROWS, 8.0), "pitch angle (deg)": np.full(ROWS, 2.0)}
    assert not flight(tmp_path, last=odd).has("collective_deg")


def test_a_measured_speed_wins_over_one_that_does_not_say_so(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"head speed measured (rpm)": 0.9 * HEAD_RPM})
    assert heading_of(trace, "head_speed_rpm") == "head speed measured (rpm)"


def test_a_capacity_that_stands_still_counts_nothing(tmp_path: Path) -> None:
    still = flight(tmp_path, instead={"charge used (mAh)": {"Capacity (mAh)": np.full(ROWS, 3300.0)}})
    assert not still.has("charge_used_mah")
    assert any("Capacity (mAh): left out" in said for said in still.warnings)
    counts = flight(tmp_path, instead={"charge used (mAh)": {"Capacity (mAh)": USED_MAH}})
    assert counts.channels["charge_used_mah"][-1] == pytest.approx(USED_MAH[-1], abs=0.01)


def test_a_person_may_still_say_that_it_is_the_channel(tmp_path: Path) -> None:
    from steadyhead.trace.reading import read_trace

    flight(tmp_path, instead={"head speed (rpm)": {"average rotor (rpm)": SMOOTH}})
    said = {"average rotor (rpm)": "head_speed_rpm:rpm"}
    assert read_trace(tmp_path / "log.csv", mapping=said, remember=False).has("head_speed_rpm")


def test_columns_that_nobody_understood_are_named_where_a_needed_one_is_missing(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"pack voltage (V)": {"quux": VOLTAGE_V}})
    assert any("no pack voltage was found" in said and "quux" in said for said in trace.warnings)
