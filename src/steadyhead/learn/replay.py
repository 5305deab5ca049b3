"""Whether the proposed machine explains the logs better than the file: their inputs flown with both."""

import math
from collections.abc import Container, Sequence
from pathlib import Path
from typing import NamedTuple

from steadyhead.flight.replay import replayed
from steadyhead.flight.residuals import residuals
from steadyhead.judge.flown import learned
from steadyhead.judge.result import Judgement
from steadyhead.learn.result import FlownLog, Replayed
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError, SolveError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict

CHECK = "new_file_explains_logs_better"
UNITS = {"head_speed_rpm": "rpm", "pack_current_a": "A", "pack_voltage_v": "V", "duty": ""}
"""Figures that old and new are held against the log by."""
BETTER_SHARE = 0.02
"""By so much must the residuals shrink on the mean, lest rounding decide; own choice."""
LOOK_FIRST = "; look at the figures that grew before you take anything over"
DRIVEN = ("soft_spool", "quick_spool", "governed")


LEVEL_FREE = ("pack_voltage_v",)
"""Figures that may lie off by a constant: the open-circuit voltage of a make is no matter of the fitted numbers."""


class Sums(NamedTuple):
    """Sums over the seconds of a log: of residuals and of their squares."""

    mean: float
    square: float
    seconds: float


def flown_logs(
    old: Machine, new: Machine, seen: Sequence[Judgement], say: Say = silent, bare: Container[str] = ()
) -> tuple[FlownLog, ...]:
    """Return every log that can be flown, with what each machine makes of its inputs; the others are left out.

    `bare` names the logs of a head without blades.
    """
    found = []
    for one in seen:
        say(f"fly the inputs of {Path(one.log).name}")
        before, after = (_flown(machine, one, bare=one.log in bare) for machine in (old, new))
        driven = tuple((s.kind, s.start_s, s.end_s) for s in one.segments if s.kind in DRIVEN)
        if before is not None and after is not None and driven:
            found.append(FlownLog(log=one.trace, before=before, after=after, driven=driven))
    return tuple(found)


def replays(flown: Sequence[FlownLog]) -> tuple[Replayed, ...]:
    """Return how far each machine lies from each log, figure by figure.

    Valid: while the motor drives; root mean square over time, simulation less log, of voltage that about its mean.
    """
    found: list[Replayed] = []
    for one in flown:
        before, after = (_gaps(ours, one) for ours in (one.before, one.after))
        found += [
            Replayed(log=one.log.source, figure=figure, unit=unit, before_rms=before[figure], after_rms=after[figure])
            for figure, unit in UNITS.items()
            if figure in before and figure in after
        ]
    return tuple(found)


def explains_better(found: Sequence[Replayed]) -> Verdict:
    """Judge whether the new file explains the logs better than the old one.

    Pass when the residuals shrink on the geometric mean over figures and logs; else unknown, never fail. Where they
    grow by as much as would have passed, the new file is said to explain the logs worse.
    """
    pairs = [(one.before_rms, one.after_rms) for one in found if one.before_rms > 0.0 and one.after_rms > 0.0]
    if not pairs:
        needs = ("the throttle channel, and collective or pack current with voltage",)
        why = (
            "no log could be replayed with the new file: none holds what a flight is flown with, or the new file does "
            "not fly it"
        )
        return Verdict.unknown(CHECK, why, needs=needs)
    share = math.exp(sum(math.log(after / before) for before, after in pairs) / len(pairs))
    better, worse = share <= 1.0 - BETTER_SHARE, share >= 1.0 / (1.0 - BETTER_SHARE)
    how = "better" if better else "worse" if worse else "no better"
    says = f"flown with the inputs of the logs, the new file leaves {share:.2f} times what the old one leaves"
    return Verdict(
        check=CHECK,
        verdict=Outcome.PASS if better else Outcome.UNKNOWN,
        reason=f"the new file explains the logs {how}: {says}{LOOK_FIRST if worse else ''}",
        figure=share,
        unit="of what was left over",
        limit=1.0 - BETTER_SHARE,
        limit_text=f"<= {1.0 - BETTER_SHARE:g} of what was left over",
        limit_origin="own choice: so much must be gained, lest rounding decide",
        needs=() if better else ("a log that shows more, or another cause: a changed part, another machine",),
    )


def _gaps(ours: Trace, flown: FlownLog) -> dict[str, float]:
    """Return the root mean square of simulation less log by figure; of voltage that about its mean."""
    sums: dict[str, Sums] = {}
    for one in residuals(ours, flown.log, flown.driven):
        seconds = one.end_s - one.start_s
        had = sums.get(one.figure, Sums(0.0, 0.0, 0.0))
        more = one.mean * seconds, one.rms**2 * seconds, seconds
        sums[one.figure] = Sums(*(a + b for a, b in zip(had, more, strict=True)))
    level = {figure: s.mean / s.seconds if figure in LEVEL_FREE else 0.0 for figure, s in sums.items()}
    return {figure: math.sqrt(max(s.square / s.seconds - level[figure] ** 2, 0.0)) for figure, s in sums.items()}


def _flown(machine: Machine, seen: Judgement, *, bare: bool) -> Trace | None:
    """Return what a machine flies with the inputs of a log; None where the log lacks them or the numbers run away."""
    try:
        flight = replayed(machine, seen.trace, learned(seen)._replace(bare=bare))
    except (InputError, SolveError):
        return None
    return flight.trace if flight.whole else None
