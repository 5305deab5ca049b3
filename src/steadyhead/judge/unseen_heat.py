"""Takes back the pass of a temperature that was not there, or stood still, while the motor drove."""

import numpy as np

from steadyhead.judge.holes import Holes
from steadyhead.judge.measured import Measured
from steadyhead.judge.segments import DRIVEN
from steadyhead.judge.stood_still import missing_spans
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Outcome, Verdict

UNSEEN_S = 10.0
"""A heat sink or a motor case warms by a degree or two in that, by the quickest figures in the machine tables (time
constants of a minute and more); own choice."""
STEPS_BEFORE = 3
TIMES_AS_LONG = 10.0
"""A part that comes to rest at its last temperature takes 1.1 time constants for the last step and 0.5 for the one
before (ln 3 and ln 5/3 of an exponential rise): a value that stands ten times as long as the steps before it, through a
hard load or the motor's stop, does not rest but is dead; own choice."""
LOAD_SHOWS_S = 5.0
"""So long after a hard load, or the motor's stop, a living sensor has moved by a step; own choice."""


def unless_unseen_heat(check: Verdict, time_s: Series, values: Series, found: Measured) -> Verdict:
    """Return the check of a temperature, unknown where it passes and the log does not show it to the end of driving.

    Shapes: time_s (n,), values (n,).
    """
    if check.verdict is not Outcome.PASS or not found.signals.sensed:
        return check
    driven = [(s.start_s, s.end_s) for s in found.stretches if s.kind in DRIVEN]
    known = np.isfinite(values)
    stamps = time_s[known]
    own_s = float(np.median(np.diff(stamps))) if stamps.size > 1 else 0.0
    lost = _while_driven(missing_spans(time_s, values, own_s), driven)
    why = "is missing"
    if lost is None:
        lost, why = _dead(stamps, values[known], found, driven), "stands still, as it did not before"
    if lost is None:
        return check
    return check.but(
        f"from {lost[0]:.0f} to {lost[1]:.0f} s it {why}, while the motor drove",
        needs=("a log with the temperature to the end of the flight",),
    )


def _while_driven(missing: Holes, driven: list[tuple[float, float]]) -> tuple[float, float] | None:
    """Return the first hole that hides UNSEEN_S of driving; None without one."""
    for begin_s, end_s in missing[missing[:, 1] - missing[:, 0] > UNSEEN_S].tolist():
        if sum(max(min(end_s, b) - max(begin_s, a), 0.0) for a, b in driven) > UNSEEN_S:
            return begin_s, end_s
    return None


def _dead(
    time_s: Series, values: Series, found: Measured, driven: list[tuple[float, float]]
) -> tuple[float, float] | None:
    """Return where a temperature stood still for much longer than its steps before, though the load changed by much."""
    moved = np.flatnonzero(np.diff(values) != 0.0) + 1
    if moved.size <= STEPS_BEFORE or not driven:
        return None
    at_s = np.concatenate((time_s[moved], time_s[-1:]))
    lasted_s = np.diff(at_s)
    changes_s = np.array([*(event.end_s for event in found.events), *(end_s for _, end_s in driven)])
    for k in np.flatnonzero(lasted_s > UNSEEN_S).tolist():
        if k < STEPS_BEFORE or lasted_s[k] < TIMES_AS_LONG * float(lasted_s[k - STEPS_BEFORE : k].max()):
            continue
        inside = (changes_s > at_s[k]) & (changes_s + LOAD_SHOWS_S < at_s[k + 1])
        if inside.any() and at_s[k] < driven[-1][1]:
            return float(at_s[k]), float(at_s[k + 1])
    return None
