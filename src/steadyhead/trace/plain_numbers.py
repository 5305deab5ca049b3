"""The quick way through a large log: all threads read plain numbers straight from its bytes.

Measured: less than half the time of polars on 2,000,000 rows, and the same numbers to the last bit. A number of at most
18 digits below 2^53 over a power of ten is rounded once, so it is the nearest double, as any right reader gives.
A file that is anything but plain is left to polars.
"""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import NamedTuple, ParamSpec, TypeVar

import numba
import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import CACHE_FOLDER
from steadyhead.trace.sniffing import MISSING, Layout
from steadyhead.trace.trace import Series

__all__ = ["CACHE_FOLDER", "Numbers", "numbers_of"]

_TENS = 10.0 ** np.arange(23)
_ODD_LIMIT = 200_000
_NEWLINE, _RETURN, _SPACE, _MINUS, _ZERO = 10, 13, 32, 45, 48
_EXACT = 1 << 53
_MOST_DIGITS = 18


P = ParamSpec("P")
R = TypeVar("R")


def _inlined(function: Callable[P, R]) -> Callable[P, R]:
    """Compile into the body of the caller: a call for each cell would cost more than the cell."""
    compiled: Callable[P, R] = numba.njit(inline="always", error_model="numpy")(function)
    return compiled


def _compiled(function: Callable[P, R]) -> Callable[P, R]:
    """Compile without the relaxed arithmetic of the physics kernels: a number read must be the nearest double."""
    compiled: Callable[P, R] = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    return compiled


class Numbers(NamedTuple):
    """Columns of numbers, and for each the cells that hold nothing and those that hold no number.

    Shapes: values (columns, rows); empty and unreadable (columns,)
    """

    values: Series
    empty: NDArray[np.int64]
    unreadable: NDArray[np.int64]


