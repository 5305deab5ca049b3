"""The quick way through a large log: all threads read plain numbers straight from its bytes.

Measured: less than half the time of polars on 2,000,000 rows, and the same numbers to the last bit. A number of at most
18 digits below 2^53 over a power of ten is rounded once, so it is the nearest double, as any right reader gives.
A file that is anything but plain is left to polars.
"""

import mmap
import os
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from itertools import accumulate, pairwise
from typing import NamedTuple, ParamSpec, TypeVar

import numba
import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import CACHE_FOLDER
from steadyhead.trace.heading_rows import other_heading, reads_as_headings
from steadyhead.trace.sniffing import MISSING, Layout
from steadyhead.trace.trace import Series

__all__ = ["CACHE_FOLDER", "Numbers", "numbers_of"]

Bytes = bytes | mmap.mmap
_TENS = 10.0 ** np.arange(23)
_ODD_LIMIT = 200_000
GROUPED = re.compile(r"\d[,.'’\u00a0\u202f\ufffd ]\d{3}")
_NEWLINE, _RETURN, _SPACE, _MINUS, _ZERO = 10, 13, 32, 45, 48
_EXACT = 1 << 53
_MOST_DIGITS = 18
_MOST_KINDS = 200
"""Rows of words that differ, beyond which no headings are looked for among them; own choice."""
_ONE = np.uint64(1)
"""An unsigned step: with signed ones every byte would be looked up by way of a test for counting from the end."""
_BLOCK = 65_000


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


