"""Columns in counts, Polish headings, a bare battery column, rows that break off inside quotes."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.trace.unsure import UnsureColumns

N = 80
GEARING = Gearing(ratio=9.0, pole_pairs=5.0, kv_rpm_v=560.0, cells=12.0)


def read(tmp_path: Path, headings: str, *columns: list[str], encoding: str = "utf-8", last: str = "") -> Trace:
    rows = [";".join([f"{0.05 * k:.2f}", *(column[k] for column in columns)]) for k in range(N)]
    path = tmp_path / "log"
    path.write_bytes(("\n".join([headings, *rows]) + ("\n" + last if last else "\n")).encode(encoding))
    return read_trace(path, gearing=GEARING)


def counts(top: int) -> list[str]:
    return [str(round(top * min(k / 60.0, 0.8))) for k in range(N)]


@pytest.mark.parametrize(("unit", "top"), [("0..255", 255), ("0-1023", 1023), ("0 to 1000", 1000), ("0…200", 200)])
def test_a_duty_in_counts_is_a_share_of_the_top_that_its_heading_says(unit: str, top: int, tmp_path: Path) -> None:
    trace = read(tmp_path, f"time (s);duty [{unit}]", counts(top))
    assert trace.channels["duty"].max() == pytest.approx(0.8, abs=0.005)


def test_a_throttle_in_counts_is_a_share_of_the_top_that_its_heading_says(tmp_path: Path) -> None:
    trace = read(tmp_path, "time (s);throttle (0..1024)", counts(1024))
    assert trace.channels["throttle_percent"].max() == pytest.approx(80.0, abs=0.1)
    assert np.isfinite(trace.channels["throttle_percent"]).all()


def test_bare_counts_of_a_throttle_are_taken_by_the_least_full_scale_and_said(tmp_path: Path) -> None:
    trace = read(tmp_path, "time (s);throttle", counts(1024))
    assert trace.channels["throttle_percent"].max() == pytest.approx(80.0, rel=0.03)
    assert any("taken as 0 to 1000" in said for said in trace.warnings)


def test_bare_counts_of_a_duty_are_left_out_since_full_duty_is_not_known(tmp_path: Path) -> None:
    """160 of 200 and 160 of 255 are different head-room: nobody may guess that."""
    trace = read(tmp_path, "time (s);duty", counts(200))
    assert "duty" not in trace.channels
    assert any("full duty is not said" in said for said in trace.warnings)


def test_a_bare_pulse_width_is_still_a_pulse_width(tmp_path: Path) -> None:
    trace = read(tmp_path, "time (s);throttle", [str(1100 + 10 * k) for k in range(N)])
    assert any("pulse width" in said for said in trace.warnings)


@pytest.mark.parametrize("encoding", ["utf-8", "cp1250", "utf-16"])
def test_polish_headings(encoding: str, tmp_path: Path) -> None:
    headings = (
        "Czas [s];Prędkość wirnika głównego obr./min;Napięcie akumulatora;Prąd [A];Kanał gazu %;Wypełnienie;"
        "Zużyta pojemność mAh;Wysokość [m];Temperatura regulatora °C;Skok ogólny [°]"
    )
    cells = ["2000", "47.1", "20.5", "80", "74", "350", "12.5", "41", "5.5"]
    columns = [[cell] * N for cell in cells]
    columns[5] = [f"{0.285 * k:.3f}" for k in range(N)]
    trace = read(tmp_path, headings, *columns, encoding=encoding)
    got = {each.channel for each in trace.columns}
    assert got == {
        "head_speed_rpm", "pack_voltage_v", "pack_current_a", "throttle_percent", "duty", "charge_used_mah",
        "height_m", "controller_temperature_c", "collective_deg",
    }  # fmt: skip
    assert trace.channels["head_speed_rpm"][0] == 2000.0


def test_a_polish_motor_speed_is_no_time(tmp_path: Path) -> None:
    """`Prędkość silnika obr/min` ends in a unit of time only for who does not know the words before it."""
    trace = read(tmp_path, "Czas;Prędkość silnika obr/min", [str(18000 - k) for k in range(N)])
    assert trace.channels["motor_side_speed_rpm"][0] == pytest.approx(2000.0)


def test_western_letters_stay_windows_1252(tmp_path: Path) -> None:
    trace = read(tmp_path, "Zeit [s];Höhe [m];Durchfluß m³", ["3.5"] * N, ["1"] * N, encoding="cp1252")
    assert "height_m" in trace.channels
    assert any("Windows-1252" in said for said in trace.history)


def test_a_bare_battery_column_is_the_pack_voltage_where_it_fits_the_cells(tmp_path: Path) -> None:
    trace = read(tmp_path, "time (s);Battery", [f"{48.0 - 0.01 * k:.2f}" for k in range(N)])
    assert trace.channels["pack_voltage_v"][0] == 48.0
    assert trace.columns[0].confidence == "doubtful"


def test_a_bare_battery_column_that_fits_no_pack_is_left_out(tmp_path: Path) -> None:
    assert "pack_voltage_v" not in read(tmp_path, "time (s);Battery", [str(100 - k // 10) for k in range(N)]).channels


def test_a_row_that_breaks_off_inside_quotes_is_left_out(tmp_path: Path) -> None:
    """The half cell `"3` would read as three volts."""
    volts = ['"3.85"'] * N
    trace = read(tmp_path, '"time (s)";"cell voltage (V)";"current (A)"', volts, ['"20.0"'] * N, last='"4.00";"3')
    assert trace.channels["pack_voltage_v"].min() == pytest.approx(12 * 3.85)
    assert any("last row is incomplete" in said for said in trace.warnings)


def test_a_span_behind_another_word_is_no_share(tmp_path: Path) -> None:
    trace = read(tmp_path, "time (s);pack voltage (0-60)", ["48.0"] * N)
    assert trace.channels["pack_voltage_v"][0] == 48.0


def test_grouped_numbers_after_a_long_rest_are_thousands(tmp_path: Path) -> None:
    """Polars takes `65.160` for 65.16 beside decimal commas; the first rows, at rest, show no group."""
    rows = [f"{0.05 * k:.2f};{'0' if k < 400 else '2.160'};47,5".replace(".", ",", 1) for k in range(800)]
    path = tmp_path / "log"
    path.write_text("Zeit [s];Rotordrehzahl [U/min];Akkuspannung [V]\n" + "\n".join(rows) + "\n")
    assert read_trace(path, gearing=GEARING).channels["head_speed_rpm"].max() == 2160.0


@pytest.mark.parametrize("heading", ["eRPM/100", "eRPM [rpm/100]", "eRPM x100", "eRPM (rpm*100)", "eRPM [100 rpm]"])
def test_a_speed_of_which_a_hundredth_is_written(heading: str, tmp_path: Path) -> None:
    trace = read(tmp_path, f"time (s);{heading}", ["900"] * N)
    assert trace.channels["motor_side_speed_rpm"][0] == pytest.approx(2000.0)


def test_a_speed_far_below_what_duty_and_voltage_drive_is_asked_about(tmp_path: Path) -> None:
    """Nothing says that only a hundredth is written: 900 would be a head at 20 rpm."""
    with pytest.raises(UnsureColumns, match="a tenth or a hundredth"):
        read(tmp_path, "time (s);eRPM;duty [%];pack voltage [V]", ["900"] * N, ["80"] * N, ["46.0"] * N)


def test_a_motor_speed_lost_for_one_slow_row_is_set_aside(tmp_path: Path) -> None:
    """Five rows a second with a trembling clock: no motor stops and is back in four tenths of a second."""
    times = [0.2 * k + 0.05 * (k % 3) for k in range(N)]
    rows = [f"{t:.2f};{0 if k == 40 else 18000 + 9 * (k % 5)};80" for k, t in enumerate(times)]
    path = tmp_path / "log"
    path.write_text("time (s);motor speed (rpm);duty (%)\n" + "\n".join(rows) + "\n")
    assert np.isnan(read_trace(path, gearing=GEARING).channels["motor_side_speed_rpm"][40])


def test_two_lost_rows_on_a_trembling_clock_are_set_aside(tmp_path: Path) -> None:
    """The first of the two comes 0.08 s after the row before, the second 0.28 s later."""
    times = np.arange(N) * 0.2
    times[41:] -= 0.12
    times[42:] += 0.08
    rows = [f"{t:.2f};{0 if k in (41, 42) else 18000 + 9 * (k % 5)};80" for k, t in enumerate(times)]
    path = tmp_path / "log"
    path.write_text("time (s);motor speed (rpm);duty (%)\n" + "\n".join(rows) + "\n")
    assert np.isnan(read_trace(path, gearing=GEARING).channels["motor_side_speed_rpm"][41:43]).all()


def test_a_doubled_speed_of_many_quick_rows_is_set_aside(tmp_path: Path) -> None:
    """Two hundred rows a second, doubled for 30 of them; behind a hole the way back is no leap."""
    times = [0.005 * k + (0.6 if k >= 630 else 0.0) for k in range(1200)]
    rows = [f"{t:.3f};{(2 if 600 <= k < 630 else 1) * (2200 + k % 3)}" for k, t in enumerate(times)]
    path = tmp_path / "log"
    path.write_text("time (s);head speed (rpm)\n" + "\n".join(rows) + "\n")
    values = read_trace(path, gearing=GEARING).channels["head_speed_rpm"]
    assert np.nanmax(values) < 2300.0


@pytest.mark.parametrize("style", ["Cell {} V", "Cell {} [V]", "Zelle {}_V", "Cell {}, V", "cell{} V"])
def test_the_number_of_a_cell_is_no_factor_of_its_unit(style: str, tmp_path: Path) -> None:
    """`Cell 6 V` had read as six volts a count: 77 V for a pack of six, and a weak sixth cell hidden."""
    cells = [["3.80"] * N] * 11 + [["3.10"] * N]
    trace = read(tmp_path, "time (s);" + ";".join(style.format(k + 1) for k in range(12)), *cells)
    assert trace.channels["pack_voltage_v"][0] == pytest.approx(11 * 3.8 + 3.1)
    assert trace.channels["lowest_cell_v"][0] == pytest.approx(3.1)
