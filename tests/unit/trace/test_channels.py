"""Which column becomes which channel, told by name, unit, gearing and figures; in doubt a person is asked."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError

GEARING = Gearing(ratio=9.0, pole_pairs=5.0, cells=12.0)
N = 300
TIME = [f"{k * 0.05:.2f}" for k in range(N)]
RUN = np.clip(np.arange(N) / 100.0, 0.0, 1.0)


def cells(values: np.ndarray, digits: int = 1) -> list[str]:
    return [f"{value:.{digits}f}" for value in values]


@pytest.mark.parametrize(
    ("heading", "factor", "channel"),
    [
        ("rpm", 1.0, "head_speed_rpm"),
        ("rpm", 9.0, "motor_side_speed_rpm"),
        ("rpm", 45.0, "motor_side_speed_rpm"),
        ("head speed (rpm)", 1.0, "head_speed_rpm"),
        ("motor speed (rpm)", 9.0, "motor_side_speed_rpm"),
        ("motor-side speed (rpm)", 1.0, "motor_side_speed_rpm"),
        ("electrical speed (rpm)", 45.0, "motor_side_speed_rpm"),
        ("eRPM (100 rpm)", 0.45, "motor_side_speed_rpm"),
        ("rotor (Hz)", 1 / 60.0, "head_speed_rpm"),
        ("motor (krpm)", 0.009, "motor_side_speed_rpm"),
    ],
)
def test_speed_is_brought_to_the_head(log: Callable[..., Path], heading: str, factor: float, channel: str) -> None:
    path = log(["time (s)", heading], TIME, cells(2000.0 * RUN * factor, 4))
    trace = read_trace(path, gearing=GEARING)
    assert list(trace.channels) == [channel]
    assert trace.channels[channel] == pytest.approx(2000.0 * RUN, abs=0.5)


def test_a_motor_speed_without_a_gear_ratio_is_asked_about(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "motor speed (rpm)"], TIME, cells(18000.0 * RUN))
    with pytest.raises(UnsureColumns, match="gear ratio"):
        read_trace(path)


def test_a_head_speed_that_can_only_be_a_motor_speed_is_asked_about(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed (rpm)"], TIME, cells(18000.0 * RUN))
    with pytest.raises(UnsureColumns) as caught:
        read_trace(path, gearing=GEARING)
    assert '--column "head speed (rpm)=motor_speed_rpm:rpm"' in str(caught.value)


def test_a_motor_column_that_holds_head_speed_is_read_with_a_warning(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "motor speed (rpm)"], TIME, cells(2000.0 * RUN))
    trace = read_trace(path, gearing=GEARING)
    assert trace.channels["motor_side_speed_rpm"] == pytest.approx(2000.0 * RUN, abs=0.1)
    assert "only fits head speed" in trace.warnings[0]


def test_the_drive_tells_apart_what_the_figures_alone_do_not(log: Callable[..., Path]) -> None:
    low_geared = Gearing(ratio=2.0, pole_pairs=5.0, cells=12.0, kv_rpm_v=140.0)
    path = log(
        ["time (s)", "rpm", "duty (%)", "pack voltage (V)"],
        TIME,
        cells(4000.0 * RUN),
        cells(70.0 * RUN),
        cells(np.full(N, 48.0)),
    )
    trace = read_trace(path, gearing=low_geared)
    assert trace.channels["motor_side_speed_rpm"] == pytest.approx(2000.0 * RUN, abs=0.1)


def test_two_unlike_speed_columns_are_asked_about_by_name(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "rpm A", "rpm B"], TIME, cells(2000.0 * RUN), cells(1500.0 * RUN))
    with pytest.raises(UnsureColumns) as caught:
        read_trace(path, gearing=GEARING)
    assert caught.value.options == ("rpm A=head_speed_rpm", "rpm B=head_speed_rpm")
    trace = read_trace(path, gearing=GEARING, mapping={"rpm B": "head_speed_rpm:rpm", "rpm A": "ignore"})
    assert trace.channels["head_speed_rpm"] == pytest.approx(1500.0 * RUN, abs=0.1)


@pytest.mark.parametrize("said", ["head speed:rpm", "Head Speed", "head speed rpm", "head_speed_rpm:rpm"])
def test_a_meaning_may_be_said_in_the_words_of_the_trade(log: Callable[..., Path], said: str) -> None:
    path = log(["time (s)", "rpm A", "rpm B"], TIME, cells(2000.0 * RUN), cells(1500.0 * RUN))
    trace = read_trace(path, gearing=GEARING, mapping={"rpm B": said, "rpm A": "ignore"})
    assert trace.channels["head_speed_rpm"] == pytest.approx(1500.0 * RUN, abs=0.1)


def test_trade_words_that_mean_two_channels_are_parted_by_their_unit_or_asked_about(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed (rpm)", "B"], TIME, cells(2000.0 * RUN), cells(10.0 * RUN))
    trace = read_trace(path, gearing=GEARING, mapping={"B": "collective:deg"})
    assert trace.channels["collective_deg"] == pytest.approx(10.0 * RUN, abs=0.1)
    with pytest.raises(InputError, match="collective_"):
        read_trace(path, gearing=GEARING, mapping={"B": "collective"})


def test_an_unclear_speed_beside_a_known_one_is_kept_out_and_said(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "rpm A", "head speed (rpm)"], TIME, cells(7000.0 * RUN), cells(2000.0 * RUN))
    trace = read_trace(path, gearing=GEARING)
    assert trace.channels["head_speed_rpm"] == pytest.approx(2000.0 * RUN, abs=0.1)
    assert "rpm A: kept out" in trace.warnings[0]


def test_two_columns_of_one_name_are_never_chosen_between_in_silence(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed", "head speed"], TIME, cells(2000.0 * RUN), cells(1000.0 * RUN))
    trace = read_trace(path, gearing=GEARING)
    assert trace.rows_read == N
    assert not trace.has("head_speed_rpm")
    assert "2 columns are called head speed and differ (by a factor of 2)" in trace.warnings[0]
    chosen = read_trace(path, gearing=GEARING, mapping={"head speed#2": "head_speed_rpm:rpm"}, remember=False)
    assert chosen.channels["head_speed_rpm"] == pytest.approx(1000.0 * RUN, abs=0.1)


def test_head_and_motor_speed_stand_side_by_side(log: Callable[..., Path]) -> None:
    path = log(
        ["time (s)", "head speed (rpm)", "motor speed (rpm)"], TIME, cells(2000.0 * RUN), cells(18000.0 * RUN * 0.99)
    )
    trace = read_trace(path, gearing=GEARING)
    assert trace.channels["head_speed_rpm"][-1] == pytest.approx(2000.0)
    assert trace.channels["motor_side_speed_rpm"][-1] == pytest.approx(1980.0)


@pytest.mark.parametrize(
    ("heading", "written", "read"),
    [
        ("voltage (V)", 48.0, 48.0),
        ("voltage (mV)", 48000.0, 48.0),
        ("voltage", 48000.0, 48.0),
        ("voltage", 480.0, 48.0),
        ("voltage per cell (V)", 4.0, 48.0),
        ("Zellenspannung [V]", 4.0, 48.0),
        ("cell voltage", 4000.0, 48.0),
    ],
)
def test_voltage_is_that_of_the_whole_pack(log: Callable[..., Path], heading: str, written: float, read: float) -> None:
    path = log(["time (s)", heading], TIME, cells(np.full(N, written)))
    assert read_trace(path, gearing=GEARING).channels["pack_voltage_v"] == pytest.approx(np.full(N, read))


def test_a_voltage_named_as_the_pack_that_is_one_cell_is_read_with_a_warning(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "voltage (V)"], TIME, cells(np.full(N, 3.9)))
    trace = read_trace(path, gearing=GEARING)
    assert trace.channels["pack_voltage_v"][0] == pytest.approx(46.8)
    assert "can only be one cell" in trace.warnings[0]


def test_a_voltage_per_cell_without_a_number_of_cells_is_left_out_and_said(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "voltage per cell (V)"], TIME, cells(np.full(N, 3.9)))
    trace = read_trace(path)
    assert not trace.has("pack_voltage_v")
    assert "number of cells is not known" in trace.warnings[0]


def test_a_voltage_that_does_not_fit_the_cells_is_warned_of(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "pack voltage (V)"], TIME, cells(np.full(N, 24.0)))
    trace = read_trace(path, gearing=GEARING)
    assert "does not fit a pack of 12 cells" in trace.warnings[0]
    assert trace.misfit_voltage_v == pytest.approx(24.0)


def test_no_voltage_is_a_misfit_where_another_column_holds_one_that_fits(log: Callable[..., Path]) -> None:
    columns = cells(np.full(N, 24.0)), cells(np.full(N, 48.0))
    trace = read_trace(log(["time (s)", "pack voltage (V)", "main pack voltage (V)"], TIME, *columns), gearing=GEARING)
    assert trace.channels["pack_voltage_v"][0] == pytest.approx(48.0)
    assert trace.misfit_voltage_v is None


def test_a_column_for_each_cell_gives_the_weakest_and_the_pack(log: Callable[..., Path]) -> None:
    columns = [cells(np.full(N, 4.0 - 0.01 * k), 3) for k in range(3)]
    path = log(["time (s)", "cell 1 (V)", "cell 2 (V)", "cell 3 (V)"], TIME, *columns)
    trace = read_trace(path, gearing=Gearing(ratio=9.0, cells=3.0))
    assert trace.channels["lowest_cell_v"] == pytest.approx(np.full(N, 3.98))
    assert trace.channels["pack_voltage_v"] == pytest.approx(np.full(N, 11.97))


@pytest.mark.parametrize(
    ("heading", "written", "channel", "read"),
    [
        ("duty (%)", 75.0, "duty", 0.75),
        ("duty (0..1)", 0.75, "duty", 0.75),
        ("duty", 0.75, "duty", 0.75),
        ("throttle", 0.755, "throttle_percent", 75.5),
        ("throttle (percent)", 75.0, "throttle_percent", 75.0),
        ("current (mA)", 25000.0, "pack_current_a", 25.0),
        ("motor temperature (°F)", 212.0, "motor_temperature_c", 100.0),
        ("motor temperature (K)", 373.15, "motor_temperature_c", 100.0),
        ("height (ft)", 10.0, "height_m", 3.048),
        ("climb (ft/min)", 1000.0, "climb_speed_m_s", 5.08),
        ("collective (deg)", 8.0, "collective_deg", 8.0),
        ("collective (%)", 60.0, "collective_percent", 60.0),
        ("collective (rad)", 0.1, "collective_deg", 5.7296),
    ],
)
def test_a_unit_is_brought_to_the_trace(
    log: Callable[..., Path], heading: str, written: float, channel: str, read: float
) -> None:
    ramp = np.where(np.arange(N) < 5, 0.0, written) if channel in ("duty", "throttle_percent") else np.full(N, written)
    path = log(["time (s)", heading], TIME, cells(ramp, 5))
    assert read_trace(path, gearing=GEARING).channels[channel][-1] == pytest.approx(read, rel=1e-3)


def test_charge_is_counted_from_the_first_row(log: Callable[..., Path]) -> None:
    used = read_trace(log(["time (s)", "charge used (Ah)"], TIME, cells(0.5 + 0.4 * RUN, 4)))
    assert used.channels["charge_used_mah"][-1] == pytest.approx(400.0)
    left = read_trace(log(["time (s)", "charge remaining (mAh)"], TIME, cells(3000.0 - 400.0 * RUN)))
    assert left.channels["charge_used_mah"][-1] == pytest.approx(400.0)


def test_height_above_the_sea_becomes_height_above_the_start(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "altitude (m)"], TIME, cells(412.0 + 50.0 * np.clip(RUN - 0.5, 0, 1))))
    assert trace.channels["height_m"][0] == pytest.approx(0.0)
    assert trace.channels["height_m"][-1] == pytest.approx(25.0, abs=0.1)


def test_a_pulse_is_read_by_the_machine_when_the_log_says_nothing(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "throttle pulse (µs)"], TIME, cells(1100.0 + 560.0 * RUN, 0))
    known = read_trace(path, gearing=Gearing(pulse_low_us=1100.0, pulse_high_us=1900.0))
    assert known.channels["throttle_percent"][-1] == pytest.approx(70.0)
    assert known.warnings == ()
    other = read_trace(path, gearing=Gearing(pulse_low_us=1000.0, pulse_high_us=2000.0))
    assert "the least pulse is 1100 µs, but the machine file says that 1000 µs is 0 %" in other.warnings[0]
    guessed = read_trace(path)
    assert guessed.channels["throttle_percent"][-1] == pytest.approx(70.0)
    assert "assumed" in guessed.warnings[0]


def test_text_is_kept_out_and_said(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed (rpm)", "remark"], TIME, cells(2000.0 * RUN), ["=1+1"] * N)
    trace = read_trace(path)
    assert list(trace.channels) == ["head_speed_rpm"]
    assert "remark: text, kept out" in trace.history


@pytest.mark.parametrize("generic_first", [True, False])
def test_the_surer_heading_wins_and_the_history_says_so(generic_first: bool, log: Callable[..., Path]) -> None:
    named, generic = ("controller temperature (°C)", 40.0), ("temperature (°C)", 25.0)
    (one, ones), (two, twos) = (generic, named) if generic_first else (named, generic)
    trace = read_trace(log(["time (s)", one, two], TIME, cells(np.full(N, ones)), cells(np.full(N, twos))))
    assert trace.channels["controller_temperature_c"][0] == 40.0
    assert any("controller temperature (°C) is the surer" in step for step in trace.history)
    assert trace.warnings == ()


def test_two_currents_that_differ_are_named_with_the_way_to_choose(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "current 1 (A)", "current 2 (A)"], TIME, cells(20.0 * RUN), cells(30.0 * RUN))
    trace = read_trace(path)
    assert not trace.has("pack_current_a")
    assert '--column "current 2 (A)=pack_current_a"' in trace.warnings[0]
    assert read_trace(path, mapping={"current 2 (A)": "pack_current_a"}).channels["pack_current_a"][-1] == 30.0


def test_two_columns_of_one_name_that_say_the_same_are_one(log: Callable[..., Path]) -> None:
    speed = cells(2000.0 * RUN)
    trace = read_trace(log(["time (s)", "rpm", "rpm"], TIME, speed, speed), gearing=GEARING)
    assert trace.channels["head_speed_rpm"][-1] == 2000.0
    assert "say the same: one is used" in trace.warnings[0]


def test_a_speed_that_never_runs_is_taken_as_head_speed_with_a_warning(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "rpm"], TIME, ["0"] * N), gearing=GEARING)
    assert trace.channels["head_speed_rpm"][-1] == 0.0
    assert "no running seen" in trace.warnings[0]


def test_a_speed_no_machine_turns_is_asked_about(log: Callable[..., Path]) -> None:
    with pytest.raises(UnsureColumns, match="head, motor or electrical speed"):
        read_trace(log(["time (s)", "rpm"], TIME, cells(9e5 * RUN)), gearing=GEARING)


def test_an_electrical_speed_without_pole_pairs_is_asked_about(log: Callable[..., Path]) -> None:
    with pytest.raises(UnsureColumns, match="pole pairs not known"):
        read_trace(log(["time (s)", "eRPM"], TIME, cells(90000.0 * RUN)), gearing=Gearing(ratio=9.0))


def test_a_throttle_from_minus_100_is_read_as_a_channel_with_a_warning(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "throttle (%)"], TIME, cells(-100.0 + 140.0 * RUN)))
    assert trace.channels["throttle_percent"][0] == 0.0
    assert trace.channels["throttle_percent"][-1] == pytest.approx(70.0)
    assert "runs from -100 to 100" in trace.warnings[0]


def test_a_duty_in_percent_that_never_passes_one_is_read_as_a_share_with_a_warning(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "duty (%)"], TIME, cells(0.75 * RUN, 3)))
    assert trace.channels["duty"][-1] == pytest.approx(0.75)
    assert "read as 0 to 1" in trace.warnings[0]


def test_a_link_in_decibels_is_left_out_and_said(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "RSSI"], TIME, cells(np.full(N, -70.0))))
    assert not trace.has("link_percent")
    assert "left out" in trace.warnings[0]


def test_a_column_named_per_cell_that_holds_the_pack_is_read_with_a_warning(log: Callable[..., Path]) -> None:
    trace = read_trace(log(["time (s)", "cell voltage (V)"], TIME, cells(np.full(N, 48.0))), gearing=GEARING)
    assert trace.channels["pack_voltage_v"][0] == 48.0
    assert "is a whole pack" in trace.warnings[0]


def test_a_column_of_words_cannot_be_said_to_be_the_time(log: Callable[..., Path]) -> None:
    path = log(["time (s)", "head speed (rpm)", "mode"], TIME, cells(2000.0 * RUN), ["normal"] * N)
    with pytest.raises(InputError, match="text that is no time"):
        read_trace(path, mapping={"mode": "time_s"})
