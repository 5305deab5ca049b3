"""Reading a text log: any delimiter, decimal mark, encoding and heading layout."""

import re
from typing import Any

import numpy as np
import polars as pl

from steadyhead.trace import cells
from steadyhead.trace.opening import MIB, Content
from steadyhead.trace.sniffing import DELIMITER_NAMES, MISSING, Layout, layout_of
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.words.errors import InputError

LOOKS_FOR = "a text table (CSV, tabs, semicolons)"
ROW_LIMIT = 20_000_000
_HEAD = 1 << 17
_QUICK_FROM = 4 * MIB
"""Below this polars is as quick as starting the compiled reader."""
_COUNT_FROM = 64 * MIB
_NUL_LIMIT = 1000
_CELL_ENDS = (b",", b";", b"\t", b"|", b"\n", b"\r")


def looks_like(head: bytes) -> bool:
    """Whether the first bytes are text in an encoding that logs come in."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or head[:3] == b"\xef\xbb\xbf" or _wide(head):
        return True
    odd = sum(byte < 32 and byte not in (9, 10, 11, 12, 13, 0, 26, 27) for byte in head)
    zeros = head.count(0)
    return odd <= len(head) // 200 and zeros <= max(8, len(head) // 50)


def read(content: Content) -> RawTable:
    """Return the table in a text log.

    Raises: InputError when there is no table, it has no rows, or too many.
    """
    if len(content.data) > _QUICK_FROM and (quick := _read_quickly(content)) is not None:
        return quick
    data, encoding = _as_utf8(content)
    data, warnings = _without_nuls(content.name, data)
    if data.count(b"\r", 0, _HEAD) > 2 * data.count(b"\n", 0, _HEAD):
        data = data.replace(b"\r", b"\n")
    layout = layout_of(content.name, _head_text(data))
    if len(data) > _COUNT_FROM and (rows := data.count(b"\n")) > ROW_LIMIT:
        raise InputError(content.name, read=f"{rows} rows", right=f"at most {ROW_LIMIT} rows (the size limit)")
    data, cut = _without_broken_end(data, layout)
    data, open_quotes = _without_open_quotes(data)
    if layout.delimiter == " ":
        data = re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", data)
        data = re.sub(rb"[ \t]+", b"\t", data)
    columns, aside, rows = _columns(content.name, data, layout)
    return RawTable(
        kind="text",
        columns=columns,
        rows_read=rows,
        remarks=layout.remarks,
        warnings=warnings + open_quotes + cut + aside,
        history=(_said(encoding, layout),),
    )


def _read_quickly(content: Content) -> RawTable | None:
    """Return the table of a large plain log; None sends it the slow and sure way.

    Raises: InputError when there is no table.
    """
    from steadyhead.trace import plain_numbers

    data, head = content.data, content.data[:_HEAD]
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or _wide(head) or b'"' in head or b"\n" not in head:
        return None
    text, encoding = _as_utf8(Content(name=content.name, data=head[: head.rfind(b"\n") + 1]))
    layout = layout_of(content.name, text.decode("utf-8", "replace").rstrip("\n"))
    kinds = cells.kinds_of(layout)
    is_text = tuple(kind != pl.Float64 for kind in kinds)
    data, cut = _without_broken_end(data, layout)
    numbers = None if layout.delimiter == " " else plain_numbers.numbers_of(data, layout, is_text, ROW_LIMIT)
    if numbers is None:
        return None
    texts = _text_columns(content.name, data, layout, kinds)
    if texts is None or (texts.width and texts.height != numbers.values.shape[1]):
        return None
    columns = []
    for at, heading in enumerate(layout.headings):
        if is_text[at]:
            columns.append(cells.column_of(heading, layout.units[at], layout, None, texts[str(at)]))
        else:
            missing, bad = int(numbers.empty[at]), int(numbers.unreadable[at])
            unit, number = layout.units[at], numbers.values[at]
            columns.append(RawColumn(heading=heading, unit=unit, number=number, empty=missing, unreadable=bad))
    return RawTable(
        kind="text",
        columns=tuple(columns),
        rows_read=numbers.values.shape[1],
        remarks=layout.remarks,
        warnings=cut,
        history=(_said(encoding, layout),),
    )


def _text_columns(name: str, data: bytes, layout: Layout, kinds: list[Any]) -> pl.DataFrame | None:
    """Return the columns that hold text; None when the bytes are not UTF-8."""
    wanted = [at for at, kind in enumerate(kinds) if kind == pl.String]
    if not wanted:
        return pl.DataFrame()
    try:
        return cells.frame_of(name, data, layout, kinds, wanted)
    except InputError:
        return None


def _said(encoding: str, layout: Layout) -> str:
    return (
        f"read as text ({encoding}), cells parted by {DELIMITER_NAMES[layout.delimiter]}, "
        f"decimal {'comma' if layout.decimal_comma else 'point'}, data from line {layout.first_data_line}"
    )


def _columns(name: str, data: bytes, layout: Layout) -> tuple[tuple[RawColumn, ...], tuple[str, ...], int]:
    """Return the columns, warnings about rows set aside, and the rows that are left."""
    kinds = cells.kinds_of(layout)
    frame = cells.frame_of(name, data, layout, kinds)
    doubtful = [at for at, kind in enumerate(kinds) if kind == pl.Float64 and frame[str(at)].null_count()]
    texts = cells.frame_of(name, data, layout, [pl.String] * layout.width, doubtful) if doubtful else pl.DataFrame()
    if doubtful and texts.height != frame.height:
        raise InputError(name, read="quotes and cells that do not pair", right="a plain text table")
    keep, warnings = _rows_that_split(layout, frame, texts)
    if keep is not None:
        frame = frame.filter(pl.Series(keep))
        texts = texts.filter(pl.Series(keep)) if doubtful else texts
    if frame.height == 0:
        raise InputError(
            name, read=f"{layout.width} headings and no data rows", right="rows of numbers below the headings"
        )
    out = []
    for at, heading in enumerate(layout.headings):
        numbers = frame[str(at)]
        text = texts[str(at)] if at in doubtful else numbers if numbers.dtype == pl.String else None
        out.append(cells.column_of(heading, layout.units[at], layout, numbers, text))
    return tuple(out), warnings, frame.height


def _rows_that_split(
    layout: Layout, frame: pl.DataFrame, texts: pl.DataFrame
) -> tuple["np.ndarray | None", tuple[str, ...]]:
    """Return which rows hold cells, and warnings about those that do not; None keeps all."""
    if not texts.width or ("0" not in texts.columns and frame["0"].dtype != pl.String):
        return None, ()
    first = texts["0"] if "0" in texts.columns else frame["0"]
    others = [frame[str(at)].is_null().to_numpy() for at in range(1, layout.width)]
    alone = np.logical_and.reduce(others) if others else np.zeros(frame.height, bool)
    written = first.str.strip_chars().fill_null("").to_numpy()
    if not alone.any():
        return None, ()
    blank = alone & (written == "")
    parted = np.array(
        [alone[at] and written[at] not in MISSING and not _is_number(written[at]) for at in range(len(written))]
    )
    warnings: tuple[str, ...] = ()
    if parted.any():
        line = layout.first_data_line + int(np.argmax(parted))
        warnings = (
            f"{int(parted.sum())} rows, the first in line {line}, do not split into {layout.width} cells: left out",
        )
    keep = ~(blank | parted)
    return (None, ()) if keep.all() else (keep, warnings)


def _is_number(cell: str) -> bool:
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return False
    return True


def _as_utf8(content: Content) -> tuple[bytes, str]:
    """Return the bytes as UTF-8, and the name of the encoding they were in."""
    data = content.data
    if data[:3] == b"\xef\xbb\xbf":
        data = data[3:]
    elif data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace").encode(), "UTF-16"
    elif wide := _wide(data[:_HEAD]):
        return data.decode(wide, "replace").encode(), "UTF-16"
    if data.isascii():
        return data, "UTF-8"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace").encode(), "Windows-1252"
    return data, "UTF-8"


def _wide(head: bytes) -> str | None:
    """Tell UTF-16 without a mark by where the zeros stand."""
    half = max(1, len(head) // 2)
    if len(head) >= 16 and head[1::2].count(0) > 0.7 * half and head[0::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if len(head) >= 16 and head[0::2].count(0) > 0.7 * half and head[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    return None


def _without_nuls(name: str, data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """Empty every cell that holds a NUL byte: what stood beside it is not to be trusted."""
    found = data.count(0)
    if not found:
        return data, ()
    if found > _NUL_LIMIT:
        raise InputError(name, read=f"{found} NUL bytes: not a text file", right=LOOKS_FOR)
    pieces, cells_hit, done = [], 0, 0
    while (at := data.find(0, done)) >= 0:
        start = max(data.rfind(mark, done, at) for mark in _CELL_ENDS) + 1
        stop = min((end for mark in _CELL_ENDS if (end := data.find(mark, at)) >= 0), default=len(data))
        pieces.append(data[done : max(start, done)])
        cells_hit, done = cells_hit + 1, stop
    return b"".join([*pieces, data[done:]]), (f"NUL bytes in {cells_hit} cells: they count as empty",)


def _without_open_quotes(data: bytes) -> tuple[bytes, tuple[str, ...]]:
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


def _head_text(data: bytes) -> str:
    head = data[:_HEAD].decode("utf-8", "ignore")
    return head[: head.rfind("\n")] if len(data) > _HEAD and "\n" in head else head.rstrip("\n")


def _without_broken_end(data: bytes, layout: Layout) -> tuple[bytes, tuple[str, ...]]:
    """Cut a last line that breaks off before its last cell."""
    if data.endswith((b"\n", b"\r")) or layout.delimiter == " ":
        return data, ()
    start = data.rfind(b"\n") + 1
    last = data[start:]
    if start == 0 or not last.strip() or b'"' in last:
        return data, ()
    missing = layout.width - 1 - last.count(layout.delimiter.encode())
    if missing <= 0:
        return data, ()
    return data[:start], ("the last row is incomplete (the file breaks off in it): left out",)
