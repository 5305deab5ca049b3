"""Numbers that stand for no value: 65535, 9999, 32767, 255 and their like, told by the gap to the rest."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.blinks import LEAST_SHARE, OFTEN, blinks_in
from steadyhead.trace.headings import heading_of
from steadyhead.trace.quick_look import Look, Looks, extremes_of, look_among, look_at, spells_of
from steadyhead.trace.side_by_side import side_by_side
from steadyhead.trace.table import RawColumn, RawTable
from steadyhead.trace.trace import Series

_CODES = (255, 511, 999, 1023, 4095, 9999, 16383, 32767, 32768, 65535, 99999, 999999, 8388607, 16777215, 2147483647)
_CODES_BELOW = (128, 999, 9999, 32767, 32768, 99999, 8388608, 2147483648)
"""Full counters and rows of nines, above and below; written with up to three decimals. Common practice, no source."""
_PLACES = (10.0, 100.0, 1000.0)
_LONG_CODE = 9999
"""Only codes this long are looked for with decimals: 25.5 A is a current like any other; own choice."""
_NEVER_NEAR = 0.7
"""No other value of the column comes nearer to it than this share; own choice: a reading that climbs there is real."""
_MOST_KINDS = 3
_FILLERS = (0.0, -1.0)
_FEWEST_BETWEEN, _EVENLY, _SMOOTH, _FAR_ABOVE = 20, 0.8, 0.1, 5.0
"""So many values, so evenly spaced, in steps of so small a share of their level, and so far above the filler; own
choice."""
_FEWEST_SHARE = 0.2
"""A filler stands in four rows of ten or more: half of that in a sample is looked into; own choice."""
_COUNTED = ("share", "pulse", "time")
"""Channels in counts reach the end of their scale by themselves."""


_STEADY = ("rotation", "voltage", "temperature", "charge", "length")
"""What cannot leap from row to row: its steps are looked at, too, for what comes after."""


def looked_at(table: RawTable) -> Looks:
    """Return the extremes of the columns that may hold such numbers, with the steps where they will be asked for."""

    def look(column: RawColumn) -> Look | None:
        dimension = heading_of(column.heading, column.unit).dimension
        if column.number is None or column.number.size < 2 or dimension in _COUNTED:
            return None
        return look_at(column.number, steps_too=dimension in _STEADY)

    seen = zip(table.columns, side_by_side(look, table.columns, table.rows_read), strict=True)
    return tuple((column.number, one) for column, one in seen if column.number is not None and one is not None)


def without_sentinels(table: RawTable, looks: Looks = ()) -> RawTable:
    """Return the table with such numbers missing, and a warning that counts them.

    Valid: they lie beyond 1.4 times of what else the column reads; what stands alone in a column is believed.
    """
    columns, warnings = [], []
    every = side_by_side(lambda column: _no_values(column, looks), table.columns, table.rows_read)
    for column, (flags, said) in zip(table.columns, every, strict=True):
        if flags is None or column.number is None:
            columns.append(column)
            continue
        warnings.append(said)
        columns.append(replace(column, number=np.where(flags, np.nan, column.number)))
    if not warnings:
        return table
    return replace(table, columns=tuple(columns), warnings=(*table.warnings, *warnings))


def _no_values(column: RawColumn, looks: Looks) -> tuple[NDArray[np.bool_] | None, str]:
    """Return the rows of a column that hold a number for no value, and a sentence that counts them; None without."""
    codes, values = codes_in(column, looks), column.number
    if codes and values is not None:
        flags = np.isin(values, codes)
        numbers = " and ".join(f"{code:g}" for code in codes)
        return flags, f"{int(flags.sum())} values of {numbers} in {column.heading} stand for no value: left out"
    leaps_seen = heading_of(column.heading, column.unit).dimension not in _COUNTED
    blinks = None if values is None else blinks_in(values, OFTEN if leaps_seen else LEAST_SHARE)
    if values is None or blinks is None:
        return None, ""
    filler = f"{values[blinks][0] + 0.0:g}"
    return blinks, f"{int(blinks.sum())} rows of {column.heading} hold {filler} for want of a value: left out"


def codes_in(column: RawColumn, looks: Looks = ()) -> tuple[float, ...]:
    """Return the numbers of a column that stand for no value."""
    values = column.number
    if values is None or values.size == 0:
        return ()
    found: list[float] = []
    if heading_of(column.heading, column.unit).dimension in _COUNTED:
        return ()
    for _ in range(_MOST_KINDS):
        low, high = extremes_of(values, look_among(looks, values))
        code = next((end for end in (high, low) if _is_code(end)), None)
        if code is None or not _stands_apart(values, code):
            break
        found.append(code)
        values = values[values != code]
    return tuple(found) or _fillers_in(values)


def _fillers_in(values: Series) -> tuple[float, ...]:
    """Return 0 or -1 where a logger writes it in the rows between the values of a slower sensor.

    Valid: values that come in single rows, evenly, and follow one another smoothly, as no quantity does that falls to
    nothing between them.
    """
    some = spells_of(values)
    for filler in _FILLERS:
        if np.count_nonzero(some == filler) < _FEWEST_SHARE * some.size:
            continue
        there = np.flatnonzero(np.isfinite(values) & (values != filler))
        filled = int(np.count_nonzero(values == filler))
        if there.size < _FEWEST_BETWEEN or filled < _EVENLY * max(there.size, values.size - there.size):
            continue
        gaps, reads = np.diff(there), values[there]
        level = float(np.quantile(np.abs(reads), 0.9))
        even = float(np.median(gaps)) >= 2.0 and float((gaps == np.median(gaps)).mean()) >= _EVENLY
        if even and level > _FAR_ABOVE and float(np.median(np.abs(np.diff(reads)))) < _SMOOTH * level:
            return (filler,)
    return ()


def _is_code(value: float) -> bool:
    if not np.isfinite(value):
        return False
    codes = _CODES if value > 0.0 else _CODES_BELOW
    if abs(value) in codes:
        return True
    long = [code for code in codes if code >= _LONG_CODE]
    return any(abs(abs(value) * places - code) < 1e-6 * code for places in _PLACES for code in long)


def _stands_apart(values: Series, code: float) -> bool:
    rest = values[np.isfinite(values) & (values != code)]
    if not rest.size:
        return False
    if code > 0.0:
        return float(rest.max()) < _NEVER_NEAR * code
    return float(rest.min()) > _NEVER_NEAR * code
