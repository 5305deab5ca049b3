"""A column that may be of a single cell and could not be used is kept in mind."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.meaning import claims_of
from steadyhead.trace.reading import read_trace
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Trace
from tests.unit.trace.flights import ROWS, VOLTAGE_V, flight, heading_of
from tests.unit.trace.test_cell_columns import WEAK, cells_named

CHANNEL = "lowest_cell_v"
CELL_V = VOLTAGE_V / 12.0 - np.linspace(0.0, 0.2, ROWS)
FOUR = np.full(ROWS, 4.0)


def left(trace: Trace) -> list[str]:
    return [one.heading for one in trace.unread if one.channel == CHANNEL]


@pytest.mark.parametrize(
    "heading",
    [
        "lowest cell number",
        "lowest cell no.",
        "lowest cell #",
        "weakest cell index",
        "lowest cell id",
        "min cell position",
        "lowest cell idx",
        "lowest cell channel",
        "lowest cell slot",
        "which cell is lowest",
        "lowest cell address",
        "cell low status",
        "cell low flag",
        "lowest cell nr",
        "schwächste Zelle Nr.",
        "numéro élément le plus faible",
    ],
)
def test_the_number_of_a_cell_is_no_voltage_and_spoils_none(heading: str, tmp_path: Path) -> None:
    alone = flight(tmp_path, last={heading: FOUR})
    assert not alone.has(CHANNEL)
    assert left(alone) == [heading]
    for place in ("first", "last"):
        both = {heading: FOUR, "lowest cell (V)": CELL_V}
        assert heading_of(flight(tmp_path, **{place: both}), CHANNEL) == "lowest cell (V)"


@pytest.mark.parametrize("heading", ["Cell no. 3 (V)", "Zelle Nr 3 (V)", "cell #3 (V)"])
def test_a_numbered_cell_is_a_cell(heading: str) -> None:
    claims = claims_of(RawTable(kind="text", columns=(RawColumn(heading=heading),), rows_read=0), {})
    assert [(claim.meaning, claim.not_plain) for claim in claims] == [("cell_voltage_v", "")]


def test_whole_numbers_only_are_no_voltage_of_a_cell(tmp_path: Path) -> None:
    told = flight(tmp_path, last={"lowest cell": np.where(np.arange(ROWS) % 3, 4.0, 3.0)})
    assert not told.has(CHANNEL)
    assert any("the number of a cell, not its voltage" in said for said in told.warnings)
    assert left(told) == ["lowest cell"]


@pytest.mark.parametrize(
    ("columns", "headings"),
    [
        (cells_named("cell {} (V)", count=13), [f"cell {WEAK + 1} (V)"]),
        ({"cell alarm (V)": np.full(ROWS, 3.5)}, ["cell alarm (V)"]),
        ({"cell difference (mV)": 200.0 * np.linspace(0.0, 1.0, ROWS)}, ["cell difference (mV)"]),
        ({"quux (V)": CELL_V}, ["quux (V)"]),
        ({"LVC[V]": CELL_V}, ["LVC[V]"]),
        ({"Cells (V)": CELL_V}, ["Cells (V)"]),
    ],
    ids=["more than the pack has", "an alarm", "a spread", "nobody's word", "a short word", "cells"],
)
def test_a_column_that_may_be_of_cells_is_kept_in_mind(
    columns: dict[str, np.ndarray], headings: list[str], tmp_path: Path
) -> None:
    trace = flight(tmp_path, last=columns)
    assert not trace.has(CHANNEL)
    assert left(trace) == headings


@pytest.mark.parametrize(
    "columns",
    [
        {"mean cell voltage (V)": VOLTAGE_V / 12.0},
        {"cell voltage (V)": VOLTAGE_V / 12.0 + 0.004},
        {"cell count": np.full(ROWS, 12.0)},
        {"cell temperature (°C)": 25.0 + np.linspace(0.0, 9.0, ROWS)},
        {"cell 1 resistance (mΩ)": np.full(ROWS, 3.0)},
        {"receiver voltage (V)": np.full(ROWS, 3.3)},
        {"logic supply (V)": np.full(ROWS, 3.3)},
        {"lowest cell (V)": CELL_V, "highest cell (V)": VOLTAGE_V / 12.0, "cell alarm (V)": np.full(ROWS, 3.5)},
    ],
    ids=lambda columns: next(iter(columns)),
)
def test_what_says_nothing_of_a_weaker_cell_is_no_matter(columns: dict[str, np.ndarray], tmp_path: Path) -> None:
    assert not left(flight(tmp_path, last=columns))


def test_a_word_of_a_person_is_the_end_of_it(tmp_path: Path) -> None:
    flight(tmp_path, last={"quux (V)": CELL_V})
    assert not left(read_trace(tmp_path / "log.csv", mapping={"quux (V)": "ignore"}, remember=False))
    told = read_trace(tmp_path / "log.csv", mapping={"quux (V)": CHANNEL}, remember=False)
    assert told.has(CHANNEL)
    assert not left(told)


@pytest.mark.parametrize("how", ["empty input", "stands still"])
def test_one_dead_cell_of_twelve_leaves_a_bound_and_is_kept_in_mind(how: str, tmp_path: Path) -> None:
    columns = cells_named("cell {} (V)")
    columns[f"cell {WEAK + 1} (V)"] = np.full(ROWS, 0.0 if how == "empty input" else 3.9)
    trace = flight(tmp_path, last=columns)
    assert trace.channels[CHANNEL] == pytest.approx(VOLTAGE_V / 12.0, abs=0.001)
    assert left(trace) == ["cell 1 (V) to cell 12 (V)"]
    assert any("the weakest may be another" in said for said in trace.warnings)


def test_cells_in_hundredths_without_a_unit_are_read(tmp_path: Path) -> None:
    trace = flight(tmp_path, last=cells_named("cell{}", 100.0))
    assert trace.channels[CHANNEL] == pytest.approx(CELL_V, abs=0.01)
    assert not left(trace)


@pytest.mark.parametrize(
    "heading",
    [
        "Nejnižší článek (V)",
        "Alin kenno (V)",
        "En düşük hücre (V)",
        "Мин. банка (В)",
        "最低单体电压 (V)",
        "Célula mínima (V)",
        "Laveste celle (V)",
        "최저 셀 (V)",
        "最低セル電圧 (V)",
    ],
)
def test_the_lowest_cell_is_read_in_more_languages(heading: str, tmp_path: Path) -> None:
    assert heading_of(flight(tmp_path, last={heading: CELL_V}), CHANNEL) == heading


def test_the_main_pack_is_no_head(tmp_path: Path) -> None:
    trace = flight(tmp_path, instead={"pack voltage (V)": {"Main pack V": VOLTAGE_V}})
    assert heading_of(trace, "pack_voltage_v") == "Main pack V"
    assert heading_of(trace, "head_speed_rpm") == "head speed (rpm)"
