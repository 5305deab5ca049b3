"""Judges the bail-outs of a log: whether the restart was quick, how long it took, how soon the motor came in."""

from dataclasses import replace
from itertools import pairwise

from steadyhead.judge.bail_outs import Restart
from steadyhead.judge.checks_sensor import arrives_late_s, restart_as_sensed
from steadyhead.judge.commands import command_before, held_between, same_position, touched_until_s
from steadyhead.judge.held_speed import reached_as_held
from steadyhead.judge.measured import Measured
from steadyhead.judge.ramp import QUICK_BELOW_S
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.start_begun import shows_late
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict, worst

START_DOUBT_S = 0.15
"""How well the foot of a ramp is read; common practice, no source."""
WINDOW_S = 90.0
"""Longest time that a quick restart stays armed where the machine file does not say; common practice, no source."""
FOOT_DOUBT_S = 0.3
"""Without the duty the motor is seen to start when its speed has risen, which on a slow ramp is late; own choice."""
FOOT_EARLY_S, FOOT_LATE_S = 0.03, 0.1
"""A line back along the duty finds the start early by its first step, or late where the ramp began below idling; own
choice."""
AT_ONCE_S = 0.3
"""No head that has slowed down is back so soon; own choice."""
HIDDEN_S = 1.0
"""What a quick start takes: where the speed is missing for as long, soft and quick look alike; own choice."""
NO_CHANNEL = "without the throttle channel the log does not show when the motor was called back, and out of what"

NOT_QUICK = "no restart in this log is surely a quick one"


def quick_granted(found: Measured, machine: Machine) -> Verdict:
    """Judge that every bail-out brought a quick start."""
    check = "quick_restart_granted"
    if not found.channel_seen:
        return Verdict.unknown(check, NO_CHANNEL, needs=("throttle_percent",))
    tried = [r for r in found.restarts if not r.out_of_hold and not r.figures.taken_back]
    back = [r for r in found.restarts if not r.out_of_hold and r.figures.taken_back]
    on_ground = [] if tried or back else _ground_restarts(found)
    if any(s.kind == "soft_spool" and s.kind_told for s in on_ground):
        return Verdict(
            check=check,
            verdict=Outcome.FAIL,
            reason=f"on the ground the start at {on_ground[0].start_s:.1f} s, out of that position, was soft",
        )
    if not tried:
        return Verdict.unknown(check, _none_tried(found, back, on_ground), needs=(PRACTISED,))
    slow = [r for r in tried if not r.figures.quick and r.kind_told]
    if slow and all(r.hidden_s >= HIDDEN_S for r in slow):
        why = f"the head's speed is missing about the bail-out at {slow[0].figures.start_s:.1f} s, which looks soft"
        return Verdict.unknown(check, why, needs=("a log without holes at the restart",))
    if slow:
        why = f"the bail-out at {slow[0].figures.start_s:.1f} s brought a soft start, not a quick one{_fell(slow[0])}"
        return Verdict(check=check, verdict=Outcome.FAIL, reason=why)
    long = _too_long(tried, found, machine)
    if long is not None:
        return long
    blind = [r.figures.start_s for r in tried if not r.kind_told]
    if blind and found.signals.speed_rpm is None:
        why = f"without a speed the log does not show whether the restart at {blind[0]:.1f} s was quick or soft"
        return Verdict.unknown(check, why, needs=("head_speed_rpm",))
    if blind and found.signals.end_s - blind[0] < QUICK_BELOW_S:
        why = f"the log ends {found.signals.end_s - blind[0]:.1f} s after the motor was called back at {blind[0]:.1f} s"
        return Verdict.unknown(check, why, needs=("a log to the end of the flight",))
    if blind and _ramp_is_logged(found):
        why = f"the start at {blind[0]:.1f} s was about as quick as the soft start from rest: which it was is not told"
        needs = ("a soft start from rest of 10 s or more, then a bail-out",)
        return Verdict.unknown(check, why, needs=needs)
    if blind:
        return Verdict.unknown(
            check,
            f"the head still turned fast when the motor was called back at {blind[0]:.1f} s: "
            "without duty or motor speed a quick start may look like a soft one",
            needs=("duty", "motor_side_speed_rpm"),
        )
    thrown = next((s.cut for s in found.stretches if s.cut and s.cut.doubt and s.cut.back_s), None)
    if thrown is not None:
        why = f"the motor was off from {thrown.stop_s:.1f} s, by itself or called off: {thrown.doubt}"
        return Verdict.unknown(check, why, needs=("duty and throttle channel in quick rows, without holes",))
    says = f"{len(tried)} of {len(tried)} bail-outs brought a quick start"
    return Verdict(check=check, verdict=Outcome.PASS, reason=f"{says}{_taken_back_words(back)}")


