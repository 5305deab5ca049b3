"""Whether the motor did what the owner's run logic says, start by start: played through the same transition."""

from collections.abc import Iterator
from math import sqrt

from steadyhead.channel.run_logic import RunLogic
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.channel.switch_rules import NAMED_LIKE, how_to_measure, unknown
from steadyhead.judge.bail_outs import TAKEN_BACK_S
from steadyhead.judge.conformance_hold import by_speed_alone, driven_in_hold
from steadyhead.judge.conformance_replay import Start, logic_starts, seen_starts
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.measured import Measured
from steadyhead.judge.ramp import QUICK_BELOW_S, QUICK_ITSELF_S
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "run_logic_conformance"
DELAY_DOUBT_S = 0.3
"""How far a start may lie from the logic's: how well the foot of a ramp is read; common practice, no source."""
EDGE_S = 0.15
"""How well the foot of a ramp is read; common practice, no source."""
AT_REST = ("rest", "stopped")
RAMP_UNTOLD = "but the log does not show for certain which ramp it was"
RAMP_NEEDS = ("a soft start from rest of 10 s or more", "duty")
SAME_START_S = 5.0
"""A start of the logic this much later is another one; common practice, no source."""
NEVER_ASKED = ("run_logic.cleared_below", "governor.soft_spool", "governor.quick_spool", "channel.ramp_rate",
               "channel.hold_rate", "run_logic.stop_delay")  # fmt: skip
"""Settings that this comparison can do without: the log itself shows the moving channel and the ramps."""
QUICK_KEYS = (
    "run_logic.governed_before",
    "run_logic.quick_restart_window",
    "run_logic.cleared_after",
    "run_logic.counts_spool_up",
    "run_logic.needs_turning_head",
)
NO_SPEED = "without a speed the log does not show how the motor started"
ARMING = ("run_logic.arm_time", "run_logic.arm_visits")


def conformance(found: Measured, machine: Machine) -> Verdict:
    """Judge that every start in the log came when and as the machine's run logic says, whatever the jitter."""
    if not found.channel_seen:
        return Verdict.unknown(CHECK, "the log has no throttle channel", needs=("throttle_percent",))
    logic = run_logic(machine)
    missing = unknown(_asked(logic), logic)
    if missing:
        how = "; ".join(f"{key}: {how_to_measure(key)}" for key in missing)
        return Verdict.unknown(CHECK, f"the run logic is not known, blades off: {how}", needs=missing)
    if found.signals.speed_rpm is None and found.signals.duty is None:
        return Verdict.unknown(CHECK, NO_SPEED, needs=("head_speed_rpm",))
    guard = logic.guard_percent + max(logic.stop_spread_percent, logic.start_spread_percent)
    plays = [logic_starts(found, logic, off) for off in (0.0, -guard, guard)]
    told = [disagreements(found, starts, logic) for starts in plays]
    seen = seen_starts(found)
    holds = [stop for stop in found.holds if stop.seen]
    if not seen and not holds and not any(plays):
        return Verdict.unknown(CHECK, "the motor was not started in this log", needs=("a log with a start",))
    if all(told):
        sure = tuple(each for each in told[0] if not each.doubt)
        if sure:
            return _otherwise(sure)
        return Verdict.unknown(CHECK, f"{told[0][0].says}; {told[0][0].doubt}", needs=told[0][0].needs)
    if any(told):
        first = next(each for each in told if each)[0]
        return Verdict.unknown(
            CHECK,
            f"{first.says}; the channel lies so near a threshold that jitter decides",
            needs=("channel.cut_off", "channel.start"),
        )
    if found.signals.speed_rpm is None:
        return Verdict.unknown(CHECK, NO_SPEED, needs=("head_speed_rpm",))
    return Verdict(
        check=CHECK,
        verdict=Outcome.PASS,
        reason=f"as the run logic says: {len(seen)} starts, {len(holds)} throttle holds that stopped the motor"
        f"{by_speed_alone(found)}",
    )


def disagreements(found: Measured, starts: tuple[Start, ...], logic: RunLogic) -> tuple[Disagreement, ...]:
    """Return what the motor did otherwise than the logic with these starts, the dangerous first."""
    doubt_s = DELAY_DOUBT_S + 2.0 * found.signals.interval_s
    left = list(starts)
    told = list(driven_in_hold(found, logic, doubt_s))
    for before, spool in seen_starts(found):
        latest_s = min(spool.end_s, spool.start_s + SAME_START_S)
        match = next((s for s in left if spool.asked_s - doubt_s <= s.time_s <= latest_s), None)
        if match is None:
            told.append(_unasked(found, before, spool))
            continue
        left.remove(match)
        told.extend(_otherwise_started(found, before, spool, match, doubt_s))
        told.extend(_quick_from_rest(found, logic, before, spool, match))
    told.extend(_missed(found, start) for start in left if _shows_nothing(found, start.time_s))
    return tuple(sorted(told, key=lambda each: (not each.is_dangerous, each.at_s)))


def _unasked(found: Measured, before: Stretch, spool: Stretch) -> Disagreement:
    where = "from rest" if before.kind in AT_REST else "out of " + before.kind
    return Disagreement(
        at_s=spool.start_s,
        kind="unasked start",
        is_dangerous=True,
        says=f"the motor started {where} at {spool.start_s:.1f} s with the channel at {_percent(found, spool)}, "
        "where the run logic says it stays off",
    )


