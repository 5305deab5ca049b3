"""Times in tenths, in parts and in odd stamps; a time that no flight has is asked about."""

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError
from tests.unit.trace.flights import HEAD_RPM, PLAIN, ROWS, STEP_S, TIME_S, flight

BEGINS_S = 58.0 + TIME_S


@pytest.mark.parametrize(
    ("heading", "per_second"),
    [("tick 1/100 s", 100.0), ("time (1/10 s)", 10.0), ("time (1/1000 s)", 1000.0), ("time (cs)", 100.0),
     ("Zeit [ms/10]", 10000.0), ("time (10 ms)", 100.0)],
)  # fmt: skip
def test_a_part_of_a_second_is_read_as_such(heading: str, per_second: float, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"time (s)": {heading: TIME_S * per_second}})
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-3)


@pytest.mark.parametrize(("heading", "step"), [("time (s)", 40.0), ("time (min)", 1.0), ("time (µs)", 20.0)])
def test_rows_as_no_logger_writes_them_are_asked_about(heading: str, step: float, tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match="as no log of a flight does"):
        flight(tmp_path, instead={"time (s)": {heading: step * np.arange(ROWS)}})
    said = {heading: "time_s:ms"}
    assert read_trace(tmp_path / "log.csv", mapping=said, remember=False).duration_s > 0.0


def test_a_unit_that_is_not_understood_is_asked_about(tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match="not understood"):
        flight(tmp_path, instead={"time (s)": {"time (jif)": TIME_S * 100.0}})


def test_a_rotor_that_runs_for_hours_is_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = 9000
    speed = 2000.0 + np.random.default_rng(3).normal(size=rows)
    cells = [f"{2.0 * k:.1f},{speed[k]:.1f}" for k in range(rows)]
    path.write_text("time (s),head speed (rpm)\n" + "\n".join(cells) + "\n", "utf-8")
    with pytest.raises(UnsureColumns, match="for hours without a pause"):
        read_trace(path, remember=False)


@pytest.mark.parametrize(
    "parts",
    [
        {"minutes": BEGINS_S // 60, "seconds": BEGINS_S % 60},
        {"hour": 12 + 0 * BEGINS_S, "min": BEGINS_S // 60, "sec": BEGINS_S % 60},
        {"sec": np.floor(BEGINS_S + 1e-6), "msec": 1000 * ((BEGINS_S + 1e-6) % 1)},
    ],
    ids=["minutes and seconds", "hours, minutes, seconds", "seconds and milliseconds"],
)
def test_a_time_in_several_columns_is_added_up(parts: dict[str, np.ndarray], tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"time (s)": parts})
    assert trace.time_s == pytest.approx(TIME_S, abs=0.002)
    assert trace.warnings == ()


def _stamped(form: str, seconds: float) -> str:
    whole, milli = divmod(round(1000 * seconds), 1000)
    return form.format(minute=whole // 60, second=whole % 60, milli=milli)


@pytest.mark.parametrize(
    "form",
    [
        "20310726T0758{second:02d}.{milli:03d}",
        "20310726T0758{second:02d},{milli:03d}Z",
        "07:{minute:02d}:{second:02d}:{milli:03d}",
        "PT{minute}M{second}.{milli:03d}S",
        "{minute}m{second}.{milli:03d}s",
    ],
)
def test_odd_stamps_are_times(form: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"{_stamped(form, 0.1 * k)};{HEAD_RPM[k]:.1f}" for k in range(ROWS)]
    path.write_text("stamp;head speed (rpm)\n" + "\n".join(rows) + "\n", "utf-8")
    assert read_trace(path, remember=False).time_s == pytest.approx(TIME_S, abs=1e-6)


def test_the_newest_row_first_is_turned_round_and_said(tmp_path: Path) -> None:
    flight(tmp_path)
    path = tmp_path / "log.csv"
    heading, *rows = path.read_text("utf-8").splitlines()
    path.write_text("\n".join([heading, *reversed(rows)]) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)
    assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=1e-3)
    assert any("newest row comes first" in said for said in trace.warnings)
    assert trace.row[0] == ROWS - 1


def test_a_table_of_numbers_as_text_is_read(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    pl.DataFrame({name: [f"{v:.4f}" for v in values] for name, values in PLAIN.items()}).write_parquet(path)
    trace = read_trace(path, remember=False)
    assert trace.duration_s == pytest.approx(STEP_S * (ROWS - 1))
    assert trace.channels["head_speed_rpm"] == pytest.approx(HEAD_RPM, abs=1e-3)


@pytest.mark.parametrize(("per_second", "right"), [(100.0, "1/100 s"), (9.99, "1/10 s")])
def test_a_bare_time_by_which_the_rotor_starts_as_none_does_is_asked_about(
    per_second: float, right: str, tmp_path: Path
) -> None:
    with pytest.raises(UnsureColumns, match=f"time=time_s:{right}"):
        flight(tmp_path, instead={"time (s)": {"time": TIME_S * per_second}}, without=("charge used (mAh)",))


@pytest.mark.parametrize("per_second", [1.0, 1000.0, 1e6])
def test_a_bare_time_in_a_usual_unit_is_read_without_a_word(per_second: float, tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"time (s)": {"time": TIME_S * per_second}})
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-3)
    assert trace.warnings == ()


