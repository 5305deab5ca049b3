"""How a start that the log shows differs from the owner's run logic: when it came, and on which ramp."""

from collections.abc import Iterator
from math import sqrt

from steadyhead.channel.run_logic import RunLogic
from steadyhead.judge.bail_outs import TAKEN_BACK_S
from steadyhead.judge.conformance_replay import AT_REST, Start, seen_starts
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.measured import Measured
from steadyhead.judge.ramp import QUICK_BELOW_S, QUICK_ITSELF_S
from steadyhead.judge.segments import Stretch
from steadyhead.judge.start_begun import begun_s, off_until_s, shows_late

EDGE_S = 0.15
"""How well the foot of a ramp is read; common practice, no source."""
RAMP_UNTOLD = "but the log does not show for certain which ramp it was"
DELAY_UNSAID = "but the file does not say whether its delay, as measured from rest, holds with a turning head"
DELAY_NEEDS = ("run_logic.start_delay as it is with the head turning, blades off",)
RAMP_NEEDS = ("a soft start from rest of 10 s or more", "duty")


def not_waited(found: Measured, logic: RunLogic, before: Stretch, spool: Stretch) -> Disagreement | None:
    """Return a start that was asked for and came before the start delay was over; None where it is another thing.

    The delay holds every start of a motor that is off. Where the head still turned it may have been measured from rest
    alone: that is not told.
    """
    command = next((c for c in reversed(found.asked) if c.start_s <= spool.start_s + EDGE_S), None)
    waited_s, delay_s = spool.start_s - spool.asked_s, logic.start_delay_s or 0.0
    if command is None or logic.start_percent is None or command.percent <= logic.start_percent or waited_s >= delay_s:
        return None
    return Disagreement(
        at_s=spool.start_s,
        kind="early start",
        is_dangerous=not _delay_unsaid(before, spool),
        says=f"the start at {spool.start_s:.1f} s came {waited_s:.2f} s after the channel asked for it, where a motor "
        f"that is off waits {delay_s:.3g} s by the machine file",
        doubt=_delay_unsaid(before, spool),
        needs=DELAY_NEEDS,
    )


def _delay_unsaid(before: Stretch, spool: Stretch) -> str:
    """Say why a start sooner than the start delay need be no fault; nothing from rest, nor on the slow ramp."""
    return "" if before.kind in AT_REST or spool.kind == "soft_spool" else DELAY_UNSAID


def unasked(found: Measured, before: Stretch, spool: Stretch) -> Disagreement:
    """Return a start where the logic stays off."""
    where = "from rest" if before.kind in AT_REST else "out of " + before.kind
    return Disagreement(
        at_s=spool.start_s,
        kind="unasked start",
        is_dangerous=True,
        says=f"the motor started {where} at {spool.start_s:.1f} s with the channel at {_percent(found, spool)}, "
        "where the run logic says it stays off",
    )


def otherwise_started(
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
    elif not _ramp_is_told(found, spool) and not _is_taken_back(found, spool):
        ramp = "the quick ramp" if start.is_quick else "the slow ramp"
        says = f"{at} is {ramp} by the run logic"
        told.append(
            Disagreement(
                at_s=spool.start_s,
                kind="ramp not told",
                is_dangerous=False,
                says=says,
                doubt=RAMP_UNTOLD,
                needs=RAMP_NEEDS,
            )
        )
    told.extend(_mistimed(found, before, spool, start, doubt_s))
    return told


def _mistimed(found: Measured, before: Stretch, spool: Stretch, start: Start, doubt_s: float) -> Iterator[Disagreement]:
    """Return a start that came sooner or later than the logic has it; later by when the controller began it."""
    surely_early = start.time_s - off_until_s(found.signals, spool.start_s, start.time_s) > doubt_s
    early_s = start.time_s - spool.start_s if surely_early else 0.0
    late_s = begun_s(found.signals, spool.asked_s, spool.start_s) - start.time_s
    if not spool.start_seen or max(early_s, late_s) <= doubt_s:
        return
    is_early = early_s > doubt_s
    says = f"the start at {spool.start_s:.1f} s came {max(early_s, late_s):.2f} s {'early' if is_early else 'late'}"
    yield Disagreement(
        at_s=spool.start_s,
        kind="early start" if is_early else "late start",
        is_dangerous=is_early,
        says=f"{says}, against the start threshold and the start delay of the run logic",
        doubt=_delay_unsaid(before, spool) if is_early else shows_late(found, spool.asked_s, spool.start_s),
        needs=DELAY_NEEDS if is_early else ("duty",),
    )


def _ramp_is_told(found: Measured, spool: Stretch) -> bool:
    """Whether the log tells a quick ramp from a soft one; one that was taken back at once is neither."""
    return spool.kind_told and not _is_taken_back(found, spool)


def _is_taken_back(found: Measured, spool: Stretch) -> bool:
    at_once = not spool.reached_set and spool.kind != "governed" and spool.end_s - spool.asked_s < TAKEN_BACK_S
    return at_once and spool.end_s < found.signals.end_s


def quick_from_rest(
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


def quick_from_rest_unsaid(found: Measured, logic: RunLogic) -> Iterator[Disagreement]:
    """Return every quick ramp of a standing head, where the file does not say all of its logic nor that it may be so.

    Quick is what is clearly faster than the soft start of the log, and takes less than the slowest quick start.
    """
    if logic.permits and logic.permission is not None and logic.needs_turning_head is False:
        return
    for before, spool in seen_starts(found):
        stood = spool.kind == "quick_spool" and spool.kind_told and before.kind in AT_REST and spool.reached_set
        if not stood or spool.end_s - spool.start_s >= QUICK_BELOW_S:
            continue
        lost_s = found.signals.hidden_s(before.start_s, spool.end_s + EDGE_S)
        if lost_s == 0.0:
            yield Disagreement(
                at_s=spool.start_s,
                kind="unearned quick ramp",
                is_dangerous=True,
                says=f"the start at {spool.start_s:.1f} s was quick from rest, where nothing in the machine file says "
                "that a standing head may get the quick ramp",
            )


def _percent(found: Measured, spool: Stretch) -> str:
    earlier = [command for command in found.asked if command.start_s <= spool.start_s]
    return f"{earlier[-1].percent:.1f} %" if earlier else "an unknown value"
