"""Reading a text log: any delimiter, decimal mark, encoding and heading layout."""

import polars as pl

from steadyhead.trace import cells
from steadyhead.trace.glued_rows import without_glued_rows
from steadyhead.trace.opening import MIB, Content
from steadyhead.trace.pairs_text import as_table
from steadyhead.trace.sniffing import DELIMITER_NAMES, Layout, layout_of
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.table_rows import rows_that_belong
from steadyhead.trace.text_bytes import (
    HEAD_BYTES,
    as_utf8,
    head_text,
    one_line_end,
    single_tabs,
    wide_encoding,
    with_whole_first_row,
    without_broken_end,
    without_formulas,
    without_nuls,
    without_open_quotes,
    without_outer_bars,
)
from steadyhead.words.errors import InputError

LOOKS_FOR = "a text table (CSV, tabs, semicolons)"
ROW_LIMIT = 20_000_000
CELL_LIMIT = 60_000_000
_QUICK_FROM = 4 * MIB
"""Below this polars is as quick as starting the compiled reader."""
_COUNT_FROM = 64 * MIB


def looks_like(head: bytes) -> bool:
    """Whether the first bytes are text in an encoding that logs come in."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or head[:3] == b"\xef\xbb\xbf" or wide_encoding(head):
        return True
    odd = sum(byte < 32 and byte not in (9, 10, 11, 12, 13, 0, 26, 27) for byte in head)
    written = head.rstrip(b"\0")  # a logger may have made room that it did not fill
    zeros = written.count(0)
    return bool(written) and odd <= len(head) // 200 and zeros <= max(8, len(head) // 50)


def read(content: Content) -> RawTable:
    """Return the table in a text log.

    Raises: InputError when there is no table, it has no rows, or too many.
    """
    if len(content.data) > _QUICK_FROM and (quick := _read_quickly(content)) is not None:
        return quick
    data, encoding = as_utf8(content)
    data, nuls = without_nuls(content.name, data)
    data = without_formulas(without_outer_bars(one_line_end(data)))
    data, named = as_table(content.name, data)
    layout = layout_of(content.name, head_text(data))
    if len(data) > _COUNT_FROM and (rows := data.count(b"\n")) > _row_limit(layout):
        raise InputError(content.name, read=f"{rows} rows", right=f"at most {_row_limit(layout)} rows (the size limit)")
    data, cut = without_broken_end(data, layout)
    data, open_quotes = without_open_quotes(data)
    data = single_tabs(data) if layout.delimiter == " " else data
    data, glued = without_glued_rows(data, layout)
    data = with_whole_first_row(data, layout)
    columns, aside, rows = _columns(content.name, data, layout)
    return _table(columns, rows, layout, encoding, nuls + open_quotes + cut + glued + aside, named)


def _read_quickly(content: Content) -> RawTable | None:
    """Return the table of a large plain log; None sends it the slow and sure way.

    Raises: InputError when there is no table.
    """
    from steadyhead.trace.quick_text import columns_quickly

    head = content.data[:HEAD_BYTES]
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or wide_encoding(head) or b'"' in head or b"\n" not in head:
        return None
    if without_formulas(head) != head:
        return None
    text, encoding = as_utf8(Content(name=content.name, data=head[: head.rfind(b"\n") + 1]))
    layout = layout_of(content.name, head_text(text))
    if layout.delimiter == " ":
        return None
    data, cut = without_broken_end(content.data, layout)
    columns = columns_quickly(content.name, data, layout, _row_limit(layout))
    if columns is None:
        return None
    rows = next(len(column.text if column.number is None else column.number) for column in columns)
    return _table(columns, rows, layout, encoding, cut)


def _table(
    columns: tuple[RawColumn, ...],
    rows: int,
    layout: Layout,
    encoding: str,
    warnings: tuple[str, ...],
    history: tuple[str, ...] = (),
) -> RawTable:
    said = (
        f"read as text ({encoding}), cells parted by {DELIMITER_NAMES[layout.delimiter]}, "
        f"decimal {'comma' if layout.decimal_comma else 'point'}, data from line {layout.first_data_line}"
    )
    return RawTable(
        kind="text",
        columns=columns,
        rows_read=rows,
        remarks=layout.remarks,
        warnings=warnings,
        history=(*history, said),
    )


def _row_limit(layout: Layout) -> int:
    """Keep the numbers of a log within half a gigabyte of memory."""
    return min(ROW_LIMIT, CELL_LIMIT // layout.width)


def _columns(name: str, data: bytes, layout: Layout) -> tuple[tuple[RawColumn, ...], tuple[str, ...], int]:
    """Return the columns, warnings about rows set aside, and the rows that are left."""
    kinds = cells.kinds_of(layout, data)
    frame = cells.frame_of(name, data, layout, kinds)
    doubtful = [at for at, kind in enumerate(kinds) if kind == pl.Float64 and frame[str(at)].null_count()]
    texts = cells.frame_of(name, data, layout, [pl.String] * layout.width, doubtful) if doubtful else pl.DataFrame()
    if doubtful and texts.height != frame.height:
        raise InputError(name, read="quotes and cells that do not pair", right="a plain text table")
    keep, warnings = rows_that_belong(layout, frame, texts)
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
