"""A time that counts down is turned into one that goes forward; its rows stand in their order."""

from dataclasses import replace

import numpy as np

from steadyhead.trace import clock
from steadyhead.trace.headings import words_in
from steadyhead.trace.meaning import Claim
from steadyhead.trace.newest_first import share_that_falls
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Series

_FALLS = 0.99
"""Share of its steps that must fall; own choice."""
_BEGINS = 0.05
"""A counter of the charge used begins at no more of what it reaches; own choice."""


def counted_up(table: RawTable, claims: tuple[Claim, ...]) -> RawTable:
    """Return the table with a time that counts down replaced by its first value less each.

    A falling time counts down where its heading says so, or where the charge that was used begins at nothing and
    grows from row to row as the rows stand; otherwise the newest row comes first.
    Valid: the only time of the log; one of several is left as it is.
    """
    times = {claim.at for claim in claims if claim.meaning == "time"}
    times |= {at for at, column in enumerate(table.columns) if clock.is_clock(column)}
    if len(times) != 1:
        return table
    at = times.pop()
    column = table.columns[at]
    if column.number is None and not clock.is_clock(column):
        return table
    values = column.number if column.number is not None else clock.seconds_of_text(column)[0]
    named = bool(words_in(column.heading) & {"countdown", "remaining"})
    if share_that_falls(values) < _FALLS or not (named or _charge_grows(claims)):
        return table
    first = float(sample_of(values)[0])
    unit = column.unit or ("" if column.number is not None else "s")
    forward = RawColumn(heading=column.heading, unit=unit, number=first - values, empty=column.empty)
    how = "its heading says" if named else "the charge that was used says"
    said = f"{column.heading} counts down, as {how}: time is its first value less each"
    columns = tuple(forward if k == at else other for k, other in enumerate(table.columns))
    return replace(table, columns=columns, warnings=(*table.warnings, said))


def _charge_grows(claims: tuple[Claim, ...]) -> bool:
    """Whether a counter of the charge used begins near nothing and grows as the rows stand."""
    used = [c.column.number for c in claims if c.meaning == "charge_used_mah" and c.column.number is not None]
    return bool(used) and all(_grows(sample_of(values)) for values in used)


def _grows(some: Series) -> bool:
    top = float(np.max(some, initial=0.0))
    return bool(top > 0.0 and abs(float(some[0])) <= _BEGINS * top and (np.diff(some) >= 0.0).mean() >= _FALLS)
