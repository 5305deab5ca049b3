"""One column for each cell, whatever it is called: all cells or none, the pack their sum."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.polled import in_step
from tests.unit.trace.flights import GEARING, ROWS, VOLTAGE_V, Floats, flight, heading_of

WEAK = 7


def cells_named(pattern: str, factor: float = 1.0, count: int = 12, start: int = 1) -> dict[str, Floats]:
    sag = np.linspace(0.0, 0.2, ROWS)
    return {pattern.format(k + start): factor * (VOLTAGE_V / 12.0 - (sag if k == WEAK else 0.0)) for k in range(count)}


@pytest.mark.parametrize(
    ("pattern", "factor", "start"),
    [
        ("U{}", 1.0, 1),
        ("U{} [V]", 1.0, 1),
        ("c{}_mV", 1000.0, 1),
        ("z{} (mV)", 1000.0, 0),
        ("vcell{:02d}", 1.0, 1),
        ("{}", 1.0, 1),
        ("Zelle {} (V)", 1.0, 1),
        ("cell {} voltage (V)", 1.0, 1),
    ],
)
def test_cells_under_short_names_give_the_weakest_and_the_pack(
    pattern: str, factor: float, start: int, tmp_path: Path
) -> None:
    for place in ("first", "last"):
        trace = flight(tmp_path, **{place: cells_named(pattern, factor, start=start)}, without=("pack voltage (V)",))
        weakest = VOLTAGE_V / 12.0 - np.linspace(0.0, 0.2, ROWS)
        assert trace.channels["lowest_cell_v"] == pytest.approx(weakest, abs=0.002)
        assert trace.channels["pack_voltage_v"] == pytest.approx(12.0 * VOLTAGE_V / 12.0, abs=0.25)


def test_inputs_without_a_cell_are_no_cells(tmp_path: Path) -> None:
    unused = {f"cell {k} (V)": np.zeros(ROWS) for k in (13, 14)}
    trace = flight(tmp_path, last=cells_named("cell {} (V)") | unused)
    assert heading_of(trace, "lowest_cell_v") == "least of 12 cells"
    assert trace.channels["lowest_cell_v"].min() > 3.5


def test_of_too_few_cells_it_is_said_that_the_weakest_may_be_missing(tmp_path: Path) -> None:
    trace = flight(tmp_path, last=cells_named("cell {} (V)", count=6))
    assert [(one.channel, one.heading) for one in trace.unread] == [("lowest_cell_v", "cell 1 (V) to cell 6 (V)")]
    assert any("6 cells are logged and the pack has 12" in said for said in trace.warnings)
    assert heading_of(trace, "pack_voltage_v") == "pack voltage (V)"


def test_more_cells_than_the_pack_has_are_left_out(tmp_path: Path) -> None:
    trace = flight(tmp_path, last=cells_named("cell {} (V)", count=13))
    assert not trace.has("lowest_cell_v")
    assert any("13 cells are logged and the pack has 12" in said for said in trace.warnings)


def test_a_row_with_a_cell_missing_has_no_weakest_cell(tmp_path: Path) -> None:
    columns = cells_named("cell {} (V)")
    columns[f"cell {WEAK + 1} (V)"][::50] = np.nan
    lowest = flight(tmp_path, last=columns).channels["lowest_cell_v"]
    assert np.isnan(lowest[::50]).all()
    assert np.isfinite(lowest[1::50]).all()


def test_numbered_columns_that_are_no_cells_are_left_alone(tmp_path: Path) -> None:
    inputs = {f"A{k}": np.full(ROWS, 3.3) for k in range(1, 5)}
    assert not flight(tmp_path, last=inputs).has("lowest_cell_v")


def test_two_packs_in_series_are_added_where_only_the_sum_fits(tmp_path: Path) -> None:
    halves = {"Pack 1 voltage (V)": 0.5 * VOLTAGE_V, "Pack 2 voltage (V)": 0.5 * VOLTAGE_V - 0.3}
    trace = flight(tmp_path, instead={"pack voltage (V)": halves})
    assert trace.channels["pack_voltage_v"] == pytest.approx(VOLTAGE_V - 0.3, abs=0.001)
    assert any("in series" in said for said in trace.warnings)


def test_two_packs_whose_sum_does_not_fit_are_not_added(tmp_path: Path) -> None:
    halves = {"Pack 1 voltage (V)": 0.5 * VOLTAGE_V, "Pack 2 voltage (V)": 0.5 * VOLTAGE_V - 3.0}
    trace = flight(tmp_path, instead={"pack voltage (V)": halves}, gearing=GEARING._replace(cells=6.0))
    assert not trace.has("pack_voltage_v")
    assert any("neither is used" in said for said in trace.warnings)


@pytest.mark.parametrize("each", [1, 3, 4])
def test_cells_read_one_after_the_other_count_where_a_round_of_them_is_whole(each: int, tmp_path: Path) -> None:
    columns = cells_named("cell {} (V)")
    turns = 12 // each
    for k, values in enumerate(columns.values()):
        values[np.arange(ROWS) % turns != k // each] = np.nan
    trace = flight(tmp_path, last=columns, without=("pack voltage (V)",))
    whole = np.flatnonzero(np.isfinite(trace.channels["pack_voltage_v"]))
    assert set(np.diff(whole)) == {turns}
    assert trace.channels["pack_voltage_v"][whole] == pytest.approx(VOLTAGE_V[whole], abs=0.6)
    weakest = VOLTAGE_V / 12.0 - np.linspace(0.0, 0.2, ROWS)
    assert np.median(np.abs(trace.channels["lowest_cell_v"][whole] - weakest[whole])) < 0.02


def test_a_round_with_a_cell_missing_has_no_weakest_cell() -> None:
    first = np.array([4.0, np.nan, 3.9, np.nan, 3.8, np.nan, 3.7, np.nan])
    other = np.array([np.nan, 4.1, np.nan, np.nan, np.nan, 3.6, np.nan, 3.5])
    got = in_step([first, other])
    assert np.flatnonzero(np.isfinite(got).all(axis=0)).tolist() == [1, 5, 7]
    assert got[:, 5].tolist() == [3.8, 3.6]
    assert got[:, 7].tolist() == [3.7, 3.5]