def _otherwise_started(
    found: Measured, before: Stretch, spool: Stretch, start: Start, doubt_s: float
) -> list[Disagreement]:
    """Return how a start that the logic has too differs from it."""
    told = []
    is_quick = spool.kind != "soft_spool"
    at = f"the start at {spool.start_s:.1f} s"
    if is_quick != start.is_quick:
        rest = " from rest" if before.kind in AT_REST else ""
        says = f"{at} was slow, where the run logic says quick: a bail-out would fail"
        says = f"{at} was quick{rest}, where the run logic says slow" if is_quick else says
        kind = "unearned quick ramp" if is_quick else "failed quick restart"
        doubt = "" if _ramp_is_told(found, spool) else RAMP_UNTOLD
        told.append(
            Disagreement(at_s=spool.start_s, kind=kind, is_dangerous=True, says=says, doubt=doubt, needs=RAMP_NEEDS)
        )
    late_s = spool.start_s - start.time_s
    if spool.start_seen and abs(late_s) > doubt_s:
        way = "late" if late_s > 0.0 else "early"
        says = f"{at} came {abs(late_s):.2f} s {way}, against the start threshold and the start delay of the run logic"
        told.append(Disagreement(at_s=spool.start_s, kind=f"{way} start", is_dangerous=late_s < 0.0, says=says))
    return told


def _ramp_is_told(found: Measured, spool: Stretch) -> bool:
    """Whether the log tells a quick ramp from a soft one; one that was taken back at once is neither."""
    at_once = not spool.reached_set and spool.kind != "governed" and spool.end_s - spool.asked_s < TAKEN_BACK_S
    return spool.kind_told and not (at_once and spool.end_s < found.signals.end_s)


def _quick_from_rest(
    found: Measured, logic: RunLogic, before: Stretch, spool: Stretch, start: Start
) -> Iterator[Disagreement]:
    """Return a start from rest that took no longer than a quick one, where the logic says slow.

    Equation: quick below root(soft quick) where the file says both, else below QUICK_ITSELF_S.
    Valid: the soft start of the file is not itself as short as that.
    """
    if start.is_quick or spool.kind != "soft_spool" or before.kind not in AT_REST or not spool.reached_set:
        return
    soft_s, quick_s = logic.soft_spool_s, logic.quick_spool_s
    below_s = sqrt(soft_s * quick_s) if soft_s and quick_s else QUICK_ITSELF_S
    took_s = spool.end_s - spool.start_s
    lost_s = found.signals.hidden_s(spool.asked_s, spool.end_s + EDGE_S)
    if (soft_s is not None and soft_s < QUICK_BELOW_S) or took_s + EDGE_S + found.signals.interval_s >= below_s:
        return
    file = f", soft start {soft_s:.3g} s by the machine file" if soft_s else ""
    yield Disagreement(
        at_s=spool.start_s,
        kind="unearned quick ramp",
        is_dangerous=True,
        says=f"the start from rest at {spool.start_s:.1f} s took {took_s:.1f} s, as a quick one does, where the run "
        f"logic says slow{file}",
        doubt="but rows or values are missing there" if lost_s > 0.0 else "",
        needs=("a log without holes at the start",),
    )


def _shows_nothing(found: Measured, time_s: float) -> bool:
    """Whether the motor is not driven at a time, well before the log ends."""
    at = [stretch for stretch in found.stretches if stretch.start_s <= time_s < stretch.end_s]
    return time_s < found.signals.end_s - 2.0 and not (at and at[0].kind in DRIVEN)


def _missed(found: Measured, start: Start) -> Disagreement:
    in_air = any(s.kind == "autorotation" and s.start_s <= start.time_s <= s.end_s for s in found.stretches)
    return Disagreement(
        at_s=start.time_s,
        kind="missing start",
        is_dangerous=in_air,
        says=f"the run logic says that the motor starts at {start.time_s:.1f} s, and it did not",
    )


def _otherwise(told: tuple[Disagreement, ...]) -> Verdict:
    """Judge a log in which the motor did otherwise; what is dangerous is named first."""
    danger = any(each.is_dangerous for each in told)
    says = "; ".join(each.says for each in told)
    lead = "dangerous: " if danger else ""
    return Verdict(
        check=CHECK,
        verdict=Outcome.FAIL,
        reason=f"{lead}{says}; measure the run logic again, or find what is wrong",
        figure=float(len(told)),
        unit="disagreements",
    )


def _asked(logic: RunLogic) -> tuple[str, ...]:
    """Return the settings without which nothing can be compared."""
    left_out = set(NEVER_ASKED)
    if not logic.permits:
        left_out |= set(QUICK_KEYS)
    if logic.arms_at_low_end is False:
        left_out |= set(ARMING)
    keys = [key for key in NAMED_LIKE if key not in left_out]
    if logic.permission == "time":
        keys.append("run_logic.cleared_below")
    return tuple(keys)


def _percent(found: Measured, spool: Stretch) -> str:
    earlier = [command for command in found.asked if command.start_s <= spool.start_s]
    return f"{earlier[-1].percent:.1f} %" if earlier else "an unknown value"
