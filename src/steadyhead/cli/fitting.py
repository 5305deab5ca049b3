"""Tables that fit the terminal: a figure is never cut; what is too wide comes in parts, one below the other."""

from rich.console import Console
from rich.measure import Measurement
from rich.table import Column, Table

GAP = 2
"""Blanks between two columns."""
LONGEST_WORD = 24
"""A longer word, such as a path, is broken where there is no room."""


def print_table(out: Console, table: Table, *, repeated: int = 1) -> None:
    """Print a table; where it is too wide, in parts that each begin with the first `repeated` columns.

    Columns of figures, to the right, are not broken; columns of words are, between words.
    """
    for column in table.columns:
        column.no_wrap = column.no_wrap or column.justify == "right"
        column.min_width = _least(out, column)
    left = list(table.columns)
    parts: list[list[Column]] = []
    while left:
        part = [*(_kept(out, table.columns[:repeated], left[0]) if parts else ()), left.pop(0)]
        while left and _width([*part, left[0]]) <= out.width:
            part.append(left.pop(0))
        parts.append(part)
    for number, columns in enumerate(parts):
        if number:
            out.print()
        out.print(table if len(parts) == 1 else _part(table, columns, titled=number == 0))


def _kept(out: Console, first: list[Column], column: Column) -> list[Column]:
    """Return as many of the first columns as there is room for beside one more."""
    while first and _width([*first, column]) > out.width:
        first = first[:-1]
    return first


def _width(columns: list[Column]) -> int:
    return sum(column.min_width or 0 for column in columns) + GAP * (len(columns) - 1)


def _least(out: Console, column: Column) -> int:
    """Return the least width of a column: whole figures, or its longest word."""
    wide = out.options.update(max_width=10_000)
    sizes = [Measurement.get(out, wide, cell) for cell in (column.header, *column.cells)]
    if column.no_wrap:
        return max(size.maximum for size in sizes)
    return min(max(size.minimum for size in sizes), LONGEST_WORD)


def _part(table: Table, columns: list[Column], *, titled: bool) -> Table:
    """Return some columns of a table as a table of their own."""
    title = table.title if titled else None
    part = Table(title=title, title_justify=table.title_justify, box=None, pad_edge=False, show_edge=False)
    for column in columns:
        part.add_column(
            column.header, justify=column.justify, overflow=column.overflow, no_wrap=column.no_wrap,
            min_width=column.min_width,
        )  # fmt: skip
    for row in zip(*(column.cells for column in columns), strict=True):
        part.add_row(*row)
    return part