def _from_full_speed(per_second: float, charge: float) -> dict[str, dict[str, np.ndarray]]:
    """Return a time without a unit, and a head that was at speed before the log began."""
    head = 2000.0 + np.random.default_rng(4).normal(size=ROWS)
    return {
        "time (s)": {"time": TIME_S * per_second},
        "head speed (rpm)": {"head speed (rpm)": head},
        "charge used (mAh)": {"charge used (mAh)": charge * PLAIN["charge used (mAh)"]},
    }


def test_a_bare_time_that_the_charge_contradicts_is_asked_about_not_the_current(tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match=r"times the charge that the log counts.*time=time_s:1/100 s"):
        flight(tmp_path, instead=_from_full_speed(100.0, 1.0))


def test_a_charge_that_no_unit_of_the_time_mends_is_left_out_with_the_current(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead=_from_full_speed(1000.0, 30.0))
    assert "charge_used_mah" not in trace.channels
    assert "pack_current_a" not in trace.channels


@pytest.mark.parametrize(("heading", "begins"), [("time", 46_000.25), ("Time (days)", 0.0), ("Zeit [Tage]", 46_000.25)])
def test_a_time_in_days_as_a_spreadsheet_writes_it_is_read(heading: str, begins: float, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"{begins + TIME_S[k] / 86_400.0:.10f};{HEAD_RPM[k]:.1f}" for k in range(ROWS)]
    path.write_text(f"{heading};head speed (rpm)\n" + "\n".join(rows) + "\n", "utf-8")
    assert read_trace(path, remember=False).time_s == pytest.approx(TIME_S, abs=1e-3)


def test_a_bare_time_in_fractions_that_fit_two_units_is_asked_about(tmp_path: Path) -> None:
    with pytest.raises(UnsureColumns, match="fit more than one"):
        flight(tmp_path, instead={"time (s)": {"time": 5.02 * np.arange(ROWS)}})


