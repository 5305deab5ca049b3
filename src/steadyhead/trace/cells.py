"""From the cells of a text log to numbers, by polars; what is no number is counted, never dropped in silence."""

import io
import math
import re
import warnings
from typing import Any

import numpy as np
import polars as pl

from steadyhead.trace.sniffing import MISSING, Layout
from steadyhead.trace.table import RawColumn
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError

_PLAIN = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?", re.IGNORECASE)
_GROUPED = re.compile(r"[+-]?\d{1,3}([.,'’   ]\d{3})+([.,]\d+)?")
_GROUPED_BY_POINTS = re.compile(rb"[;\t|\n\" ][+-]?\d{1,3}(?:\.\d{3})+(?:,\d+)?[;\t|\r\n\" ]")
_WITH_UNIT = re.compile(r"(?P<number>[+-]?[\d.,]+)\s*(?P<unit>%|°?[^\W\d_]+(/[a-z]+)?)")
_FORMULA = r'^="?([^"]*)"?$'
"""A number that a spreadsheet wrote as a formula, `="1800"`."""
_SPACED_GROUPS = r"^[+-]?\d{1,3}(['’\u00a0\u202f ]\d{3})+([.,]\d+)?$"
_INFINITE = {"inf", "+inf", "-inf", "infinity", "-infinity"}


def frame_of(name: str, data: bytes, layout: Layout, kinds: list[Any], only: list[int] | None = None) -> pl.DataFrame:
    """Return the data rows as a frame of columns `0`, `1`, …, a number or text as `kinds` asks.

    Raises: InputError when polars gives up on the file.
    """
    total = layout.width + int(layout.trailing)
    names = [f"column_{at + 1}" for at in range(total)]
    schema = dict(zip(names, kinds + [pl.String] * (total - len(kinds)), strict=True))
    try:
        with warnings.catch_warnings(record=True) as heard:
            warnings.simplefilter("always")
            frame = pl.read_csv(
                io.BytesIO(data) if not isinstance(data, bytes) else data,
                has_header=False,
                separator=layout.delimiter if layout.delimiter != " " else "\t",
                skip_lines=layout.first_data_line - 1,
                schema=schema,
                ignore_errors=True,
                truncate_ragged_lines=True,
                decimal_comma=layout.decimal_comma and layout.delimiter != ",",
                quote_char='"' if b'"' in data else None,
                columns=None if only is None else [names[at] for at in only],
            )
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, ValueError, OverflowError) as error:
        read = "a table that the library of tables cannot take apart"
        raise InputError(name, read=read, right="a plain text table, every row as wide as the headings") from error
    if any("malformed" in str(warning.message) for warning in heard):
        raise InputError(name, read="quotes that run over the ends of lines", right="every row in a line of its own")
    wanted = range(layout.width) if only is None else only
    return frame.select([pl.col(names[at]).alias(str(at)) for at in wanted])


def kinds_of(layout: Layout, data: bytes = b"") -> list[Any]:
    """Return, for each column, the polars type to read it as: a number when every sample cell is a plain one.

    Beside decimal commas polars takes a point for one too: where `data` holds a grouped number, `65.160`, all is text.
    """
    if layout.decimal_comma and _GROUPED_BY_POINTS.search(data):
        return [pl.String] * layout.width
    kinds: list[Any] = []
    for at in range(layout.width):
        cells = [row[at] for row in layout.sample if row[at] not in MISSING]
        simple = all(_PLAIN.fullmatch(cell) or cell.casefold() in _INFINITE for cell in cells)
        wrong_mark = layout.delimiter == "," and any("," in cell for cell in cells)
        grouped = (
            bool(cells)
            and all(_GROUPED.fullmatch(c) or _PLAIN.fullmatch(c) for c in cells)
            and any(_is_grouped(cell, layout.decimal_comma) for cell in cells)
        )
        kinds.append(pl.Float64 if simple and not wrong_mark and not grouped else pl.String)
    return kinds


def column_of(heading: str, unit: str, layout: Layout, numbers: Any, texts: Any) -> RawColumn:
    """Return one column from its numbers, or from its texts when polars could not read every cell as a number."""
    if texts is None:
        nothing = int(numbers.is_nan().sum()) if numbers.dtype == pl.Float64 else 0
        return RawColumn(heading=heading, unit=unit, number=_array(numbers), empty=nothing)
    written = texts.str.strip_chars().str.replace(_FORMULA, "${1}")
    empty = written.is_null() | written.is_in(list(MISSING))
    cells, found_unit = _without_unit(written, empty)
    value = _numbers_in(cells, layout.decimal_comma)
    bad = ~empty & value.is_null()
    readable = int(len(value) - value.null_count())
    if (readable == 0 and bad.any()) or int(bad.sum()) > readable:
        return RawColumn(heading=heading, unit=unit, text=texts, empty=int(empty.sum()))
    return RawColumn(
        heading=heading,
        unit=unit or found_unit,
        number=_array(value),
        empty=int(empty.sum()),
        unreadable=int(bad.sum()),
    )


def _array(numbers: Any) -> Series:
    series = numbers.cast(pl.Float64)
    values = series.fill_null(math.nan).to_numpy() if series.null_count() else series.to_numpy()
    return np.array(values, dtype=np.float64)


def _is_grouped(cell: str, decimal_comma: bool) -> bool:
    mark = "." if decimal_comma else ","
    return bool(re.fullmatch(rf"[+-]?\d{{1,3}}([{mark}'’   ]\d{{3}})+([.,]\d+)?", cell))


def _numbers_in(cells: Any, decimal_comma: bool) -> Any:
    """Return the cells as numbers, null where they are none; thousands marks are taken out first."""
    group, point = (".", ",") if decimal_comma else (",", ".")
    grouped = (
        pl.when(cells.str.contains(_SPACED_GROUPS))
        .then(cells.str.replace_all(r"(\d)['’\u00a0\u202f ](\d{3})", "${1}${2}"))
        .otherwise(cells)
    )
    text = pl.select(grouped).to_series()
    text = text.str.replace_all(rf"([0-9]){re.escape(group)}([0-9]{{3}})", "${1}${2}")
    if decimal_comma:
        text = text.str.replace_all(point, ".", literal=True)
    return text.cast(pl.Float64, strict=False)


def _without_unit(written: Any, empty: Any) -> tuple[Any, str]:
    """Cut a unit written behind every number, as in `12.3 V`."""
    filled = written.filter(~empty).head(50).to_list()
    matches = [_WITH_UNIT.fullmatch(cell) for cell in filled]
    said = {match["unit"] for match in matches if match}
    if not filled or len(said) != 1 or not all(matches):
        return written, ""
    return written.str.strip_suffix(next(iter(said))).str.strip_chars(), next(iter(said))
