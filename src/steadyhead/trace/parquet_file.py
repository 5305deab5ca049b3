"""Reading a Parquet log."""

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from enum import Enum
from pathlib import Path
from typing import IO

import numpy as np
import polars as pl

from steadyhead.trace.arrow_units import units_in
from steadyhead.trace.opening import Content
from steadyhead.trace.sniffing import MISSING
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.unheard import unheard
from steadyhead.words.errors import InputError, in_short

_TOO_PRECISE = "precision must be between"
"""What the library says of decimals that are longer than its own."""
_MOST_IN_A_CELL = 32
"""More values in a cell are no cells of a pack; own choice."""
_SOME_CELLS = 2000
"""Cells by which decimal commas are told; own choice."""
_BRACKET = re.compile(r"^(.*?)(\s*[(\[].*)$")
REMARKS_KEY = "steadyhead remarks"
LOOKS_FOR = "Parquet (PAR1 at both ends)"
ROW_LIMIT = 20_000_000
CELL_LIMIT = 60_000_000


def looks_like(head: bytes) -> bool:
    """Whether the file begins as Parquet does."""
    return head[:4] == b"PAR1"


def read(content: Content) -> RawTable:
    """Return the table in a Parquet file.

    Raises: InputError when the file is broken, empty or too large.
    """
    if content.data[-4:] != b"PAR1":
        raise InputError(content.name, read="a Parquet file that breaks off", right="a file that ends with PAR1")
    data = content.whole()
    with opened_parquet(content.name):
        schema = pl.read_parquet_schema(io.BytesIO(data))
        rows = int(pl.scan_parquet(io.BytesIO(data)).select(pl.len()).collect().item())
        if rows > ROW_LIMIT or rows * len(schema) > CELL_LIMIT:
            raise InputError(content.name, read=f"{rows} rows", right=f"at most {ROW_LIMIT} rows (the size limit)")
        frame = pl.read_parquet(io.BytesIO(data))
        units = units_of(io.BytesIO(data))
    if frame.height == 0:
        raise InputError(content.name, read=f"{frame.width} headings and no data rows", right="rows of numbers")
    series = [_plain_kind(part) for name in frame.columns for part in parted(frame[name])]
    commas = any(part.dtype == pl.String and _commas_of(part) is _Commas.DECIMAL for part in series)
    return RawTable(
        kind="Parquet",
        columns=tuple(_with_unit(_column(part, decimal_comma=commas), units) for part in series),
        rows_read=frame.height,
        remarks=remarks_of_file(io.BytesIO(data)),
        history=("read as Parquet",),
    )


@contextmanager
def opened_parquet(name: str) -> Iterator[None]:
    """Turn what the library says of a broken file into a sentence, and keep off the terminal what it says besides.

    Raises: InputError.
    """
    try:
        with unheard():
            yield
    except pl.exceptions.DuplicateError as error:
        read = f"two columns of one name ({in_short(error)})"
        raise InputError(name, read=read, right="a Parquet file whose columns have names of their own") from error
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, ValueError, OverflowError, OSError) as error:
        if _TOO_PRECISE in str(error):
            read = f"decimals of more figures than the library of tables takes ({in_short(error)})"
            raise InputError(name, read=read, right="plain numbers, such as float64") from error
        raise InputError(name, read="a broken Parquet file", right="a whole Parquet file") from error


def units_of(source: Path | IO[bytes]) -> dict[str, str]:
    """Return the units that the file says of its columns, by name.

    Raises: what the library does on a broken file.
    """
    read = getattr(pl, "read_parquet_metadata", None)  # newer than the oldest polars we take
    return units_in(read(source).get("ARROW:schema")) if read is not None else {}


def remarks_of_file(source: Path | IO[bytes]) -> tuple[str, ...]:
    """Return the lines that were written into a file beside its table.

    Raises: what the library does on a broken file.
    """
    read = getattr(pl, "read_parquet_metadata", None)  # newer than the oldest polars we take
    said = read(source).get(REMARKS_KEY, "") if read is not None else ""
    return tuple(line for line in said.splitlines() if line)


def _with_unit(column: RawColumn, units: dict[str, str]) -> RawColumn:
    unit = units.get(column.heading, "")
    return replace(column, unit=unit) if unit and not column.unit else column


