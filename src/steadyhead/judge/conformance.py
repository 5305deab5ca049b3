"""Whether the motor did what the owner's run logic says, start by start: played through the same transition."""

from steadyhead.channel.run_logic import RunLogic
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.channel.switch_rules import NAMED_LIKE, how_to_measure, unknown
from steadyhead.judge.checks_hold import may_drive
from steadyhead.judge.checks_restart import ramps_not_told
from steadyhead.judge.conformance_cut import cuts
from steadyhead.judge.conformance_hold import by_speed_alone, driven_in_hold, unseen_in_hold
from steadyhead.judge.conformance_idle import driven_in_idle_band, idles_on_where_off
from steadyhead.judge.conformance_replay import Start, logic_starts, may_stand_unseen, seen_starts
from steadyhead.judge.conformance_starts import (
    RAMP_NEEDS,
    RAMP_UNTOLD,
    not_waited,
    otherwise_started,
    quick_from_rest,
    quick_from_rest_unsaid,
    unasked,
)
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.measured import Measured
from steadyhead.judge.segments import DRIVEN
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "run_logic_conformance"
DELAY_DOUBT_S = 0.3
"""How far a start may lie from the logic's: how well the foot of a ramp is read; common practice, no source."""
UNSEEN_NEEDS = ("duty", "motor_side_speed_rpm")
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
HEAD_UNSEEN = "but only the motor side was measured, and which ramp is right hangs on whether the head still turned"
NO_SPEED = "without a speed the log does not show how the motor started"
ARMING = ("run_logic.arm_time", "run_logic.arm_visits")


def conformance(found: Measured, machine: Machine) -> Verdict:
    """Judge that every start in the log came when and as the machine's run logic says, whatever the jitter."""
    if not found.channel_seen:
        return Verdict.unknown(CHECK, "the log has no throttle channel", needs=("throttle_percent",))
    logic = run_logic(machine)
    missing = unknown(_asked(logic), logic)
    if missing:
        anyway = (*(each for each in cuts(found) if not each.doubt), *quick_from_rest_unsaid(found, logic))
        if anyway:
            return _otherwise(anyway)
        how = "; ".join(f"{key}: {how_to_measure(key)}" for key in missing)
        return Verdict.unknown(CHECK, f"the run logic is not known, blades off: {how}", needs=missing)
    if found.signals.speed_rpm is None and found.signals.duty is None:
        return Verdict.unknown(CHECK, NO_SPEED, needs=("head_speed_rpm",))
    guard = logic.guard_percent + max(logic.stop_spread_percent, logic.start_spread_percent)
    plays = [logic_starts(found, logic, off) for off in (0.0, -guard, guard)]
    told = [disagreements(found, starts, logic) for starts in plays]
    if not seen_starts(found) and not any(plays) and not any(stop.seen for stop in found.holds):
        return Verdict.unknown(CHECK, "the motor was not started in this log", needs=("a log with a start",))
    return (
        _with_a_head_unseen(found, logic, told[0])
        or _told(told)
        or _not_shown(found, machine)
        or _as_the_logic_says(found)
    )


def _with_a_head_unseen(found: Measured, logic: RunLogic, told: tuple[Disagreement, ...]) -> Verdict | None:
    """Return unknown where the logic asks whether the head turns, only the motor was measured, and that decides."""
    if not logic.needs_turning_head or not may_stand_unseen(found):
        return None
    stands = disagreements(found, logic_starts(found, logic, 0.0, unseen_head_stands=True), logic)
    if bool(stands) == bool(told):
        return None
    return Verdict.unknown(CHECK, f"{(stands or told)[0].says}; {HEAD_UNSEEN}", needs=("head_speed_rpm",))


def _told(told: list[tuple[Disagreement, ...]]) -> Verdict | None:
    """Return what disagrees, with the channel as it is and moved by its jitter either way; None where nothing does."""
    if not any(told):
        return None
    first = next(each for each in told if each)[0]
    if not all(told):
        why = f"{first.says}; the channel lies so near a threshold that jitter decides"
        return Verdict.unknown(CHECK, why, needs=("channel.cut_off", "channel.start"))
    sure = tuple(each for each in told[0] if not each.doubt)
    return _otherwise(sure) if sure else Verdict.unknown(CHECK, f"{first.says}; {first.doubt}", needs=first.needs)


def _not_shown(found: Measured, machine: Machine) -> Verdict | None:
    """Return unknown where nothing disagrees, but the log does not show all that would have to agree."""
    if found.signals.speed_rpm is None:
        return Verdict.unknown(CHECK, NO_SPEED, needs=("head_speed_rpm",))
    untold = ramps_not_told(found, machine)
    if untold:
        says = f"the starts came when the run logic says, the bail-out at {untold[0]:.1f} s among them, {RAMP_UNTOLD}"
        return Verdict.unknown(CHECK, says, needs=RAMP_NEEDS)
    driven = may_drive(found)
    if driven is not None:
        return Verdict.unknown(CHECK, f"the starts are as the run logic says; {driven.reason}", needs=driven.needs)
    unseen = unseen_in_hold(found)
    if unseen:
        return Verdict.unknown(CHECK, f"the starts are as the run logic says; {unseen}", needs=UNSEEN_NEEDS)
    return None


def _as_the_logic_says(found: Measured) -> Verdict:
    holds = sum(stop.seen for stop in found.holds)
    return Verdict(
        check=CHECK,
        verdict=Outcome.PASS,
        reason=f"as the run logic says: {len(seen_starts(found))} starts, {holds} throttle holds that stopped the motor"
        f"{by_speed_alone(found)}",
    )


def disagreements(found: Measured, starts: tuple[Start, ...], logic: RunLogic) -> tuple[Disagreement, ...]:
    """Return what the motor did otherwise than the logic with these starts, the dangerous first."""
    doubt_s = DELAY_DOUBT_S + 2.0 * found.signals.interval_s
    left = list(starts)
    told = [*cuts(found), *driven_in_hold(found, logic, doubt_s)]
    for before, spool in seen_starts(found):
        if spool.by_itself:
            continue
        latest_s = min(spool.end_s, spool.start_s + SAME_START_S)
        match = next((s for s in left if spool.asked_s - doubt_s <= s.time_s <= latest_s), None)
        if match is None:
            told.append(not_waited(found, logic, before, spool) or unasked(found, before, spool))
            continue
        left.remove(match)
        told.extend(otherwise_started(found, before, spool, match, doubt_s))
        told.extend(quick_from_rest(found, logic, before, spool, match))
    told.extend(driven_in_idle_band(found, logic))
    told.extend(idles_on_where_off(found, logic, doubt_s))
    told.extend(_missed(found, start) for start in left if _shows_nothing(found, start.time_s))
    return tuple(sorted(told, key=lambda each: (not each.is_dangerous, each.at_s)))


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
