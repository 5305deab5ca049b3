"""Columns of which the logger reads one after the other: brought to the rows at which a round of them is whole."""

import numpy as np

from steadyhead.trace.trace import Series


def in_step(columns: list[Series]) -> Series:
    """Return the columns one below the other, each row with a value of all of them or of none.

    Equation: a row stands where the column with the fewest values has one; every other gives its last value there, if
    it is newer than the row before that stands. Where all are read in every row, they come out as they are.
    Shapes: k columns (n,) -> (k, n).
    """
    together = np.vstack(columns)
    known = np.isfinite(together)
    if known.all():
        return together
    counts = known.sum(axis=1)
    stands = known[int(np.argmin(counts))]
    rows = np.arange(stands.size)
    since = np.maximum.accumulate(np.where(known, rows, -1), axis=1)
    before = np.concatenate(([-1], np.maximum.accumulate(np.where(stands, rows, -1))[:-1]))
    whole = stands & (since > before).all(axis=0)
    return np.where(whole, np.take_along_axis(together, np.maximum(since, 0), axis=1), np.nan)