def numbers_of(data: bytes, layout: Layout, skipped: tuple[bool, ...], row_limit: int) -> Numbers | None:
    """Return the columns of numbers, NaN where a cell is none; None when the file is not plain or has too many rows.

    `skipped` columns hold text: their cells are passed over.

    Valid: one byte for delimiter and decimal mark; no quotes.
    """
    start = _line_start(data, layout.first_data_line)
    stop = len(data)
    while stop > start and data[stop - 1] in b"\r\n":
        stop -= 1
    lone_return = data[stop : stop + 1] == b"\r" and data[stop + 1 : stop + 2] != b"\n"
    if start < 0 or stop <= start or lone_return or b'"' in data[start : start + 4096]:
        return None
    raw = np.frombuffer(data if stop < len(data) else data + b"\n", np.uint8)
    width = layout.width + int(layout.trailing)
    skip = np.array([*skipped, True][:width] if layout.trailing else skipped, np.bool_)
    threads = max(1, min(8, os.cpu_count() or 1))
    cuts = _cuts(data, start, stop, threads)
    with ThreadPoolExecutor(len(cuts)) as pool:
        rows = list(pool.map(lambda cut: int(lines_in(raw, cut[0], cut[1])), cuts))
        first = np.concatenate([[0], np.cumsum(rows)])
        if first[-1] > row_limit:
            return None
        values = np.empty((width, int(first[-1])))
        odd = [np.empty((_ODD_LIMIT // len(cuts), 4), np.int64) for _ in cuts]
        empty = [np.zeros(width, np.int64) for _ in cuts]
        marks = (ord(layout.delimiter), ord("," if layout.decimal_comma else "."))
        done = list(
            pool.map(
                lambda k: cells_in(raw, cuts[k], marks, values[:, first[k] : first[k + 1]], skip, odd[k], empty[k]),
                range(len(cuts)),
            )
        )
    if any(count < 0 or count > odd[k].shape[0] for k, count in enumerate(done)):
        return None
    if any(b"\0" in data[a:b] for k, count in enumerate(done) for a, b in odd[k][:count, :2].tolist()):
        return None
    missing = np.sum(empty, axis=0)
    unreadable = np.zeros(width, np.int64)
    for k, count in enumerate(done):
        _read_odd(data, odd[k][:count], int(first[k]), values, missing, unreadable)
    return Numbers(values, missing, unreadable)


@_compiled
def lines_in(raw: NDArray[np.uint8], start: int, stop: int) -> int:
    """Count the line ends in a stretch of bytes, and one more for its open end."""
    count = 1
    for byte in raw[start:stop]:
        count += byte == _NEWLINE
    return count


@_compiled
def cells_in(
    raw: NDArray[np.uint8],
    cut: tuple[int, int],
    marks: tuple[int, int],
    values: Series,
    skip: NDArray[np.bool_],
    odd: NDArray[np.int64],
    empty: NDArray[np.int64],
) -> int:
    """Read the cells of whole lines into columns; return how many are odd, or -1 when a line is not plain.

    An odd cell goes into `odd` as first byte, end, column, row. Empty cells, and dashes alone, are counted in `empty`.

    Shapes: raw (bytes,), values (columns, rows), skip and empty (columns,), odd (limit, 4)
    Valid: raw[cut[1]] is a line end.
    """
    delimiter, decimal = marks
    at, stop = cut
    width, row, column, count = values.shape[0], 0, 0, 0
    while at < stop or column:
        start = at
        value, digits, at = _number(raw, at, decimal)
        byte = raw[at]
        if digits == 0 or skip[column] or (byte != delimiter and byte != _NEWLINE):  # noqa: PLR1714  compiled
            value = np.nan if digits == 0 or byte != _RETURN or skip[column] else value
            at, dashes = _cell_end(raw, at, delimiter)
            if digits == 0 and dashes:
                empty[column] += 1
            elif value != value and not skip[column]:  # noqa: PLR0124  NaN
                if count < odd.shape[0]:
                    odd[count, 0], odd[count, 1], odd[count, 2], odd[count, 3] = start, at, column, row
                count += 1
            at += raw[at] == _RETURN
            byte = raw[at]
        values[column, row] = value
        at += 1
        column += 1
        if byte == _NEWLINE and column == width:
            column, row = 0, row + 1
        elif byte != delimiter or column == width:
            return -1
    return count if row == values.shape[1] else -1


@_inlined
def _number(raw: NDArray[np.uint8], at: int, decimal: int) -> tuple[float, int, int]:
    """Return the plain number at `at`, how many digits it has (0: none to be trusted), and where it ends."""
    at = _past_spaces(raw, at)
    negative = raw[at] == _MINUS
    whole, first = _digits(raw, at + negative, 0)
    digits, places = first - at - negative, 0
    if raw[first] == decimal:
        whole, last = _digits(raw, first + 1, whole)
        places = last - first - 1
        first = last
    digits += places
    if digits > _MOST_DIGITS or whole >= _EXACT or digits == 0:
        return 0.0, 0, at + negative
    value = whole / _TENS[places]
    return (-value if negative else value), digits, _past_spaces(raw, first)


@_inlined
def _digits(raw: NDArray[np.uint8], at: int, number: int) -> tuple[int, int]:
    while True:
        digit = raw[at] - _ZERO
        if np.uint8(digit) > 9:
            return number, at
        number = number * 10 + int(digit)
        at += 1


@_inlined
def _past_spaces(raw: NDArray[np.uint8], at: int) -> int:
    while raw[at] == _SPACE:
        at += 1
    return at


@_inlined
def _cell_end(raw: NDArray[np.uint8], at: int, delimiter: int) -> tuple[int, bool]:
    """Return where the cell ends, and whether nothing but dashes stood before that."""
    dashes = True
    while raw[at] != delimiter and raw[at] != _NEWLINE and raw[at] != _RETURN:
        dashes = dashes and raw[at] == _MINUS
        at += 1
    return at, dashes


def _read_odd(
    data: bytes,
    odd: NDArray[np.int64],
    first_row: int,
    values: Series,
    missing: NDArray[np.int64],
    unreadable: NDArray[np.int64],
) -> None:
    """Read the cells that were no plain numbers: exponents, infinities, signs for nothing there."""
    for start, stop, column, row in odd.tolist():
        cell = data[start:stop].decode("utf-8", "replace").strip()
        try:
            values[column, first_row + row] = float(cell)
        except ValueError:
            pass
        else:
            if cell not in MISSING:
                continue
        missing[column] += cell in MISSING
        unreadable[column] += cell not in MISSING


def _line_start(data: bytes, line: int) -> int:
    at = 0
    for _ in range(line - 1):
        at = data.find(b"\n", at) + 1
        if at == 0:
            return -1
    return at


def _cuts(data: bytes, start: int, stop: int, parts: int) -> list[tuple[int, int]]:
    """Part the bytes at line ends; each part ends before a line end."""
    ends = [start]
    for k in range(1, parts):
        end = data.find(b"\n", start + (stop - start) * k // parts, stop)
        if end > ends[-1]:
            ends.append(end + 1)
    ends.append(stop + 1)
    return [(a, b - 1) for a, b in pairwise(ends)]