def numbers_of(data: Bytes, layout: Layout, skipped: tuple[bool, ...], row_limit: int) -> Numbers | None:
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
    raw = np.frombuffer(data if stop < len(data) else data[:] + b"\n", np.uint8)
    width = layout.width + int(layout.trailing)
    skip = np.array([*skipped, True][:width] if layout.trailing else skipped, np.bool_)
    threads = max(1, min(8, os.cpu_count() or 1))
    cuts = _cuts(data, start, stop, threads)
    with ThreadPoolExecutor(len(cuts)) as pool:
        rows = list(pool.map(lambda cut: int(lines_in(raw, cut[0], cut[1])), cuts))
        first = [0, *accumulate(rows)]
        if first[-1] > row_limit:
            return None
        values = np.empty((width, first[-1]))
        odd = [np.empty((_ODD_LIMIT // len(cuts), 4), np.int64) for _ in cuts]
        empty = [np.zeros(width, np.int64) for _ in cuts]
        marks = (ord(layout.delimiter), ord("," if layout.decimal_comma else "."))
        done = list(
            pool.map(
                lambda k: cells_in(raw, (*cuts[k], first[k], first[k + 1]), marks, values, skip, odd[k], empty[k]),
                range(len(cuts)),
            )
        )
    if any(count < 0 or count > odd[k].shape[0] for k, count in enumerate(done)):
        return None
    missing = np.sum(empty, axis=0)
    unreadable = np.zeros(width, np.int64)
    strange = b"\0." if layout.decimal_comma else b"\0"  # beside decimal commas a point groups thousands
    plain = all(_read_odd(data, odd[k][:count], strange, values, missing, unreadable) for k, count in enumerate(done))
    if not plain or any(_holds_other_headings(data, odd[k][:count], layout) for k, count in enumerate(done)):
        return None
    return Numbers(values, missing, unreadable)


@_compiled
def lines_in(raw: NDArray[np.uint8], start: int, stop: int) -> int:
    """Count the line ends in a stretch of bytes, and one more for its open end."""
    count, at = 1, start
    while at < stop:
        end = min(stop, at + _BLOCK)
        found = np.uint16(0)
        for byte in raw[at:end]:
            found += np.uint16(byte == _NEWLINE)
        count += int(found)
        at = end
    return count


@_compiled
def cells_in(
    raw: NDArray[np.uint8],
    cut: tuple[int, int, int, int],
    marks: tuple[int, int],
    values: Series,
    skip: NDArray[np.bool_],
    odd: NDArray[np.int64],
    empty: NDArray[np.int64],
) -> int:
    """Read the cells of whole lines into columns; return how many are odd, or -1 when a line is not plain.

    `cut` is first and last byte, first row, and the row after the last.
    An odd cell goes into `odd` as first byte, end, column, row. Empty cells, and dashes alone, are counted in `empty`.

    Shapes: raw (bytes,), values (columns, rows), skip and empty (columns,), odd (limit, 4)
    Valid: raw[cut[1]] is a line end.
    """
    delimiter, decimal = np.uint8(marks[0]), np.uint8(marks[1])
    at, stop, row, last_row = np.uint64(cut[0]), np.uint64(cut[1]), cut[2], cut[3]
    width, column, count = values.shape[0], 0, 0
    while at < stop or column > 0:
        start = at
        value, digits, at, byte = _number(raw, at, decimal)
        if digits == 0 or (byte != delimiter and byte != _NEWLINE) or skip[column]:  # noqa: PLR1714  compiled
            good = digits > 0 and byte == _RETURN and not skip[column]
            at, dashes = _cell_end(raw, at, delimiter)
            value = value if good else np.nan
            if digits == 0 and dashes:
                empty[column] += 1
            elif not good and not skip[column]:
                if count < odd.shape[0]:
                    odd[count, 0], odd[count, 1], odd[count, 2], odd[count, 3] = start, at, column, row
                count += 1
            at += np.uint64(raw[at] == _RETURN)
            byte = raw[at]
        values[column, row] = value
        at += _ONE
        column += 1
        if byte == _NEWLINE and column == width:
            column, row = 0, row + 1
        elif byte != delimiter or column == width:
            return -1
    return count if row == last_row else -1


@_inlined
def _number(raw: NDArray[np.uint8], at: np.uint64, decimal: np.uint8) -> tuple[float, int, np.uint64, np.uint8]:
    """Return the plain number at `at`, how many digits it has (0: none to be trusted), and the byte where it ends."""
    at, byte = _past_spaces(raw, at, raw[at])
    negative = byte == _MINUS
    if negative:
        at += _ONE
        byte = raw[at]
    whole, point, byte = _digits(raw, at, byte, 0)
    digits, places = int(point) - int(at), 0
    end = point
    if byte == decimal:
        whole, end, byte = _digits(raw, point + _ONE, raw[point + _ONE], whole)
        places = int(end) - int(point) - 1
        digits += places
    if digits > _MOST_DIGITS or whole >= _EXACT or digits == 0:
        return 0.0, 0, at, raw[at]
    end, byte = _past_spaces(raw, end, byte)
    value = whole / _TENS[places]
    return (-value if negative else value), digits, end, byte


@_inlined
def _digits(raw: NDArray[np.uint8], at: np.uint64, byte: np.uint8, number: int) -> tuple[int, np.uint64, np.uint8]:
    digit = byte ^ _ZERO  # 0 to 9 for a digit, more for every other byte
    while digit <= 9:
        number = number * 10 + int(digit)
        at += _ONE
        byte = raw[at]
        digit = byte ^ _ZERO
    return number, at, byte


@_inlined
def _past_spaces(raw: NDArray[np.uint8], at: np.uint64, byte: np.uint8) -> tuple[np.uint64, np.uint8]:
    while byte == _SPACE:
        at += _ONE
        byte = raw[at]
    return at, byte


@_inlined
def _cell_end(raw: NDArray[np.uint8], at: np.uint64, delimiter: np.uint8) -> tuple[np.uint64, bool]:
    """Return where the cell ends, and whether nothing but dashes stood before that."""
    dashes = True
    while raw[at] != delimiter and raw[at] != _NEWLINE and raw[at] != _RETURN:
        dashes = dashes and raw[at] == _MINUS
        at += _ONE
    return at, dashes


def _read_odd(
    data: Bytes,
    odd: NDArray[np.int64],
    strange: bytes,
    values: Series,
    missing: NDArray[np.int64],
    unreadable: NDArray[np.int64],
) -> bool:
    """Read the cells that were no plain numbers: exponents, infinities, signs for nothing there.

    False when one holds a strange byte, or thousands in groups, which only the sure way reads.
    """
    for start, stop, column, row in odd.tolist():
        written = data[start:stop]
        cell = written.decode("utf-8", "replace").strip()
        if any(byte in strange for byte in written):
            return False
        try:
            values[column, row] = float(cell)
        except ValueError:
            if GROUPED.search(cell):
                return False
        else:
            if cell not in MISSING:
                continue
        missing[column] += cell in MISSING
        unreadable[column] += cell not in MISSING
    return True


def _holds_other_headings(data: Bytes, odd: NDArray[np.int64], layout: Layout) -> bool:
    """Whether a row of words stands among the numbers that are headings, and not those of the table."""
    rows, cells = np.unique(odd[:, 3], return_counts=True)
    seen: set[tuple[str, ...]] = set()
    for row in rows[2 * cells >= max(4, layout.width)].tolist():
        words = [""] * (layout.width + int(layout.trailing))
        for start, stop, column, _ in odd[odd[:, 3] == row].tolist():
            words[column] = data[start:stop].decode("utf-8", "replace").strip()
        if tuple(words) in seen or len(seen) >= _MOST_KINDS:
            continue
        seen.add(tuple(words))
        if reads_as_headings(words, layout):
            own = [word or heading for word, heading in zip(words, layout.headings, strict=False)]
            if other_heading(own, layout) is not None:
                return True
    return False


def _line_start(data: Bytes, line: int) -> int:
    at = 0
    for _ in range(line - 1):
        at = data.find(b"\n", at) + 1
        if at == 0:
            return -1
    return at


def _cuts(data: Bytes, start: int, stop: int, parts: int) -> list[tuple[int, int]]:
    """Part the bytes at line ends; each part ends before a line end."""
    ends = [start]
    for k in range(1, parts):
        end = data.find(b"\n", start + (stop - start) * k // parts, stop)
        if end > ends[-1]:
            ends.append(end + 1)
    ends.append(stop + 1)
    return [(a, b - 1) for a, b in pairwise(ends)]
