"""Parquet logs carry their own types: stamps, spans, whole numbers, missing values."""

from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from steadyhead.trace import parquet_file
from steadyhead.trace.arrow_units import units_in
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.words.errors import InputError

FOLDER = Path(__file__).resolve().parents[2] / "data" / "parquet"
N = 50
START = datetime(2031, 3, 9, 10, 15, 30)
SPEED = [2000 + k % 3 for k in range(N)]
TIMES = {
    "seconds": pl.Series("time (s)", [0.05 * k for k in range(N)]),
    "32-bit seconds": pl.Series("time (s)", [0.05 * k for k in range(N)], dtype=pl.Float32),
    "whole milliseconds": pl.Series("time (ms)", [50 * k for k in range(N)], dtype=pl.UInt32),
    "stamps": pl.Series("when", [START + timedelta(milliseconds=50 * k) for k in range(N)]),
    "stamps with a zone": pl.Series(
        "when", [START + timedelta(milliseconds=50 * k) for k in range(N)]
    ).dt.replace_time_zone("UTC"),
    "stamps to the nanosecond": pl.Series("when", [START + timedelta(milliseconds=50 * k) for k in range(N)]).cast(
        pl.Datetime("ns")
    ),
    "spans": pl.Series("elapsed", [timedelta(milliseconds=50 * k) for k in range(N)]),
    "time of day": pl.Series("clock", [time(10, 15, k // 20, 50_000 * (k % 20)) for k in range(N)]),
    "text": pl.Series("clock", [f"10:15:{0.05 * k:06.3f}" for k in range(N)]),
}


@pytest.mark.parametrize("form", TIMES)
def test_every_type_of_time_reads_the_same(form: str, tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    pl.DataFrame([TIMES[form], pl.Series("head speed (rpm)", SPEED, dtype=pl.Int16)]).write_parquet(path)
    trace = read_trace(path)
    assert trace.time_s == pytest.approx(np.arange(N) * 0.05, abs=1e-5)
    assert trace.channels["head_speed_rpm"].tolist() == SPEED


def test_missing_values_are_counted_and_other_types_kept_out(tmp_path: Path) -> None:
    path = tmp_path / "no extension"
    speed: list[int | None] = [*SPEED]
    speed[7] = None
    frame = {
        "time (s)": [0.05 * k for k in range(N)],
        "head speed (rpm)": speed,
        "day": [date(2031, 3, 9)] * N,
        "list": [[1.0, 2.0]] * N,
        "hold": [False] * N,
        "mode": ["normal"] * N,
    }
    pl.DataFrame(frame).write_parquet(path)
    trace = read_trace(path)
    assert list(trace.channels) == ["head_speed_rpm"]
    assert np.isnan(trace.channels["head_speed_rpm"][7])
    assert trace.warnings == ("1 empty cells in head speed (rpm)",)


def test_a_parquet_file_of_too_many_numbers_is_refused_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "large.parquet"
    pl.DataFrame({"time (s)": np.arange(10_000.0), "head speed (rpm)": np.zeros(10_000)}).write_parquet(path)
    monkeypatch.setattr(parquet_file, "CELL_LIMIT", 15_000)
    with pytest.raises(InputError, match="the size limit"):
        read_trace(path)


def test_a_parquet_file_without_rows_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "none.parquet"
    pl.DataFrame(
        {"time (s)": [], "head speed (rpm)": []}, schema={"time (s)": pl.Float64, "head speed (rpm)": pl.Float64}
    ).write_parquet(path)
    with pytest.raises(InputError, match="no data rows"):
        read_trace(path)


def test_stamps_of_no_calendar_year_where_a_current_is_looked_for_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    before_any_year = pl.Series("pack current (A)", [-(10**18) + k for k in range(N)]).cast(pl.Datetime("us"))
    pl.DataFrame([TIMES["seconds"], pl.Series("head speed (rpm)", SPEED), before_any_year]).write_parquet(path)
    trace = read_trace(path)
    assert not trace.has("pack_current_a")
    assert any("pack current (A)" in word and "left out" in word for word in trace.warnings)


def test_units_beside_the_columns_are_used() -> None:
    trace = read_trace(FOLDER / "units_beside.parquet", remember=False)
    assert trace.time_s[1] == pytest.approx(0.05)
    assert trace.channels["pack_current_a"][0] == pytest.approx(18.0)
    assert trace.channels["controller_temperature_c"][0] == pytest.approx(40.0)
    assert np.ptp(trace.channels["height_m"]) == pytest.approx(2.0 * 0.3048)


@pytest.mark.parametrize("schema", [None, "", "!", "AAAA", "/////wAAAAA=", "/////xAAAAAQAAAA////////////"])
def test_a_schema_that_cannot_be_read_says_no_units(schema: str | None) -> None:
    assert units_in(schema) == {}


@pytest.mark.parametrize(
    ("name", "said"), [("one_name_twice", "two columns of one name"), ("long_decimals", "decimals of more figures")]
)
def test_what_the_library_does_not_take_is_not_called_broken(name: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_trace(FOLDER / f"{name}.parquet")


def test_dictionaries_bytes_and_decimal_commas_are_numbers(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    pl.DataFrame(
        [
            pl.Series("time (s)", [f"{0.05 * k:.2f}" for k in range(N)], dtype=pl.Categorical),
            pl.Series("head speed (rpm)", [str(rpm).encode() for rpm in SPEED]),
            pl.Series("pack voltage (V)", [f"{48.5 - 0.01 * k:.2f}".replace(".", ",") for k in range(N)]),
        ]
    ).write_parquet(path)
    trace = read_trace(path)
    assert trace.time_s[10] == pytest.approx(0.5)
    assert trace.channels["head_speed_rpm"].tolist() == SPEED
    assert trace.channels["pack_voltage_v"][10] == pytest.approx(48.4)


def test_records_and_rows_of_cells_are_columns(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    pl.DataFrame(
        {
            "time (s)": [0.05 * k for k in range(N)],
            "pack": [{"voltage (V)": 48.5 - 0.01 * k, "current (A)": 10.0 + k} for k in range(N)],
            "cell voltage (V)": [[4.0 + 0.001 * cell - 0.001 * k for cell in range(12)] for k in range(N)],
        }
    ).write_parquet(path)
    trace = read_trace(path, gearing=Gearing(cells=12.0))
    assert trace.channels["pack_voltage_v"][10] == pytest.approx(48.4)
    assert trace.channels["pack_current_a"][10] == pytest.approx(20.0)
    assert trace.channels["lowest_cell_v"][10] == pytest.approx(3.99)


def test_commas_before_three_figures_are_decimal_where_another_column_shows_that(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    columns = {
        "time (s)": [f"{0.05 * k:.2f}".replace(".", ",") for k in range(N)],
        "head speed (rpm)": [str(rpm) for rpm in SPEED],
        "lowest cell (V)": [f"{4.169 - 0.001 * k:.3f}".replace(".", ",") for k in range(N)],
    }
    pl.DataFrame(columns).write_parquet(path)
    assert read_trace(path).channels["lowest_cell_v"][:2] == pytest.approx([4.169, 4.168])


def test_yes_and_no_are_no_share_and_rows_of_unlike_length_are_noted(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    columns = {
        "time (s)": [0.05 * k for k in range(N)],
        "head speed (rpm)": SPEED,
        "throttle (%)": [k > 20 for k in range(N)],
        "pack voltage (V)": [24.0 - 0.01 * k for k in range(N)],
        "cell voltage (V)": [[4.0 - 0.001 * k] * (6 if k % 9 else 5) for k in range(N)],
    }
    pl.DataFrame(columns).write_parquet(path)
    trace = read_trace(path)
    assert not trace.has("throttle_percent")
    assert any(said.startswith("throttle (%): left out, most of its cells hold no number") for said in trace.warnings)
    assert [(one.channel, one.heading) for one in trace.unread] == [("lowest_cell_v", "cell voltage (V)")]
