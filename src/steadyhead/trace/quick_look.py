"""One pass over a long series, in blocks that stay in the processor's cache."""

from math import gcd
from typing import NamedTuple

import numpy as np

from steadyhead.trace.trace import Series

_BLOCK = 1 << 17
"""Small enough for the cache, large enough that threads need not wait for the interpreter; measured."""
_WHOLE, _SAMPLE, _SPELL = 20_000, 5_000, 250


class Look(NamedTuple):
    """Least and greatest value, and the greatest rise and fall from one sample to the next; NaN when a NaN is met."""

    low: float
    high: float
    fall: float
    rise: float


def look_at(values: Series, *, steps_too: bool = True) -> Look:
    """Return extremes of a series and, unless they are not asked for, of its steps.

    Shapes: (n,)
    Valid: n >= 2; one NaN anywhere makes all four NaN.
    """
    low = high = float(values[0])
    fall, rise = np.inf, -np.inf
    steps = np.empty(_BLOCK)
    for start in range(0, values.size - 1, _BLOCK):
        block = values[start : start + _BLOCK + 1]
        least, greatest = float(block.min()), float(block.max())
        if not least <= greatest:
            return Look(np.nan, np.nan, np.nan, np.nan)
        low, high = min(low, least), max(high, greatest)
        if steps_too:
            step = np.subtract(block[1:], block[:-1], out=steps[: block.size - 1])
            fall, rise = min(fall, float(step.min())), max(rise, float(step.max()))
    return Look(low, high, fall, rise)


def sample_of(values: Series) -> Series:
    """Return the finite values of an even sample of a series: all of a short one.

    The step has no small factor in common with the beat of a slow channel whose other rows are blank.
    """
    some = values[even_rows(values.size)]
    return some[np.isfinite(some)]


def even_rows(size: int, most: int = _SAMPLE) -> slice:
    """Return the rows of an even sample of so many rows: all of a short column."""
    return slice(None, None, 1 if size <= _WHOLE else _step(size // most))


Looks = tuple[tuple[Series, Look], ...]
"""Series that were looked at, each with what was seen: the same series need not be gone through again."""


def look_among(looks: Looks, values: Series) -> Look | None:
    """Return what was seen of this very series; None when it was not looked at."""
    return next((look for series, look in looks if series is values), None)


def extremes_of(values: Series, look: Look | None = None) -> tuple[float, float]:
    """Return the least and the greatest finite or infinite value; NaN where there is none.

    Shapes: (n,)
    """
    if look is not None and look.low <= look.high:
        return look.low, look.high
    return (float(np.fmin.reduce(values)), float(np.fmax.reduce(values))) if values.size else (np.nan, np.nan)


def spells_of(values: Series) -> Series:
    """Return some short runs of rows from all over a long column, one after another; a short column is taken whole."""
    if values.size <= _WHOLE:
        return values
    starts = np.linspace(0, values.size - _SPELL, _SAMPLE // _SPELL).astype(np.int64)
    return np.concatenate([values[at : at + _SPELL] for at in starts])


def _step(least: int) -> int:
    """Return the next number from `least` on that 2, 3, 5 and 7 do not divide."""
    return next(step for step in range(least, least + 10) if gcd(step, 210) == 1)


def holds_a_value(values: Series) -> bool:
    """Whether there is one finite value; quick when it is among the first."""
    return bool(np.isfinite(values[:1000]).any() or np.isfinite(values).any())
