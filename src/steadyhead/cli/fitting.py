"""Tables that fit the terminal; what is too wide comes in parts, one below the other."""

from rich.console import Console
from rich.measure import Measurement
from rich.table import Column, Table

from steadyhead.report.fitting import Part, Size, parts_of

DOUBT = "90 %"
"""What a column of intervals is headed."""


def print_table(out: Console, table: Table, *, repeated: int = 0) -> None:
    """Print a table, in parts that each begin with the first `repeated` columns where it is too wide."""
    for number, part in enumerate(parts_of([_size(out, column) for column in table.columns], out.width, repeated)):
        if number:
            out.print()
        out.print(_part(table, part, titled=number == 0))


def _size(out: Console, column: Column) -> Size:
    wide = out.options.update(max_width=10_000)
    sizes = [Measurement.get(out, wide, cell) for cell in (column.header, *column.cells)]
    return Size(
        least=max(size.minimum for size in sizes),
        most=max(size.maximum for size in sizes),
        figures=column.justify == "right",
        belongs=str(column.header).startswith(DOUBT),
    )


def _part(table: Table, columns: Part, *, titled: bool) -> Table:
    """Return some columns of a table as a table of their own."""
    title = table.title if titled else None
    part = Table(title=title, title_justify=table.title_justify, box=None, pad_edge=False, show_edge=False)
    for number, width in columns:
        column = table.columns[number]
        part.add_column(column.header, justify=column.justify, overflow="fold", width=width)
    for row in zip(*(table.columns[number].cells for number, _ in columns), strict=True):
        part.add_row(*row)
    return part
