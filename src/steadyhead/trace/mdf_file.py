"""Reading an ASAM MDF log (version 3 or 4) through asammdf: several groups of channels, each at its own rate."""

import gc
import io
import logging
import struct
import sys
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from importlib import import_module
from typing import Any, NamedTuple

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace.opening import GROWTH_FROM, GROWTH_LIMIT, Content
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError, in_short

LOOKS_FOR = "an ASAM MDF measurement file (MDF at its beginning)"
MARKS = (b"MDF     ", b"UnFinMF ")
ROW_LIMIT = 20_000_000
CELL_LIMIT = 60_000_000
GROUP_LIMIT = 1000
CHANNEL_LIMIT = 2000
_BROKEN = (
    ValueError, KeyError, IndexError, TypeError, AttributeError, OverflowError, RuntimeError, OSError, EOFError,
    ArithmeticError, AssertionError, NotImplementedError, MemoryError, struct.error, zlib.error,
)  # fmt: skip
"""What the library was seen to raise on files that are damaged at random: they are all the file's fault."""


class Channel(NamedTuple):
    """One channel as its group has it. Shapes: time_s (n,), samples (n,)."""

    name: str
    unit: str
    group: int
    time_s: Series
    samples: NDArray[Any]


def looks_like(head: bytes) -> bool:
    """Whether the file begins as a measurement file of this standard does."""
    return head[:8] in MARKS


def read(content: Content) -> RawTable:
    """Return one table of all channels of an MDF file, on the times of its quickest group.

    A value of a slower group stands in the row nearest in time, and the rows between hold none; a group that reaches
    beyond the quickest adds its own rows there.

    Raises: InputError when asammdf is not installed, or the file is broken, empty or too large.
    """
    try:
        from asammdf import MDF
        from asammdf.blocks.utils import MdfException
    except ImportError as error:
        raise InputError(
            content.name,
            read="an MDF file, and the library that reads it is not installed",
            right="python -m pip install 'steadyhead[mdf]'",
        ) from error
    broken: tuple[type[Exception], ...] = (*_BROKEN, *_unpacking_errors(), MdfException)
    with _silenced():
        try:
            with MDF(io.BytesIO(content.whole())) as file:
                _refuse_large(content.name, file)
                _refuse_lies(content.name, file, len(content.data))
                channels = tuple(_channels(file))
                version = str(file.version)
        except InputError:
            raise
        except broken as error:
            error.__traceback__ = error.__context__ = None
            gc.collect()  # the half-read file complains as it goes: let it go while it is not heard
            read = f"a broken MDF file ({in_short(error)})"
            raise InputError(content.name, read=read, right="a whole MDF file") from error
    kept = [channel for channel in channels if channel.time_s.size]
    if not kept:
        raise InputError(content.name, read="an MDF file with no values", right="channels with values over time")
    return _table(content.name, version, kept)


def _unpacking_errors() -> tuple[type[Exception], ...]:
    """Return what the library's unpacker raises: an error class of its own where the quick one is installed."""
    try:
        unpacker = import_module("isal.igzip_lib")
    except ImportError:
        return ()
    return (unpacker.IsalError,)


@contextmanager
def _silenced() -> Iterator[None]:
    """Keep the library's own log, and what it says when a half-read file is given up, off the terminal."""
    log, hook = logging.getLogger("asammdf"), sys.unraisablehook
    said = io.StringIO()  # it prints what it knows of a channel that it cannot take apart
    level = log.level
    log.setLevel(logging.CRITICAL + 1)
    sys.unraisablehook = lambda _: None
    try:
        with redirect_stdout(said):
            yield
    finally:
        log.setLevel(level)
        sys.unraisablehook = hook


def _refuse_large(name: str, file: Any) -> None:
    rows = [int(group.channel_group.cycles_nr) for group in file.groups]
    cells = sum(count * len(group.channels) for count, group in zip(rows, file.groups, strict=True))
    channels = sum(len(group.channels) for group in file.groups)
    if len(rows) > GROUP_LIMIT or channels > CHANNEL_LIMIT:
        raise InputError(name, read=f"{channels} channels in {len(rows)} groups", right=f"at most {CHANNEL_LIMIT}")
    if max(rows, default=0) > ROW_LIMIT or cells > CELL_LIMIT:
        right = f"at most {ROW_LIMIT} rows and {CELL_LIMIT} numbers (the size limit)"
        raise InputError(name, read=f"{max(rows)} rows, {cells} numbers", right=right)


