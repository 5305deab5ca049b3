"""Shafts, gears and numbered speeds: the name as the machine has it, the ratios decide, else a person is asked."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.trace.writing import write_parquet
from tests.unit.trace.flights import GEARING, HEAD_RPM, ROWS, flight, heading_of


@pytest.mark.parametrize(
    "heading", ["main shaft speed (rpm)", "Hauptwelle Rotor (1/min)", "mast rpm", "rotor shaft rpm"]
)
def test_the_main_shaft_turns_with_the_head(heading: str, tmp_path: Path) -> None:
    assert heading_of(flight(tmp_path, instead={"head speed (rpm)": {heading: HEAD_RPM}}), "head_speed_rpm") == heading


def test_the_main_gear_is_before_the_one_way_bearing(tmp_path: Path) -> None:
    trace = flight(tmp_path, first={"main gear speed (rpm)": HEAD_RPM * 0.99})
    assert heading_of(trace, "motor_side_speed_rpm") == "main gear speed (rpm)"
    assert heading_of(trace, "head_speed_rpm") == "head speed (rpm)"


@pytest.mark.parametrize("heading", ["layshaft rpm", "Vorgelege (1/min)", "gear rpm"])
def test_a_gear_between_motor_and_head_is_asked_about(heading: str, tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns):
        flight(tmp_path, instead={"head speed (rpm)": {heading: 4.0 * HEAD_RPM}})


@pytest.mark.parametrize("order", [("RPM 1", "RPM 2"), ("RPM 2", "RPM 1")])
def test_of_two_numbered_speeds_the_one_that_the_motor_drives_is_the_head(
    order: tuple[str, str], tmp_path: Path
) -> None:
    head, tail = order
    trace = flight(tmp_path, instead={"head speed (rpm)": {tail: 4.5 * HEAD_RPM, head: HEAD_RPM}})
    assert heading_of(trace, "head_speed_rpm") == head
    assert not trace.has("motor_side_speed_rpm")
    assert any(f"{tail}: kept out" in said for said in trace.warnings)


@pytest.mark.parametrize("order", ["XY", "YX"])
def test_of_two_that_say_the_same_the_one_that_trembles_is_the_reading(order: str, tmp_path: Path) -> None:
    columns = {"X": np.round(HEAD_RPM / 50.0) * 50.0, "Y": HEAD_RPM}
    both = {f"rotor speed {one} (rpm)": columns[one] for one in order}
    trace = flight(tmp_path, instead={"head speed (rpm)": both})
    assert heading_of(trace, "head_speed_rpm") == "rotor speed Y (rpm)"


def test_a_dead_sensor_beside_a_live_one_is_kept_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, first={"head speed A (rpm)": np.zeros(ROWS)})
    assert heading_of(trace, "head_speed_rpm") == "head speed (rpm)"
    assert any("head speed A (rpm): kept out" in said and "stands at 0 rpm" in said for said in trace.warnings)


def test_a_dead_sensor_alone_is_asked_about(tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match="stands at 0 rpm while duty and voltage drive a rotor"):
        flight(tmp_path, instead={"head speed (rpm)": {"head speed (rpm)": np.zeros(ROWS)}})


def test_a_slow_figure_is_no_head_speed_while_the_motor_drives_one(tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match="a tenth or a hundredth"):
        flight(tmp_path, instead={"head speed (rpm)": {"rpm": HEAD_RPM / 30.0}})


def test_a_governors_speed_alone_is_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"head speed (rpm)": {"gov rpm": np.full(ROWS, 2000.0)}})
    assert not trace.has("head_speed_rpm")
    assert any("whether set or measured" in said for said in trace.warnings)


@pytest.mark.parametrize("gone_s", [0.5, 2.0, 4.0])
def test_a_motor_sensor_that_is_gone_while_duty_and_current_go_on_is_a_fault(gone_s: float, tmp_path: Path) -> None:
    rows = round(gone_s / 0.1)
    motor = 9.0 * HEAD_RPM
    motor[250 : 250 + rows] = 0.0
    trace = flight(tmp_path, instead={"head speed (rpm)": {"motor speed (rpm)": motor}})
    assert np.isnan(trace.channels["motor_side_speed_rpm"][250 : 250 + rows]).all()
    assert any(f"{rows} impossible values in motor speed" in said for said in trace.warnings)


def test_a_motor_that_was_cut_is_believed(tmp_path: Path) -> None:
    from tests.unit.trace.flights import CURRENT_A, DUTY

    motor, duty, current = 9.0 * HEAD_RPM, DUTY.copy(), CURRENT_A.copy()
    for series in (motor, duty, current):
        series[250:280] = 0.0
    trace = flight(
        tmp_path,
        instead={
            "head speed (rpm)": {"motor speed (rpm)": motor},
            "duty (%)": {"duty (%)": duty},
            "pack current (A)": {"pack current (A)": current},
        },
    )
    assert (trace.channels["motor_side_speed_rpm"][250:280] == 0.0).all()


MEANT = GEARING._replace(head_speeds_rpm=(2000.0, 2150.0))
BARE = {"without": ("duty (%)",), "gearing": MEANT}


def test_a_bare_speed_far_from_every_flight_mode_is_asked_about(tmp_path: Path) -> None:
    electrical_tenths = 4.5 * HEAD_RPM
    with pytest.raises(UnsureColumns, match="far from the 2000 and 2150 rpm") as caught:
        flight(tmp_path, instead={"head speed (rpm)": {"RPM": electrical_tenths}}, **BARE)
    assert caught.value.options == ("RPM=electrical_speed_rpm:10 rpm",)
    with pytest.raises(UnsureColumns, match="far from"):
        flight(tmp_path, instead={"head speed (rpm)": {"RPM": 3.0 * HEAD_RPM}}, **BARE)


@pytest.mark.parametrize("times", [1.0, 9.0, 45.0])
def test_a_bare_speed_near_a_flight_mode_is_read_by_its_size(times: float, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"head speed (rpm)": {"RPM": 0.8 * times * HEAD_RPM}}, **BARE)
    assert max(trace.channels["head_speed_rpm" if times == 1.0 else "motor_side_speed_rpm"]) < 1700.0


def test_a_named_speed_is_believed_whatever_the_flight_modes_mean(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"head speed (rpm)": {"head speed (rpm)": 0.6 * HEAD_RPM}}, **BARE)
    assert trace.has("head_speed_rpm")


def test_it_is_kept_whether_the_reader_or_the_logger_divided_a_motor_speed(tmp_path: Path) -> None:
    ratio = GEARING.ratio or 1.0
    for heading, times in (("motor speed (rpm)", ratio), ("motor-side speed (rpm)", 1.0)):
        trace = flight(tmp_path, first={heading: HEAD_RPM * times})
        write_parquet(trace, tmp_path / f"{times:g}.parquet")
        for one in (trace, read_trace(tmp_path / f"{times:g}.parquet")):
            column = next(column for column in one.columns if column.channel == "motor_side_speed_rpm")
            assert column.divided_by == pytest.approx(times)
