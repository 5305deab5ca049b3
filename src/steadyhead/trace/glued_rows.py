"""Rows of a text log with more cells than headings: glued from two, or shifted; nobody can say which cell is which."""

import numpy as np

from steadyhead.trace.opening import MIB
from steadyhead.trace.sniffing import Layout, split

_BLOCK = 16 * MIB
_NEWLINE, _QUOTE = 10, 34


def without_glued_rows(data: bytes, layout: Layout) -> tuple[bytes, tuple[str, ...]]:
    """Blank every row that holds more cells than there are headings; cells with nothing in them do not count."""
    width = layout.width + int(layout.trailing)
    start = _start_of(data, layout.first_data_line)
    lines = [
        span for span in _long_lines(data, layout, width, start) if _is_too_long(data[slice(*span)], layout, width)
    ]
    if not lines:
        return data, ()
    blanked = bytearray(data)
    empty = (width - 1) * ("\t" if layout.delimiter == " " else layout.delimiter).encode()
    for first, stop in lines:
        blanked[first:stop] = empty.ljust(stop - first)
    line = data.count(b"\n", 0, lines[0][0]) + 1
    return bytes(blanked), (
        f"{len(lines)} rows, the first in line {line}, hold more cells than the {layout.width} headings: left out",
    )


def _long_lines(data: bytes, layout: Layout, width: int, start: int) -> list[tuple[int, int]]:
    """Return first byte and end of each line with more marks between cells than `width` cells need."""
    mark = ord("\t" if layout.delimiter == " " else layout.delimiter)
    found: list[tuple[int, int]] = []
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
        found += [(start + int(begins[at]), start + int(ends[at])) for at in long]
        start = stop
    return found


def _is_too_long(line: bytes, layout: Layout, width: int) -> bool:
    """Whether a cell beyond the last heading holds something."""
    text = line.decode("utf-8", "replace").rstrip("\r\n")
    cells = text.split("\t") if layout.delimiter == " " else split(text, layout.delimiter)
    return any(cell.strip() for cell in cells[layout.width if layout.trailing else width :])


def _start_of(data: bytes, line: int) -> int:
    at = 0
    for _ in range(line - 1):
        at = data.find(b"\n", at) + 1
    return at
