"""Full counters and rows of nines stand for no value; a reading that climbs there is real."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.sentinels import codes_in
from steadyhead.trace.table import RawColumn
from tests.unit.trace.flights import CURRENT_A, HEAD_RPM, ROWS, USED_MAH, flight

MOST = np.arange(ROWS) % 10 != 0
FIRST = np.arange(ROWS) < 60
LAST = np.arange(ROWS) == ROWS - 1


@pytest.mark.parametrize("where", [MOST, FIRST, LAST], ids=["in most rows", "in the first rows", "in the last row"])
@pytest.mark.parametrize(
    ("plain", "values", "channel", "code"),
    [
        ("head speed (rpm)", HEAD_RPM, "head_speed_rpm", 65535.0),
        ("head speed (rpm)", HEAD_RPM, "head_speed_rpm", 9999.0),
        ("pack current (A)", CURRENT_A, "pack_current_a", 655.35),
        ("charge used (mAh)", USED_MAH, "charge_used_mah", 65535.0),
        ("charge used (mAh)", USED_MAH, "charge_used_mah", -32768.0),
    ],
)
def test_a_code_for_no_value_is_left_out_and_counted(
    plain: str, values: np.ndarray, channel: str, code: float, where: np.ndarray, tmp_path: Path
) -> None:
    trace = flight(tmp_path, instead={plain: {plain: np.where(where, code, values)}})
    read = trace.channels[channel]
    assert np.isnan(read[where]).all()
    assert read[~where][5:] == pytest.approx(values[~where][5:], abs=0.4 if channel == "charge_used_mah" else 1e-3)
    assert any(f"{int(where.sum())} values of {code:g} in {plain}" in said for said in trace.warnings)


def test_a_sensor_that_wakes_up_at_255_degrees_is_not_believed(tmp_path: Path) -> None:
    warm = np.where(FIRST, 255.0, 30.0 + 0.01 * np.arange(ROWS))
    assert np.nanmax(flight(tmp_path, last={"controller temp (°C)": warm}).channels["controller_temperature_c"]) < 40.0


@pytest.mark.parametrize("filler", [0.0, -1.0])
def test_what_a_logger_writes_between_the_values_of_a_slow_sensor_is_left_out(filler: float, tmp_path: Path) -> None:
    between = np.arange(ROWS) % 8 != 0
    warm_c = 40.0 + USED_MAH / 9.0
    filled = {
        "charge used (mAh)": np.where(between, filler, USED_MAH),
        "motor temp (°C)": np.where(between, filler, warm_c),
    }
    trace = flight(tmp_path, instead={"charge used (mAh)": filled})
    for channel in ("charge_used_mah", "motor_temperature_c"):
        assert np.isnan(trace.channels[channel][between]).all()
    assert np.isfinite(trace.channels["motor_temperature_c"][~between]).all()


def test_zeros_among_blank_rows_are_readings(tmp_path: Path) -> None:
    blank = np.where(np.arange(ROWS) % 4 == 0, np.where(np.arange(ROWS) < 80, 0.0, HEAD_RPM), np.nan)
    trace = flight(tmp_path, instead={"head speed (rpm)": {"head speed (rpm)": blank}})
    assert trace.channels["head_speed_rpm"][0] == 0.0


def test_two_codes_in_one_column_are_both_found() -> None:
    column = RawColumn(heading="motor temp (°C)", number=np.array([20.0, 21.0, 65535.0, 22.0, 32767.0, 23.0]))
    assert set(codes_in(column)) == {65535.0, 32767.0}


@pytest.mark.parametrize(
    ("heading", "values"),
    [
        ("duty", np.linspace(0.0, 255.0, 50)),
        ("throttle", np.where(np.arange(50) < 25, 0.0, 1023.0)),
        ("current (A)", np.append(np.linspace(0.0, 200.0, 50), 255.0)),
        ("current (A)", np.append(np.full(50, 12.0), 25.5)),
        ("eRPM", np.linspace(0.0, 65535.0, 50)),
        ("height (m)", np.full(50, 999.0)),
    ],
)
def test_a_reading_that_may_be_real_is_believed(heading: str, values: np.ndarray) -> None:
    assert codes_in(RawColumn(heading=heading, number=values)) == ()
