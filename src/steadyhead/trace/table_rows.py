"""Which rows of a text log belong to its table: not those that do not split, nor those below other headings."""

from collections.abc import Iterable

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace.heading_rows import other_heading, reads_as_headings
from steadyhead.trace.sniffing import MISSING, Layout, is_unit_row, reads_as_value

Flags = NDArray[np.bool_]
_MOST_KINDS = 1000
"""Rows of words that differ, beyond which no headings are looked for among them; own choice."""


def rows_that_belong(layout: Layout, frame: pl.DataFrame, texts: pl.DataFrame) -> tuple[Flags | None, tuple[str, ...]]:
    """Return which rows belong to the table, and warnings about the others; None keeps all.

    `frame` holds numbers where a column is one of numbers, else its words; `texts` the words of the columns of numbers
    in which a cell is no number. Shapes: (rows,)
    """
    numbers = [name for name in frame.columns if frame[name].dtype != pl.String]
    if numbers and not all(name in texts.columns for name in numbers):
        return None, ()  # a column of numbers all through: every row holds one
    without = np.flatnonzero(_all(frame, (pl.col(name).is_null() for name in numbers)))
    words = pl.DataFrame(
        [(texts if name in numbers else frame)[name][without].str.strip_chars().fill_null("") for name in frame.columns]
    )
    headings = _heading_rows(layout, words)
    below, said = _below_other_headings(layout, headings, without, frame.height)
    again = np.array([at for at in headings if not below[without[at]]], np.int64)
    alone = _all(words, (pl.col(name) == "" for name in frame.columns[1:]))
    first = words["0"].to_numpy()
    unsplit = np.array([at for at in np.flatnonzero(alone) if first[at] not in MISSING and not _is_number(first[at])])
    unsplit = unsplit[~below[without[unsplit]]] if unsplit.size else unsplit.astype(np.int64)
    line = layout.first_data_line
    if again.size:
        said += (f"{again.size} rows, the first in line {line + without[again[0]]}, say the headings again: left out",)
    if unsplit.size:
        where = f"{unsplit.size} rows, the first in line {line + without[unsplit[0]]}"
        said += (f"{where}, do not split into {layout.width} cells: left out",)
    keep = ~below
    keep[without[again]] = False
    keep[without[unsplit]] = False
    keep[without[alone & (first == "")]] = False
    return (None, ()) if keep.all() else (keep, said)


def _all(frame: pl.DataFrame, conditions: Iterable[pl.Expr]) -> Flags:
    """Return in which rows all conditions hold; in all of them where there is none. Shapes: (rows,)"""
    flags = [frame.select(condition).to_series().to_numpy() for condition in conditions]
    return np.logical_and.reduce(flags) if flags else np.ones(frame.height, np.bool_)


def _heading_rows(layout: Layout, words: pl.DataFrame) -> dict[int, tuple[str, ...]]:
    """Return the rows that are headings or their units, by their place among the rows without a number."""
    letters = pl.sum_horizontal(pl.all().str.contains(r"\p{L}"))
    some = np.flatnonzero(words.select(letters >= 2).to_series().to_numpy())
    seen: dict[tuple[str, ...], bool] = {}
    found: dict[int, tuple[str, ...]] = {}
    for at in some.tolist():
        cells = words.row(at)
        if cells not in seen:
            if len(seen) >= _MOST_KINDS:
                return {}
            seen[cells] = reads_as_headings(cells, layout)
        if seen[cells] or (at - 1 in found and is_unit_row(cells)):
            found[at] = cells
    return found


def _below_other_headings(
    layout: Layout, headings: dict[int, tuple[str, ...]], row: NDArray[np.int64], rows: int
) -> tuple[Flags, tuple[str, ...]]:
    """Return which rows stand below headings other than the table's, and a warning for the first such place."""
    below = np.zeros(rows, np.bool_)
    warnings: list[str] = []
    for at, cells in headings.items():
        other = _other_units(layout, cells) if is_unit_row(cells) else other_heading(cells, layout)
        below[row[at] :] = other is not None or (is_unit_row(cells) and bool(below[row[at]]))
        if other is not None:
            line = layout.first_data_line + int(row[at])
            warnings.append(f"line {line} holds other headings, {other[0]!r} where {other[1]!r} stood")
    if not warnings:
        return below, ()
    more = f", and {len(warnings) - 1} lines more" if len(warnings) > 1 else ""
    left = f"{int(below.sum())} rows from there on are left out; to judge them, put them into a file of their own"
    return below, (f"{warnings[0]}{more}: {left}",)


def _other_units(layout: Layout, cells: tuple[str, ...]) -> tuple[str, str] | None:
    bare = [cell.strip("()[]{}<> ") for cell in cells]
    own = [unit.strip("()[]{}<> ") for unit in layout.units]
    pairs = zip(bare, own, strict=False)
    return next(((said, unit) for said, unit in pairs if any(own) and said.casefold() != unit.casefold()), None)


def _is_number(cell: str) -> bool:
    if ":" in cell and reads_as_value(cell):  # a time of day
        return True
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return False
    return True
