"""The bytes of a text log made ready: one encoding, one line end, no NUL, no open quote, no broken last row."""

import mmap
import re
from typing import TypeVar

import numpy as np

from steadyhead.trace.opening import Content
from steadyhead.trace.sniffing import Layout
from steadyhead.words.errors import InputError

_MIDDLE_EUROPE = re.compile(
    rb"[a-z\xe0-\xff][\xb3\xb9\xbf][a-z\xe0-\xff]|[a-z\xe0-\xff]{3}\xb3|\x9c\xe6", re.IGNORECASE
)
"""Polish words: l with a stroke, a with a hook and z with a dot read as signs between letters in Windows-1252."""
_CYRILLIC = re.compile(rb"[\xc0-\xff]{5}")
"""A word of nothing but letters that are accented ones in Windows-1252."""
Bytes = TypeVar("Bytes", bytes, bytes | mmap.mmap)
HEAD_BYTES = 1 << 17
_NUL_LIMIT = 1000
_LOOKED_AT = 160
"""Lines by which a drawn table is told; own choice."""
_FORMULA_CELL = re.compile(
    rb'(?m)(?:(?<=[;,\t|])|^)(?:"=""([^"\r\n]+)"""|="([^"\r\n]+)"|=([+-]?[\d.]+(?:[eE][+-]?\d+)?))(?=[;,\t|\r\n]|$)'
)
"""A cell that is a formula of one value, in quotes of its own or not."""
_CELL_ENDS = (b",", b";", b"\t", b"|", b"\n", b"\r")


def as_utf8(content: Content) -> tuple[bytes, str]:
    """Return the bytes as UTF-8, and the name of the encoding they were in."""
    data = content.whole()
    if data[:3] == b"\xef\xbb\xbf":
        data = data[3:]
    elif data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace").encode(), "UTF-16"
    elif wide := wide_encoding(data[:HEAD_BYTES]):
        return data.decode(wide, "replace").encode(), "UTF-16"
    if data.isascii():
        return data, "UTF-8"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        head = data[:HEAD_BYTES]
        narrow = "1251" if _CYRILLIC.search(head) else "1250" if _MIDDLE_EUROPE.search(head) else "1252"
        return data.decode(f"cp{narrow}", "replace").encode(), f"Windows-{narrow}"
    return data, "UTF-8"


