"""Rows of a text log with more or fewer cells than the others: glued from two, or shifted; nobody can say which cell is
which."""

import numpy as np

from steadyhead.trace.opening import MIB
from steadyhead.trace.sniffing import Layout, split

_BLOCK = 16 * MIB
_NEWLINE, _QUOTE = 10, 34
_BEFORE = 20
"""Rows before a short one among which a whole one is looked for; own choice."""
_FEW = 0.2
"""Where more of the rows are short, the logger leaves empty cells at the end of a row away; own choice."""


def without_glued_rows(data: bytes, layout: Layout) -> tuple[bytes, tuple[str, ...]]:
    """Blank every row that holds more cells than there are headings, and every one that holds fewer where few do.

    Cells with nothing in them behind the last heading do not count. A row that lost a mark between two cells holds one
    cell less, and all behind it belong to another heading.
    """
    width = layout.width + int(layout.trailing)
    start = _start_of(data, layout.first_data_line)
    long, short, rows = _odd_lines(data, layout, width, start)
    long = [span for span in long if _is_too_long(data[slice(*span)], layout, width)]
    short = [span for span in short if _lost_a_mark(data, span, layout)] if len(short) <= _FEW * rows else []
    if not long and not short:
        return data, ()
    blanked = bytearray(data)
    empty = (width - 1) * ("\t" if layout.delimiter == " " else layout.delimiter).encode()
    for first, stop in long:
        blanked[first:stop] = empty.ljust(stop - first)
    for first, stop in reversed(short):
        blanked[first:stop] = empty
    odd = ((long, "more", f"the {layout.width} headings"), (short, "fewer", "the others"))
    return bytes(blanked), tuple(
        f"{len(lines)} rows, the first in line {_line_of(data, lines[0])}, hold {how} cells than {others}: left out"
        for lines, how, others in odd
        if lines
    )


def _line_of(data: bytes, span: tuple[int, int]) -> int:
    return data.count(b"\n", 0, span[0]) + 1


Spans = list[tuple[int, int]]


def _odd_lines(data: bytes, layout: Layout, width: int, start: int) -> tuple[Spans, Spans, int]:
    """Return first byte and end of each line with more marks between cells than `width` cells need, of each with fewer
    than the headings need but some, and how many lines there are; a last line that does not end is none of them."""
    mark = ord("\t" if layout.delimiter == " " else layout.delimiter)
    found: Spans = []
    short: Spans = []
    rows = 0
    while start < len(data):
        stop = data.rfind(b"\n", start, start + _BLOCK) + 1 or data.find(b"\n", start) + 1 or len(data)
        raw = np.frombuffer(data, np.uint8, stop - start, start)
        marks = raw == mark
        if b'"' in data[start:stop]:
            marks &= np.cumsum(raw == _QUOTE, dtype=np.uint8) % 2 == 0
        begins = np.concatenate(([0], np.flatnonzero(raw[:-1] == _NEWLINE) + 1))
        counts = np.add.reduceat(marks, begins, dtype=np.int32)
        ends = np.append(begins[1:] - 1, raw.size)
        long = np.flatnonzero(counts >= width)
        few = np.flatnonzero((counts > 0) & (counts < layout.width - 1))
        found += [(start + int(begins[at]), start + int(ends[at])) for at in long]
        short += [(start + int(begins[at]), start + int(ends[at])) for at in few if start + int(ends[at]) < len(data)]
        rows += begins.size
        start = stop
    return found, short, rows


def _is_too_long(line: bytes, layout: Layout, width: int) -> bool:
    """Whether a cell beyond the last heading holds something."""
    cells = _cells(line, layout)
    return any(cell.strip() for cell in cells[layout.width if layout.trailing else width :])


def _lost_a_mark(data: bytes, span: tuple[int, int], layout: Layout) -> bool:
    """Whether the cells of a short row fit the row before better with some cells lost in the middle than at the end.

    Of a row without a number, which may be one of headings, nothing is said.
    """
    row, whole = _cells(data[slice(*span)], layout), _row_before(data, span[0], layout)
    numbers = [_number(cell, layout) for cell in row]
    if whole is None or all(number is None for number in numbers):
        return False
    lost = layout.width - len(row)
    if lost <= 0:  # marks within quotes are no ends of cells
        return False
    pairs = [(number, cell) for number, cell in zip(numbers, row, strict=True)]
    off = [[_apart(pair, whole[at + shift], layout) for at, pair in enumerate(pairs)] for shift in (0, lost)]
    costs = [sum(off[0][:at]) + sum(off[1][at:]) for at in range(len(row) + 1)]
    return min(costs) < costs[-1]


def _row_before(data: bytes, start: int, layout: Layout) -> list[str] | None:
    """Return the cells of the nearest whole row among a few before; None where there is none."""
    for _ in range(_BEFORE):
        begin = data.rfind(b"\n", 0, max(start - 1, 0)) + 1
        cells = _cells(data[begin : max(start - 1, 0)], layout)
        if len(cells) >= layout.width:
            return cells
        start = begin
    return None


def _apart(cell: tuple[float | None, str], other: str, layout: Layout) -> float:
    """Return how far two cells are apart, 0 to 1: numbers by their share of the larger, words by being the same."""
    number, said = cell
    beside = _number(other, layout)
    if number is None or beside is None:
        return float(said.strip() != other.strip())
    size = max(abs(number), abs(beside))
    return min(abs(number - beside) / size, 1.0) if size > 0.0 else 0.0


def _number(cell: str, layout: Layout) -> float | None:
    text = cell.strip().strip('"')
    try:
        return float(text if layout.delimiter == "," else text.replace(",", "."))
    except ValueError:
        return None


def _cells(line: bytes, layout: Layout) -> list[str]:
    text = line.decode("utf-8", "replace").rstrip("\r\n")
    return text.split("\t") if layout.delimiter == " " else split(text, layout.delimiter)


def _start_of(data: bytes, line: int) -> int:
    at = 0
    for _ in range(line - 1):
        at = data.find(b"\n", at) + 1
    return at
