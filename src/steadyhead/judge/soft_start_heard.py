"""The time of a soft start that was heard, with the doubt of the first turns, which no microphone hears."""

from dataclasses import replace

from steadyhead.judge.as_heard import TIME_DOUBT_S
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.heard import Foot
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "soft_start_time"
GENTLE_SHARE = 1.0
"""A ramp whose rate grows evenly from nothing takes twice as long to the speed first heard as the straight line there:
so much of the line's time is added. Source: constant against evenly growing rate, v = r t and v = r t / 2 (kinematics).
"""
KICKED_SHARE = 0.5
"""A motor that kicks the head to half of the speed first heard takes so much less; own choice."""
FOOT_OFF_S = 1.0
"""The judge dates a start to where the head begins to turn, a little behind the foot of the line; own choice."""
NEEDS = "a recording near enough to hear the first turns, a log, or a stop watch"


def soft_start_heard(judged: Judgement, machine: Machine, foot: Foot | None) -> Judgement:
    """Return the judgement with the doubt of a drawn foot on the time of the soft start; `foot` is None without one.

    Between the first frame heard and rest the rise is a straight line; a ramp that begins gently began earlier.
    A time near its limit is then unknown, whichever side of it the line gives.
    Valid: a head that turns from rest without a stop on the way.
    """
    drawn_s = _drawn_s(judged, foot)
    checks = tuple(_doubted(check, machine, drawn_s) for check in judged.checks)
    return replace(judged, checks=checks)


def _drawn_s(judged: Judgement, foot: Foot | None) -> float:
    """Return how much of a soft start from rest was drawn, not heard, s."""
    if foot is None:
        return 0.0
    for segment in judged.segments:
        if segment.kind == "soft_spool" and foot.start_s - FOOT_OFF_S <= segment.start_s <= foot.heard_s:
            return foot.heard_s - foot.start_s
    return 0.0


def _doubted(check: Verdict, machine: Machine, drawn_s: float) -> Verdict:
    if check.check != CHECK or check.figure is None or check.verdict is Outcome.UNKNOWN:
        return check
    early, late = check.figure_interval or (check.figure, check.figure)
    interval = (
        max(early - KICKED_SHARE * drawn_s - TIME_DOUBT_S, 0.0),
        late + GENTLE_SHARE * drawn_s + TIME_DOUBT_S,
    )
    low, high = machine.limit("limits.soft_spool_low"), machine.limit("limits.soft_spool_high")
    what = check.reason.partition(" is ")[0]
    made = Verdict.between(CHECK, check.figure, low, high, what=what, interval=interval).unless_it_may_hold(NEEDS)
    if made.verdict is not Outcome.UNKNOWN:
        return made
    told = f"; its first {drawn_s:.1f} s were not heard but drawn in a straight line" if drawn_s else ""
    return replace(made, reason=f"{made.reason}{told}", needs=(NEEDS,))
