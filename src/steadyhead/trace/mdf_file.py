"""Reading an ASAM MDF log (version 3 or 4) through asammdf: several groups of channels, each at its own rate."""

from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace.mdf_apart import Column, Found, taken_apart
from steadyhead.trace.mdf_request import CELL_LIMIT, ROW_LIMIT
from steadyhead.trace.mdf_rows import first_of, nearest_rows, rows_of
from steadyhead.trace.opening import Content
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.words.errors import InputError

LOOKS_FOR = "an ASAM MDF measurement file (MDF at its beginning)"
MARKS = (b"MDF     ", b"UnFinMF ")


def looks_like(head: bytes) -> bool:
    """Whether the file begins as a measurement file of this standard does."""
    return head[:8] in MARKS


def read(content: Content) -> RawTable:
    """Return one table of all channels of an MDF file, on the times of its quickest group.

    A value of a slower group stands in the row nearest in time, and the rows between hold none; a group that reaches
    beyond the quickest adds its own rows there.

    Raises: InputError when asammdf is not installed, or the file is broken, empty or too large.
    """
    with TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        folder.joinpath("log").write_bytes(content.data)
        found = taken_apart(content.name, folder.joinpath("log"), folder)
        return _table(content.name, found)


def _table(name: str, found: Found) -> RawTable:
    channels = found.columns
    base = max(channels, key=lambda channel: channel.time_s.size)
    times = rows_of(base.time_s, channels)
    if times.size > ROW_LIMIT or times.size * len(channels) > CELL_LIMIT:
        raise InputError(name, read=f"{times.size} rows", right=f"at most {ROW_LIMIT} rows (the size limit)")
    columns, warnings, history = [RawColumn(heading="time", unit="s", number=times)], [], []
    for channel in channels:
        where = first_of(nearest_rows(times, channel.time_s))
        doubled = int((where < 0).sum())
        columns.append(_column(channel, where, times.size))
        if doubled:
            warnings.append(f"{doubled} values of {channel.name} fall into a row that has one already: left out")
        if channel.time_s.size < base.time_s.size:
            history.append(f"{channel.name}: {channel.time_s.size} values, each in the row nearest in time")
    return RawTable(
        kind="MDF",
        columns=tuple(columns),
        rows_read=int(times.size),
        warnings=tuple(warnings),
        history=(f"read as MDF {found.version}, {len({c.group for c in channels})} groups of channels", *history),
    )


def _column(channel: Column, where: NDArray[np.int64], rows: int) -> RawColumn:
    there = where >= 0
    if channel.number is not None:
        number = np.full(rows, np.nan)
        number[where[there]] = channel.number[there]
        return RawColumn(heading=channel.name, unit=channel.unit, number=number)
    text = np.full(rows, None, dtype=object)
    text[where[there]] = channel.text[there] if channel.text is not None else None
    words = pl.Series(channel.name, text.tolist(), dtype=pl.String)
    return RawColumn(heading=channel.name, unit=channel.unit, text=words)
