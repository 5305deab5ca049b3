"""The time of a soft start that was heard, with the doubt of the first turns, which no microphone hears."""

from dataclasses import replace

import numpy as np

from steadyhead.judge.as_heard import TIME_DOUBT_S
from steadyhead.judge.held_heard import NEAR_MODE_SHARE, SAME_SPEED_SHARE
from steadyhead.judge.result import Judgement, Segment
from steadyhead.machine.description import Machine
from steadyhead.trace.heard_start import Foot
from steadyhead.words.verdict import Outcome, Verdict, unknown_of

CHECK = "soft_start_time"
GENTLE_SHARE = 1.0
"""A ramp whose rate grows evenly from nothing takes twice as long to the speed first heard as the straight line there:
so much of the line's time is added. Source: constant against evenly growing rate, v = r t and v = r t / 2 (kinematics).
"""
KICKED_SHARE = 0.5
"""A motor that kicks the head to half of the speed first heard takes so much less; own choice."""
FOOT_OFF_S = 1.0
"""The judge dates a start to where the head begins to turn, a little behind the foot of the line; own choice."""
RAMP_SHARE, PAUSE_SHARE, FEWEST_SECONDS = 0.9, 0.3, 4
"""A soft start rises at much the same rate all the way up; a second at less than this share of the middle one is a
pause, after which another set speed may have been asked for. Own choices."""
PAUSED = (
    "the head stood at {:.0f} rpm, below every flight mode, and went on to {:.0f} rpm: it may be a pause in one start"
)
NEEDS = "a recording near enough to hear the first turns, a log, or a stop watch"


def soft_start_heard(judged: Judgement, machine: Machine, foot: Foot | None) -> Judgement:
    """Return the judgement with the doubt of a drawn foot on the time of the soft start; `foot` is None without one.

    Between the first frame heard and rest the rise is a straight line; a ramp that begins gently began earlier.
    A time near its limit is then unknown, whichever side of it the line gives. One that was heard to rise without a
    pause holds no slow change of set speed: a time wholly over its limit fails.
    Valid: a head that turns from rest without a stop on the way.
    """
    spool = _spool(judged, foot)
    drawn_s = 0.0 if spool is None or foot is None else foot.heard_s - foot.start_s
    one_ramp = spool is not None and rises_without_pause(judged, spool)
    checks = tuple(_doubted(check, machine, drawn_s, one_ramp=one_ramp) for check in judged.checks)
    pause = _pause(judged, machine)
    if pause is not None:
        checks = unknown_of((CHECK,), checks, PAUSED.format(*pause), needs=("throttle_percent",))
    return replace(judged, checks=checks)


def rises_without_pause(judged: Judgement, spool: Segment) -> bool:
    """Whether what is heard of a soft start rises second by second, never at a small share of its usual rate.

    Valid: looked at up to RAMP_SHARE of the speed at its end; a governor may creep into the rest.
    """
    speed = judged.trace.get("head_speed_rpm")
    if speed is None:
        return False
    time_s, rpm = judged.trace.time_s, np.asarray(speed)
    inside = (time_s >= spool.start_s) & (time_s <= spool.end_s) & np.isfinite(rpm)
    if not inside.any():
        return False
    top = float(rpm[inside].max())
    at_s = np.arange(spool.start_s, spool.end_s, 1.0)
    levels = np.interp(at_s, time_s[inside], rpm[inside])
    levels = levels[levels < RAMP_SHARE * top]
    rates = np.diff(levels)
    return bool(rates.size >= FEWEST_SECONDS and rates.min() > PAUSE_SHARE * np.median(rates))


def _pause(judged: Judgement, machine: Machine) -> tuple[float, float] | None:
    """Return the level at which a soft start may have paused and the one that followed, rpm; None without one.

    Valid: a level that no flight mode of the machine file is near (NEAR_MODE_SHARE), nor any lower one; in a file
    without flight modes the highest level of the recording stands for them.
    """
    governed = [(one.start_s, one.set_rpm) for one in judged.segments if one.kind == "governed" and one.set_rpm]
    slowest = min((mode.head_speed.number for mode in machine.flight_mode), default=None)
    if slowest is None:
        slowest = max((rpm for _, rpm in governed), default=0.0)
    for spool in judged.segments:
        level = spool.set_rpm
        if spool.kind != "soft_spool" or level is None or level >= (1.0 - NEAR_MODE_SHARE) * slowest:
            continue
        higher = (rpm for start_s, rpm in governed if start_s >= spool.end_s and rpm > (1.0 + SAME_SPEED_SHARE) * level)
        after = next(higher, None)
        if after is not None:
            return level, after
    return None


def _spool(judged: Judgement, foot: Foot | None) -> Segment | None:
    """Return the soft start that the foot belongs to; the only one from rest where nothing was drawn."""
    spools = [segment for segment in judged.segments if segment.kind == "soft_spool"]
    if foot is None:
        return spools[0] if len(spools) == 1 else None
    near = (s for s in spools if foot.start_s - FOOT_OFF_S <= s.start_s <= foot.heard_s)
    return next(near, None)


def _doubted(check: Verdict, machine: Machine, drawn_s: float, *, one_ramp: bool) -> Verdict:
    if check.check != CHECK or check.figure is None:
        return check
    early, late = check.figure_interval or (check.figure, check.figure)
    interval = (
        max(early - KICKED_SHARE * drawn_s - TIME_DOUBT_S, 0.0),
        late + GENTLE_SHARE * drawn_s + TIME_DOUBT_S,
    )
    if check.verdict is Outcome.UNKNOWN and not one_ramp:
        return check.doubted(interval)
    low, high = machine.limit("limits.soft_spool_low"), machine.limit("limits.soft_spool_high")
    what = check.reason.partition(" is ")[0]
    made = Verdict.between(CHECK, check.figure, low, high, what=what, interval=interval).unless_it_may_hold(NEEDS)
    if made.verdict is not Outcome.UNKNOWN:
        return made
    told = f"; its first {drawn_s:.1f} s were not heard but drawn in a straight line" if drawn_s else ""
    return replace(made, reason=f"{made.reason}{told}", needs=(NEEDS,))
