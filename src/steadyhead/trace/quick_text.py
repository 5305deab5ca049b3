"""The quick way through a large text log, where every line is plain; anything else goes the slow and sure way."""

import mmap

import polars as pl

from steadyhead.trace import cells, plain_numbers
from steadyhead.trace.sniffing import Layout
from steadyhead.trace.table import RawColumn


def columns_quickly(name: str, data: bytes | mmap.mmap, layout: Layout, row_limit: int) -> tuple[RawColumn, ...] | None:
    """Return the columns of a plain table, or None when a line of it is not plain.

    Columns of numbers are read by the compiled reader, columns of text by polars.
    """
    kinds = cells.kinds_of(layout)
    is_text = tuple(kind != pl.Float64 for kind in kinds)
    if any(is_text) and data.find(b"\0") >= 0:
        return None
    numbers = plain_numbers.numbers_of(data, layout, is_text, row_limit)
    if numbers is None:
        return None
    wanted = [at for at, text in enumerate(is_text) if text]
    texts = cells.frame_of(name, data[:], layout, kinds, wanted) if wanted else pl.DataFrame()
    if wanted and texts.height != numbers.values.shape[1]:
        return None
    columns = []
    for at, heading in enumerate(layout.headings):
        unit = layout.units[at]
        if is_text[at]:
            columns.append(cells.column_of(heading, unit, layout, None, texts[str(at)]))
        else:
            missing, bad = int(numbers.empty[at]), int(numbers.unreadable[at])
            number = numbers.values[at]
            columns.append(RawColumn(heading=heading, unit=unit, number=number, empty=missing, unreadable=bad))
    return tuple(columns)
