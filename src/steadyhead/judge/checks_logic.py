"""Judges starting and stopping: soft start, quick restart, throttle hold, the autorotation position."""

from bisect import bisect_left, bisect_right
from dataclasses import replace

from steadyhead.judge.checks_hold import hold_clears, hold_stops_motor
from steadyhead.judge.checks_restart import START_DOUBT_S, quick_granted, quick_prompt, quick_time
from steadyhead.judge.commands import Command, same_position
from steadyhead.judge.driven_at_rest import driven_at_rest
from steadyhead.judge.measured import Measured
from steadyhead.judge.motor_state import may_be_there_s
from steadyhead.judge.owner import Owner
from steadyhead.judge.ramp_holes import untold_s
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict, worst

EDGE_S = 0.5
AT_REST = ("rest", "stopped")
WAITED_S = 2.0
POSITION_BELOW_PERCENT = 35.0
BEATS = 2.0
"""A channel that stands for less of its own beats may have been read on its way; own choice."""


def logic_checks(found: Measured, machine: Machine, numbers: Owner) -> tuple[Verdict, ...]:
    """Judge the run logic as far as the log shows it."""
    return (
        _soft_start_time(found, machine),
        quick_granted(found, machine),
        quick_time(found, machine),
        quick_prompt(found, machine),
        _no_start(found, numbers),
        hold_stops_motor(found, machine),
        hold_clears(found, numbers),
    )


def _soft_start_time(found: Measured, machine: Machine) -> Verdict:
    low, high = machine.limit("limits.soft_spool_low"), machine.limit("limits.soft_spool_high")
    doubt = START_DOUBT_S + found.signals.interval_s
    judged, cut_off = [], []
    for before, spool in _pairs(found):
        if spool.kind != "soft_spool" or before.kind not in AT_REST:
            continue
        if not spool.reached_set:
            cut_off.append(spool)
            continue
        took = spool.end_s - spool.start_s
        what = f"soft start from rest at {spool.start_s:.1f} s"
        lost = max(found.signals.hidden_s(t - EDGE_S, t + EDGE_S) for t in (spool.start_s, spool.end_s))
        least, most = _as_written(found.signals, spool)
        shorter, longer = untold_s(found.signals, spool.start_s + EDGE_S, spool.end_s - EDGE_S)
        interval = (least - doubt - lost - shorter, most + doubt + lost + longer)
        verdict = Verdict.between("soft_start_time", took, low, high, what=what, interval=interval)
        if verdict.verdict is Outcome.UNKNOWN and low and least < low.value <= took:
            step = f"the speed is written in steps of {found.signals.speed_step_rpm:.0f} rpm"
            verdict = replace(verdict, reason=f"{verdict.reason}; {step}, and stood one below its set speed so early")
        whole = lost + shorter + longer == 0.0
        judged.append(verdict if whole else verdict.unless_it_may_hold("a log without holes at the soft start"))
    if not judged:
        return Verdict.unknown(
            "soft_start_time", "no complete soft start from rest", needs=("a log that begins at rest",)
        )
    outcome = worst(v.verdict for v in judged)
    shown = min((v for v in judged if v.verdict is outcome), key=lambda v: v.figure or 0.0)
    if outcome is Outcome.FAIL and not found.channel_seen and high and (shown.figure or 0.0) > high.value:
        why = "without the throttle channel a slow change of set speed may be part of it"
        return shown.but(why, needs=("throttle_percent",))
    quick = [s for b, s in _pairs(found) if s.kind == "quick_spool" and b.kind in AT_REST and _may_be_soft(found, s)]
    if quick and outcome is Outcome.PASS:
        why = f"the start from rest at {quick[0].start_s:.1f} s was quick, and nothing shows why"
        needs = ("a log of each pack by itself, from rest",) if found.channel_seen else ("throttle_percent",)
        return shown.but(why, needs=needs)
    short = [s for s in cut_off if low is None or s.end_s - s.start_s < low.value]
    if short and outcome is Outcome.PASS:
        why = f"the start at {short[0].start_s:.1f} s ended early, at its set speed or below"
        return shown.but(why, needs=("a log without broken-off starts",))
    return shown


