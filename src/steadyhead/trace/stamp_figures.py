"""A date and a time of day in figures alone, year first: `20310503140711`, or `20310503140711040` with milliseconds."""

import numpy as np

from steadyhead.trace.trace import Series

_FIRST_YEAR, _LAST_YEAR = 2000, 2099
_STAMPS = (("ms", 10**3), ("s", 1))
"""Figures behind the seconds, and how many of them make one second."""
_ALL = 0.99
"""Share of the rows that must be a date and a time; own choice."""
_MS_PER_DAY = 86_400_000
_EXACT = 2.0**53
"""Above it a number is kept to 4 only: a stamp in milliseconds is off by two of them."""


def seconds_of_stamps(values: Series) -> tuple[Series, float] | None:
    """Return seconds since the first day of stamps in figures, NaN where a row is none, and when that day began.

    The day in seconds since 1970, by the clock of the log. None for any other column.

    Shapes: (n,) -> (n,)
    Valid: the years 2000 to 2099; stamps in milliseconds are read to 2 ms, since numbers carry no more figures.
    """
    there = np.isfinite(values)
    known = values[there]
    if not known.size or known[0] < _FIRST_YEAR * 1e10:
        return None
    for _, per_second in _STAMPS:
        if not _FIRST_YEAR <= known[0] // (1e10 * per_second) <= _LAST_YEAR:
            continue
        milli, right = _milliseconds(known, per_second)
        if float(right.mean()) < _ALL:
            return None
        seconds = np.full(values.size, np.nan)
        first_day = int(milli[right][0]) // _MS_PER_DAY * _MS_PER_DAY
        seconds[np.flatnonzero(there)[right]] = (milli[right] - first_day) * 1e-3
        return seconds, first_day * 1e-3
    return None


def _milliseconds(known: Series, per_second: int) -> tuple[np.ndarray, np.ndarray]:
    """Return milliseconds since 1970 of each stamp, and which rows are a date and a time. Shapes: (n,) each."""
    whole = np.floor(known)
    part = (whole % per_second) * (1000 // per_second) + (np.round(1e3 * (known - whole)) if known[0] < _EXACT else 0.0)
    left = (whole // per_second).astype(np.int64)
    fields = []
    for _ in range(5):
        left, two = np.divmod(left, 100)
        fields.append(two)
    second, minute, hour, day, month = fields
    right = (left >= _FIRST_YEAR) & (left <= _LAST_YEAR) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    right &= (hour < 24) & (minute < 60) & (second < 60)
    months = (left - 1970).astype("datetime64[Y]").astype("datetime64[M]") + (np.clip(month, 1, 12) - 1)
    days = months.astype("datetime64[D]").astype(np.int64) + day - 1
    seconds = hour * 3600 + minute * 60 + second
    return days * _MS_PER_DAY + seconds * 1000 + part.astype(np.int64), right