@pytest.mark.parametrize(
    ("begins", "form"),
    [
        ("310503 235950.000", "%y%m%d %H%M%S"),
        ("20310503 235950.000", "%Y%m%d %H%M%S"),
        ("030531 235950.000", "%d%m%y %H%M%S"),
    ],
)
def test_a_day_and_a_time_in_figures_alone_are_a_stamp(begins: str, form: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    start = datetime.strptime(begins.partition(".")[0], form)
    moments = [start + timedelta(milliseconds=100 * k) for k in range(ROWS)]
    rows = [f"{m.strftime(form)}.{m.microsecond // 1000:03d},{HEAD_RPM[k]:.1f}" for k, m in enumerate(moments)]
    path.write_text("stamp,head speed (rpm)\n" + "\n".join(rows) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)
    assert trace.warnings == ()


@pytest.mark.parametrize(("heading", "per_second"), [("dt (s)", 1.0), ("delta time [ms]", 1000.0)])
def test_a_column_of_steps_from_row_to_row_is_added_up(heading: str, per_second: float, tmp_path: Path) -> None:
    steps = np.diff(TIME_S, prepend=0.0) * per_second
    trace = flight(tmp_path, instead={"time (s)": {heading: steps}})
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)


def test_a_clock_that_stands_still_is_no_column_of_steps(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="does not move"):
        flight(tmp_path, instead={"time (s)": {"time (s)": 1.0 + 0.0 * TIME_S}})


@pytest.mark.parametrize("first", [True, False], ids=["on top", "at the end"])
def test_a_row_of_greatest_values_or_means_is_left_out(first: bool, tmp_path: Path) -> None:
    flight(tmp_path)
    path = tmp_path / "log.csv"
    heading, *rows = path.read_text("utf-8").splitlines()
    means = ";".join(["39.9" if first else "20.0", *rows[-1].split(";")[1:]])
    path.write_text("\n".join([heading, *([means, *rows] if first else [*rows, means])]) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)
    assert trace.warnings == ("1 rows have a time out of line with their neighbours: left out",)