def _as_written(signals: Signals, spool: Stretch) -> tuple[float, float]:
    """Return the least and the most that a soft start took for the step in which the speed is written, s.

    Equation: most = t + t step / set, what one step takes on an even ramp.
    """
    took = spool.end_s - spool.start_s
    if spool.set_rpm is None:
        return took, took
    there_s = may_be_there_s(signals, spool.set_rpm, spool.start_s, spool.end_s)
    return there_s - spool.start_s, took * (1.0 + signals.speed_step_rpm / spool.set_rpm)


def _may_be_soft(found: Measured, spool: Stretch) -> bool:
    """Whether a quick start from rest may be a soft one that is too quick: nothing shows what the controller knew."""
    return not found.channel_seen or found.swap_before(spool) is not None


def _no_start(found: Measured, numbers: Owner) -> Verdict:
    check = "no_start_in_autorotation_position"
    if not found.channel_seen:
        return Verdict.unknown(check, "the log has no throttle channel", needs=("throttle_percent",))
    if found.signals.speed_rpm is None:
        why = "without a speed the log does not show when the head was at rest"
        return Verdict.unknown(check, why, needs=("head_speed_rpm",))
    flown = {s.percent for s in found.stretches if s.kind == "autorotation" and not s.cut and s.percent is not None}
    least_s = BEATS * found.signals.channel_beat_s
    placed = [c for c in found.asked if _is_position(c, found.hold_percent, flown, numbers)]
    placed = [c for c in placed if _is_named(c, numbers) or c.end_s - c.arrive_s >= least_s - found.signals.interval_s]
    stood = [(c, s) for c in placed for s in [standing(found, c)] if s]
    doubtful = ""
    spools = [s for s in found.stretches if s.kind in ("soft_spool", "quick_spool")]
    for command, stretch in stood:
        begin, stop = (bisect_left(spools, t, key=_start_s) for t in (stretch.start_s, command.end_s - 0.05))
        started = spools[begin:stop]
        if started:
            return Verdict(
                check=check,
                verdict=Outcome.FAIL,
                reason=f"the motor started from rest at {started[0].start_s:.1f} s "
                f"with the channel at {command.percent:.1f} %, the autorotation position",
            )
        driven = driven_at_rest(found.signals, command)
        if driven is None:
            continue
        why = (
            f"with the channel at {command.percent:.1f} %, the autorotation position, from {command.start_s:.1f} s on "
            f"{driven.says}"
        )
        if driven.is_sure:
            return Verdict(check=check, verdict=Outcome.FAIL, reason=why)
        doubtful = doubtful or f"{why}; nothing else shows whether the motor ran"
    if doubtful:
        needs = ("a bench log in that position with duty and motor speed, blades off",)
        return Verdict.unknown(check, doubtful, needs=needs)
    longest = max((c.end_s - c.arrive_s for c, _ in stood), default=0.0)
    if longest < WAITED_S:
        return Verdict.unknown(
            check, "the head was never at rest with the channel in the autorotation position",
            needs=("a bench log that waits 5 s in the autorotation position, blades off",),
        )  # fmt: skip
    return Verdict(
        check=check, verdict=Outcome.PASS, reason=f"the motor stayed off for {longest:.1f} s in that position at rest"
    )


def _start_s(stretch: Stretch) -> float:
    return stretch.start_s


def _is_position(command: Command, hold: float | None, flown: set[float], numbers: Owner) -> bool:
    if command.percent >= POSITION_BELOW_PERCENT:
        return False
    if _is_named(command, numbers):
        return True
    above_hold = hold is None or command.percent > hold + 1.5
    if any(same_position(command.percent, p) for p in flown):
        return above_hold
    return hold is not None and above_hold


def _is_named(command: Command, numbers: Owner) -> bool:
    """Whether the owner calls this the autorotation position."""
    return numbers.autorotation_percent is not None and same_position(command.percent, numbers.autorotation_percent)


def standing(found: Measured, command: Command) -> Stretch | None:
    """Return the stretch of rest in which a command came, None where the head turned then."""
    at_s = command.start_s + 1e-6
    count = bisect_right(found.stretches, at_s, key=_start_s)
    at = found.stretches[count - 1] if count else None
    return at if at and at_s < at.end_s and at.kind in ("rest", "stopped") else None


def _pairs(found: Measured) -> list[tuple[Stretch, Stretch]]:
    return list(zip(found.stretches[:-1], found.stretches[1:], strict=True))
