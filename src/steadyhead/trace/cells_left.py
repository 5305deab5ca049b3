"""Columns that may be of single cells and give no weakest cell: what the pack says as a whole is not all, then."""

from collections.abc import Mapping, Sequence

import numpy as np
import polars as pl

from steadyhead.trace.cell_columns import CELL_HIGH_V, CELL_LOW_V, reads_nothing, volts_of
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.headings import Heading, heading_of
from steadyhead.trace.impossible import level_of
from steadyhead.trace.meaning import Claim
from steadyhead.trace.quick_look import even_rows, sample_of
from steadyhead.trace.rivals import Found
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Series

_OF_A_VOLTAGE = ("pack_voltage_v", "cell_voltage_v", "lowest_cell_v")
_MAY_HIDE_A_CELL = frozenset({"limit", "least", "smoothed"})
"""A column with one of these words whose figures are a cell's and move may be the weakest cell by another name."""
_NOT_THE_CELLS_NOW = frozenset({"lowest", "limit"})
_MEAN_WITHIN_V = 0.02
"""A cell voltage that stays so near the pack's mean is that mean: two roundings and their noise; own choice."""
_MOST_ROWS_PERCENT = 99.0
_A_VOLTAGE = r"\d[.,]\d"


def cells_left(
    table: RawTable, claims: Sequence[Claim], found: Mapping[str, Found], gearing: Gearing, used: frozenset[int]
) -> list[str]:
    """Return the headings of columns that may be of single cells, where no weakest cell is known.

    Such are columns whose heading speaks of a cell, and voltages that read as a cell does; not those that a person
    spoke of, that hold nothing, that count the cells, or that stay at the mean of the pack.
    Valid: after all channels were given their columns; nothing for a pack of one cell.
    """
    if "lowest_cell_v" in found or gearing.cells == 1:
        return []
    pack = found.get("pack_voltage_v")
    claimed = {claim.at: claim for claim in claims}
    headings = []
    for at, column in enumerate(table.columns):
        claim = claimed.get(at)
        if at in used or (claim and claim.by_person) or (pack is not None and column.heading == pack.heading):
            continue
        heading = claim.heading if claim else heading_of(column.heading, column.unit)
        speaks = "cell" in heading.words and heading.dimension == "voltage"
        if column.number is None:
            if speaks and _holds_a_voltage(column):
                headings.append(column.heading)
            continue
        if not speaks and (claim is None or claim.meaning not in _OF_A_VOLTAGE):
            continue
        volts = volts_of(column.number, heading)
        if (_may_be_one(heading, volts) if speaks else _reads_as_one(claim, volts)) and not (
            pack is not None and _is_the_mean(heading, volts, pack.values, gearing)
        ):
            headings.append(column.heading)
    return headings


def _holds_a_voltage(column: RawColumn) -> bool:
    """Whether a column of text holds figures with decimals, as several cells in one would."""
    return column.text is not None and bool(column.text.cast(pl.String, strict=False).str.contains(_A_VOLTAGE).any())


def _may_be_one(heading: Heading, volts: Series) -> bool:
    """Whether a column that speaks of a cell may hold its voltage: it holds something, and no mere count of cells."""
    return not reads_nothing(volts) and not ("counted" in heading.words and "lowest" not in heading.words)


def _reads_as_one(claim: Claim | None, volts: Series) -> bool:
    """Whether a voltage that does not speak of a cell reads as one, and moves where it is qualified."""
    if claim is None or not CELL_LOW_V <= level_of(volts) <= CELL_HIGH_V:
        return False
    some = sample_of(volts)
    return not claim.not_plain or bool(claim.heading.words & _MAY_HIDE_A_CELL and np.ptp(some) > _MEAN_WITHIN_V)


def _is_the_mean(heading: Heading, volts: Series, pack_v: Series, gearing: Gearing) -> bool:
    """Whether a column says that it is the mean of the cells, or stays at the pack's. Shapes: (n,), (n,)"""
    if "smoothed" in heading.words and not heading.words & _NOT_THE_CELLS_NOW:
        return True
    if not gearing.cells or "lowest" in heading.words:
        return False
    rows = even_rows(volts.size)
    off = np.abs(volts[rows] - pack_v[rows] / gearing.cells)
    off = off[np.isfinite(off)]
    return bool(off.size) and float(np.percentile(off, _MOST_ROWS_PERCENT)) <= _MEAN_WITHIN_V
