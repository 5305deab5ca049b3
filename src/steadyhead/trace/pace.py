"""How quickly a rotor gathers speed and loses it: a time in a wrong unit shows here."""

from enum import Enum

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.impossible import level_of
from steadyhead.trace.trace import Series, Trace

_STANDS, _HALF, _TURNS = 0.15, 0.5, 0.6
"""Shares of the level of a speed between which a start and a run-down are timed: below any flight mode; own choice."""
_FEWEST_ROWS = 5
"""Over fewer rows a step of the log, or a fault, may be all that is seen; own choice."""
_LEAP = 0.5 * (_HALF - _STANDS)
"""Half of the way at once is more than any row of a start over five rows or more shows; own choice."""


class Pace(Enum):
    """What the rotor's starts and run-downs say of the time of a log."""

    TOO_QUICK = "quicker than any rotor"
    FITS = "as a rotor does"
    TOO_SLOW = "slower than any rotor"
    UNTOLD = "not seen"


_STARTS_S = (0.75, 1.25, 10.0, 15.0)
_RUN_DOWNS_S = (1.25, 2.5, 25.0, 75.0)
"""Too quick below the first, as a rotor does from the second to the third, too slow above the last.

Common practice, no source: a start from rest takes 5 to 25 s, of which the stretch that is timed is about a third; a
head of class 400 to 800 that nothing drives loses a tenth to a third of its speed in a second, and half of that later.
"""


def pace_of(trace: Trace, scale: float = 1.0) -> Pace:
    """Return what starts and run-downs say when the time is `scale` times as long; one that fits is believed.

    Shapes: speeds and time of the trace (n,)
    Valid: a log that shows a start from rest, or a head that runs down.
    """
    seen: set[Pace] = set()
    for name in ("head_speed_rpm", "motor_side_speed_rpm"):
        speed = trace.get(name)
        if speed is None or not (level := level_of(speed)) > 0.0:
            continue
        stands = speed < _STANDS * level
        starts = _crossings(speed, stands, ~(speed <= _HALF * level), trace.time_s, level)  # a lost value turns
        seen |= {_judged(scale * took_s, _STARTS_S) for took_s in starts}
        if name == "head_speed_rpm":  # the motor may stop as it likes
            run_downs = _crossings(speed, speed > _TURNS * level, stands, trace.time_s, level)
            seen |= {_judged(scale * took_s, _RUN_DOWNS_S) for took_s in run_downs}
    odd = seen & {Pace.TOO_QUICK, Pace.TOO_SLOW}
    if Pace.FITS in seen or len(odd) != 1:
        return Pace.FITS if Pace.FITS in seen else Pace.UNTOLD
    return odd.pop()


def _judged(took_s: float, limits_s: tuple[float, float, float, float]) -> Pace:
    too_quick, quick, slow, too_slow = limits_s
    if took_s < too_quick or took_s > too_slow:
        return Pace.TOO_QUICK if took_s < too_quick else Pace.TOO_SLOW
    return Pace.FITS if quick <= took_s <= slow else Pace.UNTOLD


def _crossings(
    speed: Series, begin: NDArray[np.bool_], end: NDArray[np.bool_], time_s: Series, level: float
) -> list[float]:
    """Return how long each way from `begin` to `end` took that was seen over some rows, s. Shapes: (n,) each.

    A way of which a good part lies between two rows is a faulty value's, or a hole's, not a rotor's.
    Valid: no row is of both.
    """
    state = begin.view(np.int8) - end.view(np.int8)
    first_of = np.concatenate(([0], np.flatnonzero(state[1:] != state[:-1]) + 1, [state.size]))
    runs = np.flatnonzero(state[first_of[:-1]])
    turns = np.flatnonzero(np.diff(state[first_of[runs]]) < 0)
    ways = zip((first_of[runs[turns] + 1] - 1).tolist(), first_of[runs[turns + 1]].tolist(), strict=True)
    return [
        float(time_s[stop] - time_s[first])
        for first, stop in ways
        if stop - first >= _FEWEST_ROWS and _largest_step(speed[first : stop + 1], level) < _LEAP * level
    ]


def _largest_step(speed: Series, level: float) -> float:
    """Return the largest step from one row to the next, a lost value at what turns. Shapes: (n,)"""
    return float(np.abs(np.diff(np.where(np.isnan(speed), _TURNS * level, speed))).max())