def wide_encoding(head: bytes) -> str | None:
    """Tell UTF-16 without a mark by where the zeros stand."""
    half = max(1, len(head) // 2)
    if len(head) >= 16 and head[1::2].count(0) > 0.7 * half and head[0::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if len(head) >= 16 and head[0::2].count(0) > 0.7 * half and head[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    return None


def without_nuls(name: str, data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """Empty every cell that holds a NUL byte: what stood beside it is not to be trusted."""
    whole = data.rstrip(b"\0")
    if len(data) - len(whole) > 1:
        rest, said = without_nuls(name, whole)
        return rest, (f"{len(data) - len(whole)} NUL bytes behind the last row: cut off", *said)
    found = data.count(0)
    if not found:
        return data, ()
    data = re.sub(rb"\0{2,}", b"\0", data)  # room that a logger did not fill in the middle is one fault
    found = data.count(0)
    if found > _NUL_LIMIT:
        raise InputError(name, read=f"{found} NUL bytes: not a text file", right="a text table")
    pieces, cells_hit, done = [], 0, 0
    while (at := data.find(0, done)) >= 0:
        start = max(data.rfind(mark, done, at) for mark in _CELL_ENDS) + 1
        stop = min((end for mark in _CELL_ENDS if (end := data.find(mark, at)) >= 0), default=len(data))
        pieces.append(data[done : max(start, done)])
        cells_hit, done = cells_hit + 1, stop
    return b"".join([*pieces, data[done:]]), (f"NUL bytes in {cells_hit} cells: they count as empty",)


def without_formulas(data: bytes) -> bytes:
    """Write cells that a spreadsheet wrote as formulas, `="1800"` or `=1800`, as plain cells in quotes."""
    if b"=" not in data[:HEAD_BYTES]:
        return data
    return _FORMULA_CELL.sub(lambda found: b'"' + (found[1] or found[2] or found[3]) + b'"', data)


def without_open_quotes(data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """Take the quotes out of lines where they do not pair: one of them would swallow the lines below."""
    if b'"' not in data:
        return data, ()
    raw = np.frombuffer(data, np.uint8)
    quotes, ends = np.flatnonzero(raw == ord('"')), np.flatnonzero(raw == ord("\n"))
    line_of = np.searchsorted(ends, quotes)
    lines, counts = np.unique(line_of, return_counts=True)
    open_lines = lines[counts % 2 == 1]
    if not open_lines.size:
        return data, ()
    drop = quotes[np.isin(line_of, open_lines)]
    said = f"{open_lines.size} lines, the first line {open_lines[0] + 1}, have a quote that does not close: taken out"
    return np.delete(raw, drop).tobytes(), (said,)


def without_broken_end(data: Bytes, layout: Layout) -> tuple[Bytes, tuple[str, ...]]:
    """Cut a last line that breaks off before its last cell."""
    if data[-1:] in (b"\n", b"\r") or layout.delimiter == " ":
        return data, ()
    start = data.rfind(b"\n") + 1
    last = data[start:]
    if start == 0 or not last.strip():
        return data, ()
    open_quote = last.count(b'"') % 2 == 1
    missing = layout.width - 1 - last.count(layout.delimiter.encode())
    if (missing <= 0 or b'"' in last) and not open_quote:
        return data, ()
    return data[:start], ("the last row is incomplete (the file breaks off in it): left out",)


def one_line_end(data: bytes) -> bytes:
    """Turn lone carriage returns, as old machines write them, into line ends."""
    if data.count(b"\r", 0, HEAD_BYTES) > 2 * data.count(b"\n", 0, HEAD_BYTES):
        return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return data


def without_outer_bars(data: bytes) -> bytes:
    """Take away the bar that begins every line of a table drawn with bars."""
    lines = [line for line in data[:HEAD_BYTES].split(b"\n")[:_LOOKED_AT] if line.strip()]
    drawn = sum(line.lstrip().startswith(b"|") for line in lines)
    return re.sub(rb"(?m)^[ \t]*\|", b"", data) if lines and drawn >= 0.9 * len(lines) else data


def with_whole_first_row(data: bytes, layout: Layout) -> bytes:
    """Give the first row of data the cells at its end that it lacks, or take what it has too many.

    By it the width of the table is told; a row that is too long must have been blanked before where that matters.
    """
    start = 0
    for _ in range(layout.first_data_line - 1):
        start = data.find(b"\n", start) + 1
    end = data.find(b"\n", start)
    row = data[start : end if end >= 0 else len(data)].rstrip(b"\r")
    mark = layout.delimiter.encode()
    missing = layout.width + int(layout.trailing) - 1 - row.count(mark)
    if missing == 0 or b'"' in row or layout.delimiter == " ":
        return data
    if missing < 0:
        cells = row.split(mark)
        return data[:start] + mark.join(cells[:missing]) + data[start + len(row) :]
    return data[: start + len(row)] + missing * mark + data[start + len(row) :]


def single_tabs(data: bytes) -> bytes:
    """Turn runs of spaces between cells into one tab."""
    data = re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", data)
    return re.sub(rb"[ \t]+", b"\t", data)


def head_text(data: bytes) -> str:
    """Return the first whole lines as text, without a line end after the last."""
    head = data[:HEAD_BYTES].decode("utf-8", "replace")
    return head[: head.rfind("\n")] if len(data) > HEAD_BYTES and "\n" in head else head.rstrip("\n")
