"""A log with its newest row first is turned round, and that is said."""

from dataclasses import replace

import numpy as np

from steadyhead.trace import clock
from steadyhead.trace.meaning import Claim
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Series

_FALLS = 0.99
"""Share of the steps of a time that fall in such a log; own choice."""


def is_newest_first(table: RawTable, claims: tuple[Claim, ...]) -> bool:
    """Whether the time of a log falls all through, and none goes forward."""
    numbers = [c.column.number for c in claims if c.meaning == "time" and c.column.number is not None]
    times = numbers or [clock.seconds_of_text(column)[0] for column in table.columns if clock.is_clock(column)][:1]
    falls = [share_that_falls(values) for values in times]
    return bool(falls) and min(falls) >= _FALLS


def oldest_first(table: RawTable) -> RawTable:
    """Return the table with its last row first. Shapes: each column (n,)"""
    return replace(
        table,
        columns=tuple(_turned(column) for column in table.columns),
        warnings=(*table.warnings, "the newest row comes first: the rows are turned round; rows count from the last"),
    )


def _turned(column: RawColumn) -> RawColumn:
    number = None if column.number is None else np.ascontiguousarray(column.number[::-1])
    return replace(column, number=number, text=None if column.text is None else column.text.reverse())


def share_that_falls(values: Series) -> float:
    """Return the share of the steps of a column that fall, of those that move. Shapes: (n,)"""
    steps = np.diff(sample_of(values))
    moved = steps[steps != 0.0]
    return float((moved < 0.0).mean()) if moved.size else 0.0