PRACTISED = "a practised bail-out at a safe height"


def _none_tried(found: Measured, back: list[Restart], on_ground: list[Stretch]) -> str:
    """Say why no bail-out of a log tells anything."""
    if back:
        return f"no bail-out was held until the motor carried the head{_taken_back_words(back)}"
    if on_ground and on_ground[0].kind_told:
        return f"the restart at {on_ground[0].start_s:.1f} s was quick on the ground; none was tried in flight"
    if found.restarts:
        return "the motor was brought back out of throttle hold, which rightly clears the quick restart"
    return "no bail-out from an autorotation in this log"


def _taken_back_words(back: list[Restart]) -> str:
    if not back:
        return ""
    at = ", ".join(f"{r.figures.start_s:.1f} s" for r in back)
    return f"; the motor called back at {at} was called off again before it carried the head, and tells nothing"


def _fell(restart: Restart) -> str:
    least = restart.figures.least_rpm
    return f"; the head fell to {least:.0f} rpm" if least is not None else ""


def _too_long(tried: list[Restart], found: Measured, machine: Machine) -> Verdict | None:
    """Return unknown where a bail-out was quicker than the soft start, but longer than a quick one may be; else None.

    Its time fails by itself.
    """
    check, high = "quick_restart_granted", machine.limit("limits.quick_spool_high")
    long = _long(tried, found, machine)
    if high is None or not long:
        return None
    longest = max(long, key=lambda r: (r.ramp_s or 0.0) - r.hidden_s)
    took = (
        f"the bail-out at {longest.figures.start_s:.1f} s took {longest.ramp_s:.1f} s until the motor carried the head"
    )
    why = (
        f"{took}, longer than a quick start may take ({high.value:g} s, {high.origin}){_fell(longest)}: "
        "a slow quick ramp or a soft one, the log does not tell which"
    )
    return Verdict.unknown(check, why, needs=("a soft start from rest of 10 s or more, then a bail-out",))


def _long(tried: list[Restart], found: Measured, machine: Machine) -> list[Restart]:
    """Return the bail-outs whose ramp was longer than a quick one may be, on whatever ramp they were."""
    high = machine.limit("limits.quick_spool_high")
    doubt = START_DOUBT_S + 2.0 * found.signals.interval_s + found.signals.edge_doubt_s("throttle_percent", "duty")
    shown = [r for r in tried if r.ramp_s is not None and (r.kind_told or _ramp_is_logged(found))]
    return [] if high is None else [r for r in shown if (r.ramp_s or 0.0) - r.hidden_s - doubt > high.value]


def ramps_not_told(found: Measured, machine: Machine) -> tuple[float, ...]:
    """Return when the motor was called back in each bail-out of which the log does not tell the ramp, s."""
    tried = [r for r in found.restarts if not r.out_of_hold and not r.figures.taken_back]
    long = _long(tried, found, machine)
    return tuple(r.figures.start_s for r in tried if not r.kind_told or (r.figures.quick and r in long))


def _ramp_is_logged(found: Measured) -> bool:
    return found.signals.duty is not None or found.signals.motor_rpm is not None


def _ground_restarts(found: Measured) -> list[Stretch]:
    """Return the starts on the ground out of a position above hold, soon after governed running, head still turning."""
    starts = []
    driven_s, was_governed = found.signals.start_s, False
    for before, spool in pairwise(found.stretches):
        driven_s = before.end_s if before.kind in DRIVEN else driven_s
        was_governed = was_governed or before.kind == "governed"
        is_restart = was_governed and before.kind == "coast" and spool.kind in ("soft_spool", "quick_spool")
        is_restart = is_restart and not spool.by_itself
        if not is_restart or found.hold_percent is None:
            continue
        since = before.end_s - before.start_s
        above = before.percent is not None and not same_position(before.percent, found.hold_percent)
        above = above and not held_between(found.asked, driven_s, spool.asked_s, found.hold_percent)
        above = above and touched_until_s(found.signals, driven_s, spool.start_s, found.hold_percent) is None
        earlier = command_before(found.asked, spool.asked_s)
        if above and earlier and same_position(earlier.percent, before.percent or 0.0) and since < WINDOW_S:
            starts.append(spool)
    return starts


