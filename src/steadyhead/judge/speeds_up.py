"""Finds a motor that speeds up while nothing may drive it, by its own speed alone: one that turns freely never does."""

from typing import NamedTuple

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series

LEAP_SHARE, LEAP_S = 0.05, 0.15
"""A twentieth of its fastest speed in so short a time, a third of it in a second: no air and no flare turns a rotor,
and a motor with it, up so fast; own choice."""
LASTS_S, FEWEST_ROWS = 0.15, 3
"""What no faulty row or two makes; own choice."""
BEFORE_S = 3.0
"""A reading that was lost longer before than this is no drop-out; own choice."""
STEP_SHARE = 0.5
"""A motor that turns freely loses less than this share of such a rise from row to row: a greater step down is a sensor
that was away or comes back; own choice."""
TWICE, NEAR_TWICE = 2.0, 0.05
"""A reading that is twice the one before it, to so much, may be counted twice; own choice."""


class SpeedsUp(NamedTuple):
    """When a motor sped up, and whether no fault of its sensor looks alike."""

    at_s: float
    is_sure: bool


def speeds_up(signals: Signals, part: slice) -> SpeedsUp | None:
    """Return the first leap of the motor side in a part of a log, a sure one first; None where there is none.

    Equation: w(t) - min w(t - LEAP_S .. t) > LEAP_SHARE max w, and it lasts LASTS_S and FEWEST_ROWS rows.
    Valid: the motor was off at the beginning of the part and nothing may drive it there.
    """
    speed = signals.motor_rpm
    if speed is None or part.stop - part.start < FEWEST_ROWS:
        return None
    rise_rpm = LEAP_SHARE * float(speed.max())
    values, time_s = speed[part], signals.time_s[part]
    shown = signals.seen("motor_side_speed_rpm", part)
    back = max(signals.samples(LEAP_S), 1)
    low = lowest_before(values, back)
    found: SpeedsUp | None = None
    for row in rows_where(values - low > rise_rpm):
        k = int(row)
        until = _until(time_s, k)
        stays = values[k:until]
        if stays.size < FEWEST_ROWS or float(stays.min()) - low[k] <= rise_rpm or not shown[k:until].all():
            continue
        at_s = float(time_s[k])
        if _is_whole(time_s, values, k, float(low[k]), float(median(stays))):
            return SpeedsUp(at_s, True)
        found = found or SpeedsUp(at_s, False)
    return found


def _until(time_s: Series, row: int) -> int:
    """Return the row after those that a leap must last."""
    return max(int(np.searchsorted(time_s, float(time_s[row]) + LASTS_S)) + 1, row + FEWEST_ROWS)


def lowest_before(values: Series, back: int) -> Series:
    """Return the lowest value of each row and the `back` rows before it.

    Shapes: values (n,) -> (n,).
    """
    low, rows = values, 1  # each value is the lowest of so many rows up to it
    while rows <= back:
        shift = min(rows, back + 1 - rows)
        low = np.concatenate((low[:shift], np.minimum(low[shift:], low[:-shift])))
        rows += shift
    return low


def _is_whole(time_s: Series, values: Series, row: int, low: float, high: float) -> bool:
    """Whether a leap is none of a sensor: no step down before it, none after it, and not twice what it was.

    A reading that was lost steps down before it comes back; one that was counted twice steps back down.
    """
    step = STEP_SHARE * (high - low)
    if low > 0.0 and abs(high / low - TWICE) < NEAR_TWICE * TWICE:
        return False
    first = int(np.searchsorted(time_s, float(time_s[row]) - BEFORE_S))
    falls = -np.diff(values[first:])
    return bool(falls.size) and float(falls.max()) < step
