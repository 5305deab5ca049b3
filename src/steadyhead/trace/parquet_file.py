"""Reading a Parquet log."""

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import polars as pl

from steadyhead.trace.opening import Content
from steadyhead.trace.sniffing import MISSING
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.unheard import unheard
from steadyhead.words.errors import InputError

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
    if frame.height == 0:
        raise InputError(content.name, read=f"{frame.width} headings and no data rows", right="rows of numbers")
    return RawTable(
        kind="Parquet",
        columns=tuple(_column(frame[name]) for name in frame.columns),
        rows_read=frame.height,
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
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, ValueError, OverflowError, OSError) as error:
        raise InputError(name, read="a broken Parquet file", right="a whole Parquet file") from error


def _column(series: pl.Series) -> RawColumn:
    kind = series.dtype
    if kind.is_numeric() or kind == pl.Boolean:
        number = np.array(series.cast(pl.Float64).fill_null(math.nan).to_numpy(), dtype=np.float64)
        return RawColumn(heading=series.name, number=number, empty=series.null_count())
    if kind == pl.Duration:
        number = series.dt.total_microseconds().cast(pl.Float64).fill_null(math.nan).to_numpy() * 1e-6
        return RawColumn(heading=series.name, unit="s", number=np.array(number), empty=series.null_count())
    if kind == pl.String and (written := numbers_as_text(series)) is not None:
        return written
    if kind in (pl.String, pl.Date, pl.Time) or kind == pl.Datetime:
        return RawColumn(heading=series.name, text=series, empty=series.null_count())
    return RawColumn(heading=series.name, text=pl.Series(series.name, [None] * len(series), dtype=pl.String))


def numbers_as_text(series: pl.Series) -> RawColumn | None:
    """Return a column of numbers that were written as text; None when most of it is no number. Shapes: (n,)"""
    cells = series.str.strip_chars()
    empty = cells.is_null() | cells.is_in(list(MISSING))
    value = cells.cast(pl.Float64, strict=False)
    bad = int((~empty & value.is_null()).sum())
    readable = len(value) - value.null_count()
    if readable == 0 or bad > readable:
        return None
    number = np.array(value.fill_null(math.nan).to_numpy(), dtype=np.float64)
    return RawColumn(heading=series.name, number=number, empty=int(empty.sum()), unreadable=bad)
