"""Judges starting and stopping: soft start, quick restart, throttle hold, the autorotation position."""

from bisect import bisect_left, bisect_right
from dataclasses import replace

from steadyhead.judge.checks_restart import START_DOUBT_S, WINDOW_S, quick_granted, quick_prompt, quick_time
from steadyhead.judge.commands import Command, command_before, same_position
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import percentile
from steadyhead.judge.ramp_holes import untold_s
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict, worst

EDGE_S = 0.5
AT_REST = ("rest", "stopped")
WAITED_S = 2.0
TURNS_RPM, FEWEST_ROWS = 60.0, 8
"""A head at rest that comes to a turn a second is driven: a breeze turns it slower; common practice, no source."""
POSITION_BELOW_PERCENT = 35.0


def logic_checks(found: Measured, machine: Machine, numbers: Owner) -> tuple[Verdict, ...]:
    """Judge the run logic as far as the log shows it."""
    return (
        _soft_start_time(found, machine),
        quick_granted(found, machine),
        quick_time(found, machine),
        quick_prompt(found, machine),
        _no_start(found, numbers),
        _hold_stops(found, machine),
        _hold_clears(found, numbers),
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
        shorter, longer = untold_s(found.signals, spool.start_s + EDGE_S, spool.end_s - EDGE_S)
        interval = (took - doubt - lost - shorter, took + doubt + lost + longer)
        verdict = Verdict.between("soft_start_time", took, low, high, what=what, interval=interval)
        whole = lost + shorter + longer == 0.0
        judged.append(verdict if whole else verdict.unless_it_may_hold("a log without holes at the soft start"))
    if not judged:
        return Verdict.unknown(
            "soft_start_time", "no complete soft start from rest", needs=("a log that begins at rest",)
        )
    outcome = worst(v.verdict for v in judged)
    shown = min((v for v in judged if v.verdict is outcome), key=lambda v: v.figure or 0.0)
    if outcome is Outcome.FAIL and not found.channel_seen and high and (shown.figure or 0.0) > high.value:
        why = f"{shown.reason}; but without the throttle channel a slow change of set speed may be part of it"
        return replace(shown, verdict=Outcome.UNKNOWN, reason=why, needs=("throttle_percent",))
    quick = [s for b, s in _pairs(found) if s.kind == "quick_spool" and b.kind in AT_REST and _may_be_soft(found, s)]
    if quick and outcome is Outcome.PASS:
        why = f"{shown.reason}; but the start from rest at {quick[0].start_s:.1f} s was quick, and nothing shows why"
        needs = ("a log of each pack by itself, from rest",) if found.channel_seen else ("throttle_percent",)
        return replace(shown, verdict=Outcome.UNKNOWN, reason=why, needs=needs)
    short = [s for s in cut_off if low is None or s.end_s - s.start_s < low.value]
    if short and outcome is Outcome.PASS:
        why = f"{shown.reason}; but the start at {short[0].start_s:.1f} s ended early, at its set speed or below"
        return replace(shown, verdict=Outcome.UNKNOWN, reason=why, needs=("a log without broken-off starts",))
    return shown


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
    flown = {s.percent for s in found.stretches if s.kind == "autorotation" and s.percent is not None}
    placed = [c for c in found.asked if _is_position(c, found.hold_percent, flown, numbers)]
    stood = [(c, s) for c in placed for s in [_standing(found, c)] if s]
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
        turned_rpm = _turned_rpm(found.signals, command)
        if turned_rpm > TURNS_RPM:
            return Verdict(
                check=check,
                verdict=Outcome.FAIL,
                reason=f"the head came from rest to {turned_rpm:.0f} rpm after {command.start_s:.1f} s "
                f"with the channel at {command.percent:.1f} %, the autorotation position",
            )
    longest = max((c.end_s - c.arrive_s for c, _ in stood), default=0.0)
    if longest < WAITED_S:
        return Verdict.unknown(
            check, "the head was never at rest with the channel in the autorotation position",
            needs=("a bench log that waits 5 s in the autorotation position, blades off",),
        )  # fmt: skip
    return Verdict(
        check=check, verdict=Outcome.PASS, reason=f"the motor stayed off for {longest:.1f} s in that position at rest"
    )


def _turned_rpm(signals: Signals, command: Command) -> float:
    """Return the speed to which a head at rest came while the channel stood there, rpm, few wild rows left out."""
    part = signals.within(command.arrive_s, command.end_s)
    if signals.speed_rpm is None or part.stop - part.start < FEWEST_ROWS:
        return 0.0
    return percentile(signals.speed_rpm[part], 90) - max(float(signals.speed_rpm[part.start]), 0.0)


def _start_s(stretch: Stretch) -> float:
    return stretch.start_s


def _is_position(command: Command, hold: float | None, flown: set[float], numbers: Owner) -> bool:
    if command.percent >= POSITION_BELOW_PERCENT:
        return False
    if numbers.autorotation_percent is not None and same_position(command.percent, numbers.autorotation_percent):
        return True
    above_hold = hold is None or command.percent > hold + 1.5
    if any(same_position(command.percent, p) for p in flown):
        return above_hold
    return hold is not None and above_hold


def _standing(found: Measured, command: Command) -> Stretch | None:
    at_s = command.start_s + 1e-6
    count = bisect_right(found.stretches, at_s, key=_start_s)
    at = found.stretches[count - 1] if count else None
    return at if at and at_s < at.end_s and at.kind in ("rest", "stopped") else None


def _hold_stops(found: Measured, machine: Machine) -> Verdict:
    if not found.holds:
        why = (
            "throttle hold was not used on a running motor" if found.channel_seen else "the log has no throttle channel"
        )
        return Verdict.unknown("hold_stops_motor", why, needs=("a log that ends with throttle hold",))
    for stop in found.holds:
        if stop.seen and (stop.after_s is None or stop.back_s is not None):
            came = "did not stop" if stop.back_s is None else f"came back at {stop.back_s:.1f} s"
            return Verdict(
                check="hold_stops_motor",
                verdict=Outcome.FAIL,
                reason=f"in throttle hold from {stop.at_s:.1f} s on the motor {came}, though hold stood",
            )
    doubtful = [stop for stop in found.holds if stop.may_be_back_s is not None]
    if doubtful:
        return Verdict.unknown(
            "hold_stops_motor",
            f"in throttle hold from {doubtful[0].at_s:.1f} s on the motor may have come back at "
            f"{doubtful[0].may_be_back_s:.1f} s; few rows say so, or one channel against another",
            needs=("a bench log in throttle hold with duty, current and speed in quick rows, blades off",),
        )
    if not all(stop.seen for stop in found.holds):
        return Verdict.unknown(
            "hold_stops_motor", "without the controller's duty the log cannot show that the motor is off within 0.1 s",
            needs=("duty",),
        )  # fmt: skip
    slowest = max(found.holds, key=lambda h: h.after_s or 0.0)
    after = slowest.after_s or 0.0
    limit = machine.limit("limits.hold_stop")
    if limit is not None and after > limit.value >= after - 2.0 * slowest.doubt_s:
        return Verdict.unknown(
            "hold_stops_motor",
            f"after throttle hold at {slowest.at_s:.1f} s the next row but one shows the motor off; rows "
            f"{2.0 * slowest.doubt_s:.2g} s apart cannot show {limit}",
            needs=("a log with more rows a second",),
        )
    verdict = Verdict.at_most(
        "hold_stops_motor",
        after,
        limit,
        what=f"time from throttle hold at {slowest.at_s:.1f} s until the duty is zero",
        interval=(max(after - slowest.doubt_s, 0.0), after + slowest.doubt_s),
    )
    return replace(verdict, reason=f"{verdict.reason}; rows are {2.0 * slowest.doubt_s:.2g} s apart")


def _hold_clears(found: Measured, numbers: Owner) -> Verdict:
    check = "hold_clears_quick_restart"
    window = numbers.restart_window_s if numbers.restart_window_s is not None else WINDOW_S
    cleared: list[float] = []
    starts, cold = _starts_after_hold(found), None
    for spool, waited in starts:
        if not spool.kind_told:
            continue
        swap = found.swap_before(spool)
        if swap is not None and spool.kind == "soft_spool":
            cold = spool
            continue
        if spool.kind == "quick_spool":
            return Verdict(
                check=check,
                verdict=Outcome.FAIL,
                reason=f"the start at {spool.start_s:.1f} s came out of throttle hold and was quick: "
                "hold does not clear the quick restart",
            )
        cleared.append(waited)
    if cold is not None and not cleared:
        why = (
            f"the start at {cold.start_s:.1f} s, out of hold, was soft, but before it another pack was put in, or may "
            "have been: a controller that was without power has nothing to clear"
        )
        return Verdict.unknown(
            check, why, needs=("a bench log: governed, hold, start again on the same pack, blades off",)
        )
    if starts and not cleared:
        why = f"the log does not show whether the start at {starts[0][0].start_s:.1f} s, out of hold, was quick or soft"
        return Verdict.unknown(check, why, needs=("head_speed_rpm",))
    if not cleared:
        return Verdict.unknown(
            check, "the motor was not started again after a flight and throttle hold",
            needs=("a bench log: governed, hold, start again within a minute, blades off",),
        )  # fmt: skip
    soonest = min(cleared)
    if soonest > window:
        return Verdict.unknown(
            check, f"the start came {soonest:.0f} s after governed running, when the quick restart may have lapsed",
            needs=("a start sooner after hold",),
        )  # fmt: skip
    return Verdict(
        check=check,
        verdict=Outcome.PASS,
        reason=f"started softly {soonest:.0f} s after governed running, out of throttle hold",
    )


def _starts_after_hold(found: Measured) -> list[tuple[Stretch, float]]:
    """Return each start that came out of throttle hold after governed running, and the time since that running."""
    starts: list[tuple[Stretch, float]] = []
    governed_until: float | None = None
    for stretch in found.stretches:
        if stretch.kind == "governed":
            governed_until = stretch.end_s
        if stretch.kind not in ("soft_spool", "quick_spool") or governed_until is None or found.hold_percent is None:
            continue
        earlier = command_before(found.asked, stretch.asked_s)
        if earlier and same_position(earlier.percent, found.hold_percent):
            starts.append((stretch, stretch.start_s - governed_until))
    return starts


def _pairs(found: Measured) -> list[tuple[Stretch, Stretch]]:
    return list(zip(found.stretches[:-1], found.stretches[1:], strict=True))
