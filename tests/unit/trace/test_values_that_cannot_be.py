"""Columns without a unit whose figures no machine has in the usual one: left out or read as they are, never judged."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from tests.unit.trace.flights import GEARING, HEAD_RPM, PLAIN, ROWS, RUN, THROTTLE, TIME_S, USED_MAH, VOLTAGE_V, flight

WARM_C = 24.0 + 0.2 * TIME_S


def said(trace: Trace) -> str:
    return "\n".join(trace.warnings)


@pytest.mark.parametrize("figures", [WARM_C + 273.15, 10.0 * WARM_C], ids=["kelvin", "tenths"])
def test_a_bare_temperature_hot_from_the_start_is_left_out(figures: np.ndarray, tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"controller temperature": figures})
    assert "controller_temperature_c" not in trace.channels
    assert 'controller temperature=controller_temperature_c:K"' in said(trace)


def test_a_temperature_with_its_unit_is_believed_however_hot(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"motor temperature (degC)": 130.0 + 0.0 * TIME_S})
    assert trace.channels["motor_temperature_c"][-1] == pytest.approx(130.0)


@pytest.mark.parametrize("share", [0.5, 0.001])
def test_a_voltage_that_is_none_of_the_pack_is_left_out(share: float, tmp_path: Path) -> None:
    columns = {"pack voltage (V)": {"pack voltage (V)": share * VOLTAGE_V}}
    trace = flight(tmp_path, instead=columns, gearing=GEARING)
    assert "pack_voltage_v" not in trace.channels
    assert "does not fit a pack of 12 cells" in said(trace)


def test_a_voltage_that_a_person_vouches_for_is_kept(tmp_path: Path) -> None:
    flight(tmp_path, instead={"pack voltage (V)": {"pack voltage (V)": 0.5 * VOLTAGE_V}})
    mapping = {"pack voltage (V)": "pack_voltage_v:V"}
    trace = read_trace(tmp_path / "log.csv", gearing=GEARING, mapping=mapping, remember=False)
    assert "pack_voltage_v" in trace.channels


def test_a_bare_throttle_in_milliseconds_is_a_pulse_width(tmp_path: Path) -> None:
    pulses = {"throttle (%)": {"throttle": 1.08 + 0.0084 * THROTTLE}}
    gearing = Gearing(ratio=9.0, cells=12.0, kv_rpm_v=560.0, pulse_low_us=1080.0, pulse_high_us=1920.0)
    trace = flight(tmp_path, instead=pulses, gearing=gearing)
    assert trace.channels["throttle_percent"] == pytest.approx(THROTTLE, abs=0.1)
    assert "taken as a pulse width in ms" in said(trace)


def test_a_bare_throttle_that_runs_from_nothing_to_two_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"throttle (%)": {"throttle": THROTTLE / 35.0}})
    assert "throttle_percent" not in trace.channels


def test_a_bare_collective_in_hundredths_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"collective": 500.0 + 300.0 * np.sin(TIME_S)})
    assert not {"collective_deg", "collective_percent"} & set(trace.channels)


def test_a_channel_most_of_whose_values_cannot_be_is_left_out_whole(tmp_path: Path) -> None:
    trace = flight(tmp_path, last={"collective (deg)": 500.0 * RUN * np.sin(TIME_S)})
    assert "collective_deg" not in trace.channels
    assert all(column.channel != "collective_deg" for column in trace.columns)
    assert "collective (deg): left out" in said(trace)


def test_a_bare_charge_in_ampere_seconds_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"charge used (mAh)": {"charge used": 3.6 * USED_MAH}})
    assert "charge_used_mah" not in trace.channels
    assert 'charge used=charge_used_mah:As"' in said(trace)


def test_a_charge_in_milliampere_hours_is_kept_beside_a_current_that_reads_low(tmp_path: Path) -> None:
    current = {"pack current (A)": {"pack current (A)": 0.28 * PLAIN["pack current (A)"]}}
    assert "charge_used_mah" in flight(tmp_path, instead=current).channels


@pytest.mark.parametrize("first", [True, False], ids=["before the head", "behind the head"])
@pytest.mark.parametrize("of_the_head", [0.9, 0.942])
def test_a_bare_motor_speed_that_is_not_quite_the_head_is_kept_out(
    of_the_head: float, first: bool, tmp_path: Path
) -> None:
    motor = {"motor speed": of_the_head * HEAD_RPM}
    trace = flight(tmp_path, first=motor if first else None, last=None if first else motor)
    assert "motor_side_speed_rpm" not in trace.channels
    assert "motor speed: kept out" in said(trace)
    assert trace.channels["head_speed_rpm"].size == ROWS
