"""A log larger than memory as a row of blocks: text 8 MiB at a time, Parquet and MDF some rows at a time."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace import mdf_file
from steadyhead.trace.big_mdf import Apart, apart, cells_of
from steadyhead.trace.cells import kinds_of
from steadyhead.trace.opening import MIB, Content
from steadyhead.trace.parquet_file import CELL_LIMIT, numbers_as_text, opened_parquet, remarks_of_file, units_of
from steadyhead.trace.plain_numbers import numbers_of
from steadyhead.trace.sniffing import Layout, layout_of
from steadyhead.trace.text_bytes import HEAD_BYTES, as_utf8, head_text, wide_encoding
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError

BIG_FROM = 256 * MIB
BLOCK = 8 * MIB
BLOCK_ROWS = 100_000
LINES_IN_A_BLOCK = 1_200_000
_SAMPLE_ROWS = 2_000
"""Rows at the beginning and in the middle by which a column of words is told from one of numbers; own choice."""
_IN_SO_LARGE = "in a log of more than 256 MiB"


@dataclass(frozen=True, kw_only=True)
class Source:
    """What a large log is: its columns, and its numbers block by block."""

    headings: tuple[str, ...]
    units: tuple[str, ...]
    is_text: tuple[bool, ...]
    """Columns of words, which are passed over."""
    remarks: tuple[str, ...]
    rows: int | None
    """Rows of the file where it says so."""
    block_share: float
    """Share of the file that one block is, about."""
    blocks: Callable[[], Iterator[Series]]
    """Numbers, a block at a time. Shapes: (columns, rows of the block)."""
    warnings: Callable[[], tuple[str, ...]] = tuple
    """What was left out, once the blocks were gone through."""


def is_big(path: Path) -> bool:
    """Whether a file is so large that it is read in pieces: text above 256 MiB, a table above what memory holds."""
    try:
        if not path.is_file():
            return False
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(8)
    except OSError:
        return False
    if head[:4] == b"PAR1":
        return size > BIG_FROM or _cells(path) > CELL_LIMIT
    if mdf_file.looks_like(head):
        return size > BIG_FROM or cells_of(path) > CELL_LIMIT
    return size > BIG_FROM and head[:2] != b"\x1f\x8b"


def _cells(path: Path) -> int:
    """Return how many numbers a Parquet file says it has; 0 when it is broken: the ordinary reader then says so."""
    try:
        with opened_parquet(path.name):
            return _count(path) * len(pl.read_parquet_schema(path))
    except InputError:
        return 0


def _count(path: Path) -> int:
    return int(pl.scan_parquet(path).select(pl.len()).collect().item())


@contextmanager
def source_of(path: Path) -> Iterator[Source]:
    """Open a large log as blocks.

    Raises: InputError when it is not plain enough to be read in pieces.
    """
    with path.open("rb") as file:
        head = file.read(8)
    if mdf_file.looks_like(head):
        with apart(path) as columns:
            yield _mdf(columns)
    else:
        yield _parquet(path) if head[:4] == b"PAR1" else _text(path)


def _mdf(columns: Apart) -> Source:
    return Source(
        headings=columns.headings,
        units=columns.units,
        is_text=columns.is_text,
        remarks=(),
        rows=columns.rows,
        block_share=BLOCK_ROWS / max(columns.rows, 1),
        blocks=lambda: (columns.block(first, BLOCK_ROWS) for first in range(0, columns.rows, BLOCK_ROWS)),
        warnings=columns.doubled,
    )


class _CellsMissed:
    """Counts the cells without a number, column by column, while the blocks are gone through."""

    def __init__(self, headings: tuple[str, ...]) -> None:
        self.headings = headings
        self.begin()

    def begin(self) -> None:
        """Count from nothing: the blocks are gone through anew."""
        self.empty = np.zeros(len(self.headings), np.int64)
        self.unreadable = np.zeros(len(self.headings), np.int64)

    def add(self, empty: NDArray[np.int64], unreadable: NDArray[np.int64] | int = 0) -> None:
        """Add the counts of a block. Shapes: (columns,)"""
        self.empty += empty
        self.unreadable += unreadable

    def said(self) -> tuple[str, ...]:
        """Return a warning for each count."""
        named = list(zip(self.headings, self.empty.tolist(), self.unreadable.tolist(), strict=True))
        empty = [f"{count} empty cells in {heading}" for heading, count, _ in named if count]
        return (*empty, *(f"{count} cells in {heading} hold no number" for heading, _, count in named if count))


def _parquet(path: Path) -> Source:
    with opened_parquet(path.name):
        schema = pl.read_parquet_schema(path)
        rows = _count(path)
        units = units_of(path)
        some = pl.concat([pl.scan_parquet(path).slice(at, _SAMPLE_ROWS) for at in (0, rows // 2)]).collect()
    timed = {name for name, kind in schema.items() if kind in (pl.Duration, pl.Datetime)}
    written = {name for name, kind in schema.items() if kind == pl.String and numbers_as_text(some[name]) is not None}
    is_text = tuple(
        not (kind.is_numeric() or kind == pl.Boolean or name in timed | written) for name, kind in schema.items()
    )
    if all(is_text):
        raise InputError(path.name, read=f"{len(is_text)} columns, none of them of numbers", right="columns of numbers")
    missed = _CellsMissed(tuple(schema))
    return Source(
        headings=tuple(schema),
        units=tuple("s" if name in timed else units.get(name, "") for name in schema),
        is_text=is_text,
        remarks=remarks_of_file(path),
        rows=rows,
        block_share=BLOCK_ROWS / max(rows, 1),
        blocks=lambda: _parquet_blocks(path, dict(schema), rows, missed, np.array(is_text)),
        warnings=missed.said,
    )


def _parquet_blocks(
    path: Path, schema: dict[str, Any], rows: int, missed: _CellsMissed, is_text: NDArray[np.bool_]
) -> Iterator[Series]:
    missed.begin()
    with opened_parquet(path.name):
        lazy = pl.scan_parquet(path).select([_as_number(name, kind) for name, kind in schema.items()])
    for first in range(0, rows, BLOCK_ROWS):
        with opened_parquet(path.name):
            frame = lazy.slice(first, BLOCK_ROWS).collect()
        values = np.array([frame[name].to_numpy() for name in schema], dtype=np.float64)
        missed.add(np.where(is_text, 0, np.isnan(values).sum(axis=1)))
        yield values


def _as_number(name: str, kind: Any) -> pl.Expr:
    column = pl.col(name)
    if kind == pl.Duration:
        column = column.dt.total_microseconds() * 1e-6
    elif kind == pl.Datetime:
        column = column.dt.epoch("us") * 1e-6
    elif kind == pl.String:
        column = column.str.strip_chars()
    elif not (kind.is_numeric() or kind == pl.Boolean):
        column = pl.lit(None)
    return column.cast(pl.Float64, strict=kind != pl.String).fill_null(float("nan")).alias(name)


def _text(path: Path) -> Source:
    layout = _layout(path)
    missed = _CellsMissed(layout.headings)
    return Source(
        headings=layout.headings,
        units=layout.units,
        is_text=_is_text(layout),
        remarks=layout.remarks,
        rows=None,
        block_share=BLOCK / path.stat().st_size,
        blocks=lambda: _text_blocks(path, layout, missed),
        warnings=missed.said,
    )


def _layout(path: Path) -> Layout:
    with path.open("rb") as file:
        head = file.read(HEAD_BYTES)
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or wide_encoding(head):
        raise InputError(path.name, read=f"UTF-16, {_IN_SO_LARGE}", right="the same text as UTF-8")
    text, _ = as_utf8(Content(name=path.name, data=head[: head.rfind(b"\n") + 1]))
    layout = layout_of(path.name, head_text(text))
    if layout.delimiter == " ":
        raise InputError(path.name, read=f"cells parted by spaces, {_IN_SO_LARGE}", right="commas, semicolons or tabs")
    if b'"' in b"\n".join(head.split(b"\n")[layout.first_data_line - 1 :]):
        raise InputError(path.name, read=f"cells in quotes, {_IN_SO_LARGE}", right="the same cells without quotes")
    return layout


def _text_blocks(path: Path, layout: Layout, missed: _CellsMissed) -> Iterator[Series]:
    missed.begin()
    rest, first = b"", True
    line = 1
    with path.open("rb") as file:
        while data := file.read(BLOCK):
            end = data.rfind(b"\n") + 1
            if not end:
                raise InputError(path.name, read="a line longer than 8 MiB", right="a plain text table")
            block, rest = rest + data[:end], data[end:]
            yield _numbers(path.name, missed, block, layout if first else replace(layout, first_data_line=1), line)
            line += block.count(b"\n")
            first = False
    if rest.count(layout.delimiter.encode()) >= layout.width - 1:
        yield _numbers(path.name, missed, rest + b"\n", layout if first else replace(layout, first_data_line=1), line)


def _numbers(name: str, missed: _CellsMissed, block: bytes, layout: Layout, line: int) -> Series:
    read = None if b"\0" in block else numbers_of(block, layout, _is_text(layout), LINES_IN_A_BLOCK)
    if read is None:
        raise InputError(
            f"{name}, from line {line}",
            read=f"rows that are not plain numbers, or below other headings, {_IN_SO_LARGE}",
            right="plain numbers in every row, or the log parted into smaller files",
        )
    of_numbers = ~np.array(_is_text(layout))
    missed.add(read.empty[: layout.width] * of_numbers, read.unreadable[: layout.width] * of_numbers)
    return read.values


@cache
def _is_text(layout: Layout) -> tuple[bool, ...]:
    return tuple(kind != pl.Float64 for kind in kinds_of(layout))
