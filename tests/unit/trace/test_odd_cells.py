"""Cells that hold no plain number: formulas, words for nothing, changing units, bytes of nothing at the end."""

from pathlib import Path

import pytest

from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace

N = 200


def read(tmp_path: Path, *cells: str, end: bytes = b"") -> Trace:
    path = tmp_path / "log.csv"
    rows = [f"{0.05 * k:.2f},{cell},{60 + k % 5}" for k, cell in enumerate(cells)]
    path.write_bytes(("\n".join(["time (s),pack voltage (V),duty (%)", *rows]) + "\n").encode() + end)
    return read_trace(path, remember=False)


def volts(k: int) -> str:
    return f"{48.5 - 0.01 * k:.2f}"


def test_numbers_as_a_spreadsheet_writes_formulas_are_numbers(tmp_path: Path) -> None:
    trace = read(tmp_path, *(f'="{volts(k)}"' for k in range(N)))
    assert trace.channels["pack_voltage_v"][10] == pytest.approx(48.4)


@pytest.mark.parametrize("cell", ['="{}"', "={}", '"=""{}"""', "+{}", '="+{}"'])
@pytest.mark.parametrize("mark", [";", ","])
@pytest.mark.parametrize("time_too", [True, False])
def test_a_table_of_nothing_but_odd_numbers_is_read(cell: str, mark: str, time_too: bool, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    first = cell if time_too else "{}"
    rows = [mark.join((first.format(f"{0.05 * k:.2f}"), *map(cell.format, (volts(k), "60")))) for k in range(N)]
    path.write_text("\n".join([mark.join(("time (s)", "pack voltage (V)", "duty (%)")), *rows]) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.channels["pack_voltage_v"][10] == pytest.approx(48.4)
    assert trace.time_s[10] == pytest.approx(0.5)


@pytest.mark.parametrize("figures", [3, 6])
def test_decimal_commas_before_an_exponent_are_no_thousands(figures: int, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"{0.05 * k:.{figures}E};{48.5 - 0.01 * k:.{figures}E}".replace(".", ",") for k in range(N)]
    path.write_text("\n".join(["time (s);pack voltage (V)", *rows]) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert trace.channels["pack_voltage_v"][10] == pytest.approx(48.4)
    assert trace.time_s[10] == pytest.approx(0.5)


def test_room_that_a_logger_did_not_fill_in_the_middle_costs_one_row(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    lines = ["time (s),pack voltage (V),duty (%)", *(f"{0.05 * k:.2f},{volts(k)},{60 + k % 5}" for k in range(N))]
    path.write_bytes("\n".join(lines[:150]).encode() + b"\n" + bytes(3000) + "\n".join(lines[150:]).encode() + b"\n")
    trace = read_trace(path, remember=False)
    assert trace.time_s.size >= N - 1
    assert any("NUL bytes in 1 cells" in word for word in trace.warnings)


def test_cells_that_say_nan_are_counted_as_empty(tmp_path: Path) -> None:
    trace = read(tmp_path, *("nan" if 50 <= k < 60 else volts(k) for k in range(N)))
    assert "10 empty cells in pack voltage (V)" in trace.warnings


def test_a_column_whose_unit_changes_from_cell_to_cell_is_named_where_it_is_left_out(tmp_path: Path) -> None:
    trace = read(tmp_path, *(f"{volts(k)} V" if k < 90 else f"{volts(k).replace('.', '')}0 mV" for k in range(N)))
    assert "pack_voltage_v" not in trace.channels
    assert any(
        said.startswith("pack voltage (V): left out, most of its cells hold no number") for said in trace.warnings
    )


def test_bytes_of_nothing_behind_the_last_row_are_cut_off_and_said(tmp_path: Path) -> None:
    trace = read(tmp_path, *map(volts, range(N)), end=b"\0" * 4096)
    assert trace.rows_read == N
    assert trace.warnings == ("4096 NUL bytes behind the last row: cut off",)
