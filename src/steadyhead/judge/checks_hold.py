"""Judges throttle hold: that it stops the motor, keeps it off, and clears the quick restart."""

from dataclasses import replace

from steadyhead.judge.checks_restart import WINDOW_S
from steadyhead.judge.commands import command_before, same_position
from steadyhead.judge.driving import OFF_DUTY
from steadyhead.judge.hold import HoldStop
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.segments import Stretch
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

IN_HOLD = "a bench log in throttle hold with duty, current and speed in quick rows, blades off"

SLOW_HEAD = "a bench log: governed, hold until the head turns at less than half, start again, blades off"


def hold_stops_motor(found: Measured, machine: Machine) -> Verdict:
    """Judge that throttle hold took the motor away soon enough, and that it stayed off until hold was let go."""
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
    seen = [stop for stop in found.holds if stop.seen]
    timed = _timed(seen, machine) if seen else None
    if timed is not None and timed.verdict is Outcome.FAIL:
        return timed
    doubtful = may_drive(found)
    if doubtful is not None:
        return doubtful
    if timed is None or len(seen) < len(found.holds):
        return Verdict.unknown(
            "hold_stops_motor", "without the controller's duty the log cannot show that the motor is off within 0.1 s",
            needs=("duty",),
        )  # fmt: skip
    return timed


def may_drive(found: Measured) -> Verdict | None:
    """Return unknown, or fail, where the motor was not off in throttle hold, or came back, and None where it was."""
    turning = [(stop.at_s, stop.turns_on) for stop in found.holds if stop.turns_on is not None]
    sure = next((f"from {at_s:.1f} s on the motor is not off: {one.says}" for at_s, one in turning if one.is_sure), "")
    if sure:
        return Verdict(check="hold_stops_motor", verdict=Outcome.FAIL, reason=f"in throttle hold {sure}")
    doubtful = [stop for stop in found.holds if stop.may_be_back_s is not None]
    if doubtful:
        return Verdict.unknown(
            "hold_stops_motor",
            f"in throttle hold from {doubtful[0].at_s:.1f} s on the motor may have come back at "
            f"{doubtful[0].may_be_back_s:.1f} s; few rows say so, or one channel against another",
            needs=(IN_HOLD,),
        )
    if turning:
        at_s, one = turning[0]
        why = f"in throttle hold from {at_s:.1f} s on the motor may not be off: {one.says}"
        return Verdict.unknown("hold_stops_motor", why, needs=(IN_HOLD,))
    hidden = next((stop.hidden for stop in found.holds if stop.seen and stop.hidden is not None), None)
    if hidden is None:
        return None
    why = f"in throttle hold rows or values are missing from {hidden[0]:.1f} s to {hidden[1]:.1f} s"
    return Verdict.unknown("hold_stops_motor", why, needs=("a log without holes in throttle hold",))


def _timed(stops: list[HoldStop], machine: Machine) -> Verdict:
    """Judge how soon the motor was off, by the slowest stop."""
    slowest = max(stops, key=lambda h: h.after_s or 0.0)
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
        what=f"time from throttle hold at {slowest.at_s:.1f} s until the duty is {100.0 * OFF_DUTY:.0f} % or less",
        interval=(max(after - slowest.doubt_s, 0.0), after + slowest.doubt_s),
    )
    return replace(verdict, reason=f"{verdict.reason}; rows are {2.0 * slowest.doubt_s:.2g} s apart")


def hold_clears(found: Measured, numbers: Owner) -> Verdict:
    """Judge that a start out of throttle hold after governed running was a soft one."""
    check = "hold_clears_quick_restart"
    window = numbers.restart_window_s if numbers.restart_window_s is not None else WINDOW_S
    cleared: list[float] = []
    quick: list[float] = []
    starts, cold = _starts_after_hold(found), None
    for spool, waited in starts:
        if not spool.kind_told:
            continue
        swap = found.swap_before(spool)
        if swap is not None and spool.kind == "soft_spool":
            cold = spool
            continue
        if spool.kind == "quick_spool" and spool.beats_soft:
            return Verdict(
                check=check,
                verdict=Outcome.FAIL,
                reason=f"the start at {spool.start_s:.1f} s came out of throttle hold and was quick: "
                "hold does not clear the quick restart",
            )
        if spool.kind == "quick_spool":
            quick.append(spool.start_s)
            continue
        cleared.append(waited)
    if quick:
        why = (
            f"the start at {quick[0]:.1f} s came out of throttle hold and was as quick as a quick restart: hold may "
            "not clear it, or the soft ramp begins at the speed that the head still has"
        )
        return Verdict.unknown(check, why, needs=(SLOW_HEAD,))
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
        return Verdict.unknown(
            check, why, needs=(SLOW_HEAD if found.signals.speed_rpm is not None else "head_speed_rpm",)
        )
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
        if stretch.by_itself:
            continue
        earlier = command_before(found.asked, stretch.asked_s)
        if earlier and same_position(earlier.percent, found.hold_percent):
            starts.append((stretch, stretch.start_s - governed_until))
    return starts