def test_a_date_a_time_and_milliseconds_in_columns_of_their_own_are_one_stamp(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    moments = [datetime(2031, 5, 3, 23, 59, 50) + timedelta(milliseconds=100 * k) for k in range(ROWS)]
    rows = [f"{m:%Y-%m-%d},{m:%H:%M:%S},{m.microsecond // 1000},{HEAD_RPM[k]:.1f}" for k, m in enumerate(moments)]
    path.write_text("date,time,ms,head speed (rpm)\n" + "\n".join(rows) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.time_s == pytest.approx(TIME_S, abs=1e-6)
    assert trace.warnings == ()


def test_the_column_that_is_offered_measures_what_is_missing(tmp_path: Path) -> None:
    moving = 50.0 + 20.0 * np.sin(TIME_S)
    odd = {"обороты (rpm)": 40.0 * moving, "qqz (%)": moving}
    trace = flight(tmp_path, last=odd, without=("throttle (%)",))
    assert any('--column "qqz (%)=throttle_percent"' in said for said in trace.warnings)


def _short_start(per_second: float) -> dict[str, np.ndarray]:
    """A start from 8 to 22 s and a run-down that takes 10 s, 25 rows a second, in counts of the time."""
    time_s = 0.04 * np.arange(2000)
    speed = 2000.0 * np.clip(np.minimum((time_s - 8.0) / 14.0, (70.0 - time_s) / 10.0), 0.0, 1.0)
    current = np.where(speed > 0.0, 0.2 + 20.0 * (speed / 2000.0) ** 2, 0.2)
    return {"time": time_s * per_second, "speed": speed, "current": current, "charge": np.cumsum(current) * 0.04 / 3.6}


def _written(path: Path, heading: str, per_second: float, amperes: float = 1.0, rows: slice = slice(None)) -> Path:
    made = _short_start(per_second)
    cells = zip(
        made["time"][rows], made["speed"][rows], amperes * made["current"][rows], made["charge"][rows], strict=True
    )
    lines = [f"{t:.4f},{n:.1f},{i:.2f},{q:.1f}" for t, n, i, q in cells]
    path.write_text("\n".join([f"{heading},head speed (rpm),current (A),charge used (mAh)", *lines]) + "\n", "utf-8")
    return path


@pytest.mark.parametrize(
    ("heading", "per_second", "true"), [("time (ms)", 100.0, "1/100 s"), ("time (s)", 10.0, "1/10 s")]
)
def test_a_written_unit_by_which_no_rotor_starts_is_asked_about(
    heading: str, per_second: float, true: str, tmp_path: Path
) -> None:
    path = _written(tmp_path / "log.csv", heading, per_second)
    with pytest.raises(UnsureColumns, match="than any rotor") as asked:
        read_trace(path, remember=False)
    assert asked.value.options[0].endswith(true)
    right = read_trace(path, mapping={heading: f"time_s:{true}"}, remember=False)
    assert right.duration_s == pytest.approx(79.96)
    assert {"pack_current_a", "charge_used_mah"} <= set(right.channels)
    as_written = heading.partition("(")[2].rstrip(")")
    wrong = read_trace(path, mapping={heading: f"time_s:{as_written}"}, remember=False)
    assert any("than any rotor" in said for said in wrong.warnings)
    said = next(said for said in wrong.warnings if "times the charge" in said)
    assert "the time is in another unit" in said


def test_a_right_unit_is_believed_and_a_wrong_current_is_blamed(tmp_path: Path) -> None:
    sound = read_trace(_written(tmp_path / "log.csv", "time (ms)", 1000.0), remember=False)
    assert sound.duration_s == pytest.approx(79.96)
    assert sound.warnings == ()
    tenths = read_trace(_written(tmp_path / "log.csv", "time (ms)", 1000.0, amperes=10.0), remember=False)
    said = next(said for said in tenths.warnings if "times the charge" in said)
    assert "one of them is in another unit" in said


def test_where_no_start_tells_time_and_current_are_both_named(tmp_path: Path) -> None:
    path = _written(tmp_path / "log.csv", "time (ms)", 100.0, rows=slice(700, 1500))
    with pytest.raises(UnsureColumns, match="the time, the current or the charge"):
        read_trace(path, remember=False)


def test_a_unit_that_was_said_of_another_log_is_not_believed_against_the_rows(tmp_path: Path) -> None:
    path = _written(tmp_path / "first.csv", "time", 1.0)
    read_trace(path, mapping={"time": "time_s:s"})
    other = _written(tmp_path / "next.csv", "time", 1000.0)
    with pytest.raises(UnsureColumns, match="as no log of a flight does"):
        read_trace(other)
    with pytest.raises(UnsureColumns, match="than any rotor"):
        read_trace(_written(tmp_path / "tenths.csv", "time", 10.0))


@pytest.mark.parametrize(("ends", "step_s", "within"), [("", 1.0, 1e-6), ("ms", 0.02, 2.1e-3)])
def test_a_date_and_a_time_in_figures_alone_are_read(ends: str, step_s: float, within: float, tmp_path: Path) -> None:
    begin, time_s = datetime(2031, 12, 31, 23, 59, 40), step_s * np.arange(3000)
    moments = [begin + timedelta(seconds=float(s)) for s in time_s]
    stamps = [m.strftime("%Y%m%d%H%M%S") + (f"{m.microsecond // 1000:03d}" if ends else "") for m in moments]
    path = tmp_path / "log.csv"
    path.write_text("datetime,head speed (rpm)\n" + "\n".join(f"{s},{2000 + k % 3}" for k, s in enumerate(stamps)))
    assert read_trace(path, remember=False).time_s == pytest.approx(time_s, abs=within)


def test_a_lost_speed_within_a_start_is_no_quick_start(tmp_path: Path) -> None:
    path = _written(tmp_path / "log.csv", "time (ms)", 1000.0, rows=slice(0, 1500))
    lines = path.read_text("utf-8").splitlines()
    for row in range(360, 366):
        stamp, _, *rest = lines[row].split(",")
        lines[row] = ",".join([stamp, "0.0", *rest])
    path.write_text("\n".join(lines) + "\n", "utf-8")
    assert read_trace(path, remember=False).duration_s == pytest.approx(59.96)