def _refuse_lies(name: str, file: Any, size: int) -> None:
    """Refuse a file that promises more than it can hold, before room is made for it."""
    promised = 0
    for group in file.groups:
        about = group.channel_group
        promised += int(about.cycles_nr) * (
            int(about.samples_byte_nr) + int(getattr(about, "invalidation_bytes_nr", 0))
        )
        blocks = [*getattr(group, "data_blocks", ()), *getattr(group, "signal_data", ())]
        promised += sum(int(getattr(block, "original_size", 0) or 0) for block in blocks)
    if promised > max(GROWTH_FROM, GROWTH_LIMIT * size):
        raise InputError(name, read=f"{size} bytes that promise {promised} bytes of values", right="a whole MDF file")


def _channels(file: Any) -> Iterator[Channel]:
    """Yield every channel that holds one value a sample, but no time channels."""
    for number, group in enumerate(file.groups):
        master = file.masters_db.get(number)
        for at in range(len(group.channels)):
            if at == master or not int(group.channel_group.cycles_nr):
                continue
            signal = file.get(group=number, index=at)
            samples, stamps = np.asarray(signal.samples), np.asarray(signal.timestamps, dtype=np.float64)
            if samples.ndim == 1 and samples.dtype.names is None and samples.size == stamps.size:
                yield Channel(str(signal.name), str(signal.unit or ""), number, stamps, samples)


def _table(name: str, version: str, channels: list[Channel]) -> RawTable:
    base = max(channels, key=lambda channel: channel.time_s.size)
    times = _rows(base.time_s, channels)
    if times.size > ROW_LIMIT or times.size * len(channels) > CELL_LIMIT:
        raise InputError(name, read=f"{times.size} rows", right=f"at most {ROW_LIMIT} rows (the size limit)")
    columns, warnings, history = [RawColumn(heading="time", unit="s", number=times)], [], []
    for channel in channels:
        where, doubled = _nearest(times, channel.time_s)
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
        history=(f"read as MDF {version}, {len({c.group for c in channels})} groups of channels", *history),
    )


def _rows(base: Series, channels: list[Channel]) -> Series:
    """Return the times of the quickest channel, and beyond its ends those of the others."""
    finite = base[np.isfinite(base)]
    if not finite.size:
        return base
    low, high = float(finite.min()), float(finite.max())
    beyond = [c.time_s[(c.time_s < low) | (c.time_s > high)] for c in channels if c.time_s is not base]
    before = np.unique(np.concatenate([t[t < low] for t in beyond])) if beyond else np.empty(0)
    after = np.unique(np.concatenate([t[t > high] for t in beyond])) if beyond else np.empty(0)
    return np.concatenate([before, base, after])


def _nearest(times: Series, stamps: Series) -> tuple[NDArray[np.int64], int]:
    """Return the row for each value of a channel, -1 where another took it, and how many those are.

    Shapes: times (n,), stamps (m,) -> (m,).
    """
    if stamps.size == times.size and np.array_equal(stamps, times, equal_nan=True):
        return np.arange(times.size), 0
    right = np.clip(np.searchsorted(times, stamps), 1, max(times.size - 1, 1))
    left_is_nearer = np.abs(stamps - times[right - 1]) <= np.abs(times[np.minimum(right, times.size - 1)] - stamps)
    rows = np.where(left_is_nearer, right - 1, np.minimum(right, times.size - 1))
    _, first = np.unique(rows, return_index=True)
    taken = np.full(rows.size, -1, np.int64)
    taken[first] = rows[first]
    return taken, int(rows.size - first.size)


def _column(channel: Channel, where: NDArray[np.int64], rows: int) -> RawColumn:
    there = where >= 0
    if channel.samples.dtype.kind in "biuf":
        number = np.full(rows, np.nan)
        number[where[there]] = channel.samples[there].astype(np.float64)
        return RawColumn(heading=channel.name, unit=channel.unit, number=number)
    text: list[str | None] = [None] * rows
    for row, cell in zip(where[there].tolist(), channel.samples[there].tolist(), strict=True):
        text[row] = cell.decode("utf-8", "replace") if isinstance(cell, bytes) else str(cell)
    return RawColumn(heading=channel.name, unit=channel.unit, text=pl.Series(channel.name, text, dtype=pl.String))
