"""Rows in which a logger wrote 0 or -1 for want of a value: the column leaps there and back, again and again.

Told from a quantity that comes to nothing by how often it does so for one row, between two values that agree.
"""

from math import ceil, log

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.impossible import level_of
from steadyhead.trace.quick_look import spells_of
from steadyhead.trace.trace import Series

FILLERS = (0.0, -1.0)
FEWEST, FEWEST_GLIMPSES = 5, 20
LEAST_SHARE = 0.0006
"""So many lone rows, and in a sample so large a share: no hand moves a switch so often for one row; own choice."""
OFTEN = 0.02
"""Where leaps of a channel are looked for by themselves, as lone faults are, only so large a share is looked into here:
so many they leave alone; own choice."""
AWAY_SHARE, AWAY_STEPS = 0.1, 5.0
"""A blink leaps by this share of the level, and by so many times what the column moves from row to row; own choice."""
ALIKE_SHARE, MOSTLY = 0.05, 0.9
"""The values before and behind nine of ten blinks differ by no more of the level; own choice."""
USUAL_PERCENT = 90.0
MARK = 1.0
"""A column that holds but one other value, and that is 1, says yes or no."""


PADDED_SHARE = 0.4
"""From this share of rows on a filler may stand between the values of a slower sensor; own choice."""
GLIMPSE_ROWS, TIMES_AS_LONG = 2, 3.0
"""Such values come in one row, or two; fillers between them in runs of much the same length; own choice."""


def blinks_in(values: Series, least_share: float = LEAST_SHARE) -> NDArray[np.bool_] | None:
    """Return the rows of a column that hold a filler and no value; None where there are none.

    Equation: lone rows are a share 1 - q of all brief runs, q the chance of a filler; runs longer than the
    ln(runs) / ln(1 / q) + 1 that chance makes are left.
    Shapes: (n,) -> (n,)
    Valid: rows that were lost by chance; a rest at 0 is longer than they come together.
    """
    if values.size < FEWEST:
        return None
    some = spells_of(values)
    for filler in FILLERS:
        lone = (some[1:-1] == filler) & (some[:-2] != filler) & (some[2:] != filler)
        fewest = max(FEWEST if some.size == values.size else 1, least_share * some.size)
        if np.count_nonzero(lone) < fewest:
            continue  # too few to go through it all
        flags = _blinks(values, filler, max(FEWEST, least_share * values.size))
        if flags is not None:
            return flags
    return _padding(values, some)


def _blinks(values: Series, filler: float, fewest: float) -> NDArray[np.bool_] | None:
    filled = values == filler
    rest = values[~filled & np.isfinite(values)]
    edges = np.flatnonzero(filled[1:] != filled[:-1]) + 1
    first, stop = edges[int(filled[0]) :: 2], edges[1 + int(filled[0]) :: 2]
    first = first[: stop.size]
    if first.size < fewest or bool((rest == MARK).all()):
        return None
    level = level_of(rest)
    usual = float(np.percentile(np.abs(np.diff(rest)), USUAL_PERCENT))
    before, behind = values[first - 1], values[stop]
    away = np.minimum(np.abs(before - filler), np.abs(behind - filler))
    leaps = away >= max(AWAY_SHARE * level, AWAY_STEPS * usual)
    lone = leaps & (stop - first == 1)
    alike = np.abs(before - behind) <= ALIKE_SHARE * level
    if np.count_nonzero(lone) < fewest or float(alike[lone].mean()) < MOSTLY:
        return None
    if filler < 0.0 and float(rest.min()) >= 0.0:  # then it stands for no value wherever it does
        return np.asarray(filled)
    runs, ones = np.count_nonzero(leaps), np.count_nonzero(lone)
    chance = max(1.0 - ones / runs, 1.0 / runs)
    longest = ceil(log(runs) / -log(chance)) + 1
    flags = np.zeros(values.size, np.bool_)
    for begin, end in zip(first[leaps].tolist(), stop[leaps].tolist(), strict=True):
        flags[begin:end] = end - begin <= longest
    return flags


def _padding(values: Series, some: Series) -> NDArray[np.bool_] | None:
    """Return the rows in which a filler stands between the values of a slower sensor; None where none does.

    Values come in single rows, each much like the one before, and fillers between them in runs of like length: no
    quantity does that. Longer runs of the filler stay where it may be a value.
    Shapes: values (n,), some of them (m,) -> (n,)
    """
    for filler in FILLERS:
        if np.count_nonzero(some == filler) < PADDED_SHARE * some.size:
            continue
        filled = values == filler
        rest = values[~filled & np.isfinite(values)]
        edges = np.flatnonzero(filled[1:] != filled[:-1]) + 1
        starts, ends = edges[:-1], edges[1:]
        between = filled[starts] if starts.size else np.empty(0, np.bool_)
        gaps, lasted = (ends - starts)[between], (ends - starts)[~between]
        if gaps.size < FEWEST_GLIMPSES or bool((rest == MARK).all()):
            continue
        level, usual = level_of(rest), float(np.median(gaps))
        reads = values[starts[~between]]
        away = np.abs(reads - filler) >= AWAY_SHARE * level
        brief = away & (lasted <= GLIMPSE_ROWS)
        if np.count_nonzero(brief) < FEWEST_GLIMPSES or lasted[brief].sum() < MOSTLY * lasted[away].sum():
            continue
        alike = float(np.median(np.abs(np.diff(reads[brief])))) <= ALIKE_SHARE * level
        if not alike or float((gaps <= TIMES_AS_LONG * usual).mean()) < MOSTLY:
            continue
        if filler < 0.0 and float(rest.min()) >= 0.0:
            return np.asarray(filled)
        flags = np.zeros(values.size, np.bool_)
        for begin, end in zip(starts[between].tolist(), ends[between].tolist(), strict=True):
            flags[begin:end] = end - begin <= TIMES_AS_LONG * usual
        return flags
    return None