def quick_time(found: Measured, machine: Machine) -> Verdict:
    """Judge how long every quick start took, from the switch on."""
    low, high = machine.limit("limits.quick_spool_low"), machine.limit("limits.quick_spool_high")
    if not found.channel_seen:
        return Verdict.unknown("quick_restart_time", NO_CHANNEL, needs=("throttle_percent",))
    late = [r for r in _long(_untold(found), found, machine) if r.figures.to_set_speed_s and not r.head_was_up]
    told = [*_quick_told(found), *late]
    if not told:
        return Verdict.unknown("quick_restart_time", NOT_QUICK, needs=("a practised bail-out",))
    times = [_times(found, r) for r in told]
    doubt = found.signals.interval_s + found.signals.edge_doubt_s("throttle_percent")
    judged = [
        Verdict.between(
            "quick_restart_time",
            took,
            low,
            high,
            what=f"time from the switch at {at:.1f} s to within 1 % of the set speed",
            interval=None if took is None else (least - doubt - hidden - late, took + doubt + hidden),
        )
        for took, least, at, hidden, late in times
    ]
    finer = "a log with quick rows and without holes at the restart"
    judged = [restart_as_sensed(verdict.unless_it_may_hold(finer), found, to_set_speed=True) for verdict in judged]
    judged = [_unless_still_fast(verdict, r) for verdict, r in zip(judged, told, strict=True)]
    judged = [reached_as_held(v, found, r.figures.start_s) for v, r in zip(judged, told, strict=True)]
    outcome = worst(v.verdict for v in judged)
    return max((v for v in judged if v.verdict is outcome), key=lambda v: v.figure or 0.0)


def _times(found: Measured, restart: Restart) -> tuple[float | None, float, float, float, float]:
    """Return how long a restart took, how short it may have been, when it began, what is hidden, how late it is."""
    took, least = restart.figures.to_set_speed_s, restart.least_to_set_speed_s or 0.0
    late = 0.0 if took is None else arrives_late_s(found, took)
    return took, least if took is None else min(least, took), restart.figures.start_s, restart.hidden_s, late


def _quick_told(found: Measured) -> list[Restart]:
    """Return the bail-outs that surely were quick ones and were not taken back."""
    return [
        r for r in found.restarts if r.figures.quick and not r.out_of_hold and r.kind_told and not r.figures.taken_back
    ]


def _untold(found: Measured) -> list[Restart]:
    """Return the bail-outs, not taken back, of which the log does not tell whether they were quick or soft."""
    return [r for r in found.restarts if not r.kind_told and not r.out_of_hold and not r.figures.taken_back]


def _unless_still_fast(verdict: Verdict, restart: Restart) -> Verdict:
    """Return a restart that took too little time as unknown where the head had kept its speed or its sensor stood."""
    if verdict.verdict is not Outcome.FAIL or verdict.figure is None or verdict.limit is None:
        return verdict
    if verdict.figure >= verdict.limit or not (restart.head_was_up or verdict.figure < AT_ONCE_S):
        return verdict
    why = f"{verdict.reason}; the head still read its set speed, or more, when the motor was called back"
    return replace(verdict, verdict=Outcome.UNKNOWN, reason=why, needs=("a bail-out from a slower head",))


def quick_prompt(found: Measured, machine: Machine) -> Verdict:
    """Judge how soon the motor came in after the switch."""
    if not found.channel_seen:
        return Verdict.unknown("quick_restart_prompt", NO_CHANNEL, needs=("throttle_percent",))
    sure = _quick_told(found)
    told = sure or [r for r in _untold(found) if r.start_seen]
    quick = [r.figures for r in told]
    if not quick:
        return Verdict.unknown("quick_restart_prompt", NOT_QUICK, needs=("a practised bail-out",))
    waits = [b.motor_started_after_s for b in quick]
    if any(w is None for w in waits):
        return Verdict.unknown(
            "quick_restart_prompt",
            "the log does not show when the motor came in",
            needs=("duty", "motor_side_speed_rpm"),
        )
    wait = max(w for w in waits if w is not None)
    by_speed_s = 0.0 if found.signals.duty is not None else FOOT_DOUBT_S
    slow_s = found.signals.edge_doubt_s("throttle_percent", "duty")
    doubt = found.signals.interval_s + slow_s + by_speed_s + 2.0 * max(r.hidden_s for r in told)
    verdict = Verdict.at_most(
        "quick_restart_prompt",
        wait,
        machine.limit("limits.restart_prompt"),
        what="wait from the switch until the motor comes in",
        interval=(max(wait - doubt - FOOT_LATE_S, 0.0), wait + 0.5 * (doubt - by_speed_s) + FOOT_EARLY_S),
    )
    verdict = verdict.unless_it_may_hold("the controller's duty, in a log without holes at the restart")
    if not sure and verdict.verdict is Outcome.FAIL:
        why = "it may have been a soft start, which may wait"
        return verdict.but(why, needs=("a bail-out that is surely quick",))
    late = next((b for b in quick if b.motor_started_after_s == wait), None)
    why = shows_late(found, late.start_s, late.start_s + wait) if late is not None else ""
    if verdict.verdict is Outcome.FAIL and why:
        return verdict.but(why, needs=("duty",))
    return verdict if by_speed_s == 0.0 else restart_as_sensed(verdict, found, to_set_speed=False)