def parted(series: pl.Series) -> list[pl.Series]:
    """Return the columns within a column: those of a record, those of a row of values that is as long in every cell."""
    if series.dtype == pl.Struct:
        fields = series.struct.unnest()
        return [fields[name].alias(f"{series.name} {name}") for name in fields.columns]
    if series.dtype == pl.Array:
        series = series.arr.to_list()
    if series.dtype == pl.List:
        lengths = series.list.len().drop_nulls().unique().to_list()
        if len(lengths) == 1 and 0 < lengths[0] <= _MOST_IN_A_CELL:
            bracket = _BRACKET.match(series.name)
            name, unit = bracket.groups() if bracket else (series.name, "")
            return [series.list.get(k).alias(f"{name} {k + 1}{unit}") for k in range(lengths[0])]
    return [series]


def _plain_kind(series: pl.Series) -> pl.Series:
    """Return dictionaries, bytes, yes and no, and rows of values of unlike length as text."""
    if series.dtype in (pl.Categorical, pl.Enum, pl.Boolean):
        return series.cast(pl.String)
    if series.dtype == pl.Binary:
        return _as_words(series)
    if isinstance(series.dtype, pl.List) and series.dtype.inner.is_numeric():
        return series.cast(pl.List(pl.String)).list.join(" ", ignore_nulls=True)
    return series


def _column(series: pl.Series, *, decimal_comma: bool) -> RawColumn:
    kind = series.dtype
    if kind.is_numeric():
        number = np.array(series.cast(pl.Float64).fill_null(math.nan).to_numpy(), dtype=np.float64)
        return RawColumn(heading=series.name, number=number, empty=series.null_count())
    if kind == pl.Duration:
        number = series.dt.total_microseconds().cast(pl.Float64).fill_null(math.nan).to_numpy() * 1e-6
        return RawColumn(heading=series.name, unit="s", number=np.array(number), empty=series.null_count())
    if kind == pl.String and (written := numbers_as_text(series, decimal_comma=decimal_comma)) is not None:
        return written
    if kind in (pl.String, pl.Date, pl.Time) or kind == pl.Datetime:
        return RawColumn(heading=series.name, text=series, empty=series.null_count())
    return RawColumn(heading=series.name, text=pl.Series(series.name, [None] * len(series), dtype=pl.String))


def _as_words(series: pl.Series) -> pl.Series:
    """Return bytes as text, nothing where they are none. Shapes: (n,)"""
    cells = (cell.decode("utf-8", "replace") if cell is not None else None for cell in series.to_list())
    return pl.Series(series.name, list(cells), dtype=pl.String)


class _Commas(Enum):
    """What the commas in a column of numbers part."""

    NONE = 0
    DECIMAL = 1
    UNTOLD = 2
    """Thousands or decimals: every one stands before three figures."""


def _commas_of(cells: pl.Series) -> _Commas:
    some = cells.head(_SOME_CELLS).drop_nulls()
    commas = some.str.contains(r"^\s*[+-]?\d+,\d+\s*$")
    if not bool(commas.any()) or bool(some.str.contains(r"\.").any()):
        return _Commas.NONE
    thousands = some.filter(commas).str.contains(r"^\s*[+-]?[1-9]\d{0,2},\d{3}\s*$")
    return _Commas.UNTOLD if bool(thousands.all()) else _Commas.DECIMAL


def numbers_as_text(series: pl.Series, *, decimal_comma: bool = False) -> RawColumn | None:
    """Return a column of numbers that were written as text; None when most of it is no number.

    `decimal_comma` says that another column of the file shows decimal commas: then one that may part thousands is one.
    Shapes: (n,)
    """
    cells = series.str.strip_chars()
    commas = _commas_of(cells)
    if commas is _Commas.DECIMAL or (decimal_comma and commas is _Commas.UNTOLD):
        cells = cells.str.replace(",", ".", literal=True)
    empty = cells.is_null() | cells.is_in(list(MISSING))
    value = cells.cast(pl.Float64, strict=False)
    bad = int((~empty & value.is_null()).sum())
    readable = len(value) - value.null_count()
    if readable == 0 or bad > readable:
        return None
    number = np.array(value.fill_null(math.nan).to_numpy(), dtype=np.float64)
    return RawColumn(heading=series.name, number=number, empty=int(empty.sum()), unreadable=bad)
