"""Judges how far the head droops under a climb-out, and says whose droop it is."""

from dataclasses import replace
from math import sqrt

import numpy as np

from steadyhead.judge.classes import class_words
from steadyhead.judge.events import AFTER_S, BEFORE_S, FULL_DUTY, LATE_SHARE
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import deviation
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.stood_still import stood_at
from steadyhead.judge.transient import LIKELY_NOISE
from steadyhead.words.verdict import Outcome, Verdict

ROUNDED_TWICE = 0.67
"""By so much of a step the difference of two values may be off that stand between two steps: 1.645 root 2/12."""

ABOUT_S, FEWEST_ROWS = 10.0, 8
"""Rows about a climb that tell how they scatter; own choice."""
MANY_ROWS = 8
"""A mean of so many rows within a second or two evens a swing out; own choice."""
MOTOR_SIDE = (
    "the motor side was measured, not the head: while it drives, a one-way bearing that slips lets the head fall "
    "further, unseen"
)


def climb_droop(found: Measured, numbers: Owner) -> Verdict:
    """Judge the droop under the hardest climb-out; a pass needs every climb-out to have shown it."""
    climbs = [(e.droop_percent, e) for e in found.events if e.droop_percent is not None]
    if not climbs:
        return Verdict.unknown("climb_droop", "no hard climb-out in this log", needs=("a log with a hard climb-out",))
    droop, worst = max(climbs, key=lambda c: c[0])
    doubt = 0.1 + ROUNDED_TWICE * 100.0 * found.signals.speed_step_rpm / worst.set_rpm
    doubt = max(doubt, _scatter_percent(worst, found))
    verdict = Verdict.at_most(
        "climb_droop",
        droop,
        numbers.limit("limits.droop"),
        what=f"head speed droop in the climb-out at {worst.start_s:.1f} s",
        interval=(droop - doubt, droop + doubt),
    )
    cause = ""
    if droop > 1.0 and worst.duty_max is not None:
        cause = _cause(worst, worst.duty_max, found)
    said = class_words("droop_percent", max(droop, 0.0)) + cause
    verdict = replace(verdict, reason=f"{verdict.reason}; {said}") if said else verdict
    if not found.signals.speed_is_head:
        verdict = replace(verdict, reason=f"{verdict.reason}; {MOTOR_SIDE}")
    return _unless_one_dropped_unseen(verdict, found)


def _scatter_percent(climb: LoadEvent, found: Measured) -> float:
    """Return by how much the difference of two means of few scattered rows is off, percent, one time in ten.

    Equation: 1.645 s root(1/n + 1/m), s the deviation of the rows about the climb, n and m the rows in the two means.
    Valid: fewer than MANY_ROWS in a mean, so far apart that a swinging head scatters them as noise does, however slowly
    they seem to swing; 0 elsewhere.
    """
    signals = found.signals
    if signals.speed_rpm is None:
        return 0.0
    before = signals.within(climb.start_s - BEFORE_S, climb.start_s)
    late = signals.within(climb.end_s - LATE_SHARE * (climb.end_s - climb.start_s), climb.end_s)
    counts = [max(part.stop - part.start, 1) for part in (before, late)]
    if min(counts) >= MANY_ROWS:
        return 0.0
    governed = next((s for s in found.governed if s.start_s <= climb.start_s < s.end_s), None)
    begin_s = climb.start_s - ABOUT_S if governed is None else max(climb.start_s - ABOUT_S, governed.ready_s)
    end_s = climb.end_s + ABOUT_S if governed is None else min(climb.end_s + ABOUT_S, governed.end_s)
    plain = (signals.within(begin_s, climb.start_s), signals.within(climb.end_s + AFTER_S, end_s))
    about = np.concatenate([signals.speed_rpm[part] for part in plain])
    scatter = deviation(about) if about.size >= FEWEST_ROWS else 0.0
    return LIKELY_NOISE * sqrt(sum(1.0 / count for count in counts)) * scatter * 100.0 / climb.set_rpm


def _cause(climb: LoadEvent, duty_max: float, found: Measured) -> str:
    if duty_max >= FULL_DUTY:
        return "; the duty stood at its stop: head-room is used up, no gain can help" + _shared(climb)
    stood = duty_stood_at(climb, found)
    if stood is not None:
        return (
            f"; the duty stood still at {stood:.2f}: a limit of the controller, or of its log; whether the governor "
            "had room is not known"
        )
    return f"; the duty only reached {duty_max:.2f}: the governor had room and did not use it"


def duty_stood_at(load: LoadEvent, found: Measured) -> float | None:
    """Return the duty that stood still, below its stop, through the end of a load; None where it moved."""
    signals = found.signals
    if signals.duty is None or not signals.sensed or (load.duty_max or 0.0) >= FULL_DUTY:
        return None
    late_s = load.end_s - LATE_SHARE * (load.end_s - load.start_s)
    return stood_at(signals.time_s, signals.duty, late_s, load.end_s)


def _unless_one_dropped_unseen(verdict: Verdict, found: Measured) -> Verdict:
    """Take a pass back where the head fell below the limit in a climb-out whose droop the log does not show."""
    if verdict.verdict is not Outcome.PASS or verdict.limit is None:
        return verdict
    unseen = [e for e in found.events if e.kind == "climb" and e.droop_percent is None]
    worst = max(unseen, key=lambda e: e.undershoot_percent or 0.0, default=None)
    if worst is None or (worst.undershoot_percent or 0.0) <= verdict.limit:
        return verdict
    why = (
        f"in the climb-out at {worst.start_s:.1f} s the head fell by "
        f"{worst.undershoot_percent:.1f} %, and the log does not show where it settled"
    )
    return verdict.but(why, needs=("a log without holes at a hard climb-out",))


def _shared(climb: LoadEvent) -> str:
    """Say how the droop divides, where both the pack and the governor had a part in it."""
    own, sag = climb.governor_droop_percent, climb.sag_loss_percent
    if own is None or sag is None or min(own, sag) < 0.2:
        return ""
    return f" for the {sag:.1f} points lost there; {own:.1f} points were lost while the duty had room"
