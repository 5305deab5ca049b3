"""Rows that are no rows of the table: glued, shifted, or below other headings; each is left out with a true reason."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace

HEADINGS = "time (s),head speed (rpm),duty (%),pack current (A),pack voltage (V)"
N = 120


def line(k: int) -> str:
    return f"{0.05 * k:.2f},{2000 + k % 3},{60 + k % 5},{30 + k % 4},{48.5 - 0.01 * k:.2f}"


def read(tmp_path: Path, *lines: str) -> Trace:
    path = tmp_path / "log.csv"
    path.write_text("\n".join([HEADINGS, *lines]) + "\n", "utf-8")
    return read_trace(path, remember=False)


def test_two_lines_glued_into_one_are_left_out_and_said(tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    trace = read(tmp_path, *rows[:50], rows[50] + rows[51], *rows[52:])
    assert trace.rows_read == N - 2
    assert "1 rows, the first in line 52, hold more cells than the 5 headings: left out" in trace.warnings


def test_a_first_row_that_is_glued_is_left_out_too(tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    assert read(tmp_path, rows[0] + rows[1], *rows[2:]).rows_read == N - 2


def test_shifted_rows_are_left_out_and_said(tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    shifted = [row.replace(",", ",7,", 1) for row in rows[80:]]
    trace = read(tmp_path, *rows[:80], *shifted)
    assert trace.rows_read == 80
    assert np.ptp(trace.channels["pack_voltage_v"]) < 1.0
    assert "40 rows, the first in line 82, hold more cells" in " ".join(trace.warnings)


def test_marks_with_nothing_behind_them_are_no_cells(tmp_path: Path) -> None:
    rows = [line(k) + (",, " if k % 7 == 0 else "") for k in range(N)]
    trace = read(tmp_path, *rows)
    assert (trace.rows_read, trace.warnings) == (N, ())


def test_a_mark_within_quotes_parts_no_cells(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f'{line(k)},"calm, no wind, warm"' for k in range(N)]
    path.write_text("\n".join([HEADINGS + ",remark", *rows]) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert (trace.rows_read, trace.warnings) == (N, ())


SWAPPED = "time (s),head speed (rpm),pack current (A),duty (%),pack voltage (V)"


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (SWAPPED, "'pack current (A)' where 'duty (%)' stood"),
        (HEADINGS.replace("(A)", "(mA)"), "'pack current (mA)' where 'pack current (A)' stood"),
        (HEADINGS.replace("time (s)", "time (ms)"), "'time (ms)' where 'time (s)' stood"),
        ("time (s),duty (%)", "'duty (%)' where 'head speed (rpm)' stood"),
    ],
)
def test_rows_below_other_headings_are_left_out_for_that_reason(other: str, said: str, tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    trace = read(tmp_path, *rows, other, *rows)
    assert trace.rows_read == N
    assert any(f"line {N + 2} holds other headings, {said}: {N + 1} rows from there" in text for text in trace.warnings)
    assert not any("do not split" in text for text in trace.warnings)


def test_rows_are_read_again_where_the_own_headings_come_back(tmp_path: Path) -> None:
    rows = [line(k) for k in range(3 * N)]
    trace = read(tmp_path, *rows[:N], SWAPPED, *rows[N : 2 * N], HEADINGS, *rows[2 * N :])
    assert trace.rows_read == 2 * N


def test_headings_that_are_said_again_part_nothing(tmp_path: Path) -> None:
    rows = [line(k) for k in range(2 * N)]
    trace = read(tmp_path, *rows[:N], HEADINGS, *rows[N:])
    assert trace.rows_read == 2 * N
    assert trace.warnings == (f"1 rows, the first in line {N + 2}, say the headings again: left out",)


def test_words_of_a_lost_sensor_are_no_headings(tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    rows[60] = "lost,lost,lost,lost,lost"
    assert read(tmp_path, *rows).rows_read >= N - 1


def test_a_units_row_below_headings_that_are_said_again_counts(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    head, own, other = "time;head speed;pack current", "s;rpm;A", "s;rpm;mA"
    rows = [f"{0.05 * k:.2f};{2000 + k % 3};{30 + k % 4}" for k in range(N)]
    for units, kept in ((own, 2 * N), (other, N)):
        path.write_text("\n".join([head, own, *rows, head, units, *rows]) + "\n", "utf-8")
        assert read_trace(path, remember=False).rows_read == kept


def test_a_large_log_with_other_headings_within_is_read_as_a_small_one(tmp_path: Path) -> None:
    rows = [line(k) for k in range(90_000)]
    trace = read(tmp_path, *rows, SWAPPED, *rows[:N])
    assert (tmp_path / "log.csv").stat().st_size < 4e6
    many = read(tmp_path, *rows, *rows, SWAPPED, *rows[:N])
    assert (tmp_path / "log.csv").stat().st_size > 4.5e6
    assert (trace.rows_read, many.rows_read) == (90_000, 180_000)


def test_rows_that_lost_a_mark_between_two_cells_are_left_out_and_said(tmp_path: Path) -> None:
    rows = [line(k) for k in range(N)]
    for k in (50, 70, 90):
        time, _, rest = rows[k].split(",", 2)
        rows[k] = f"{time},{rest}"
    trace = read(tmp_path, *rows)
    assert trace.rows_read == N - 3
    assert np.nanmin(trace.channels["head_speed_rpm"]) >= 2000.0
    assert "3 rows, the first in line 52, hold fewer cells than the others: left out" in trace.warnings


@pytest.mark.parametrize("every", [2, 3, 20])
def test_cells_that_a_logger_leaves_away_at_the_end_of_rows_are_empty(every: int, tmp_path: Path) -> None:
    rows = [line(k) if k % every or k == 0 else line(k).rpartition(",")[0] for k in range(N)]
    trace = read(tmp_path, *rows)
    assert trace.rows_read == N
    assert np.isfinite(trace.channels["head_speed_rpm"]).all()
