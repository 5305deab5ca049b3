"""The judge and simulated flights: what a log tells a replay, and how far a simulation may be believed."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from steadyhead.flight.assumed import doubted
from steadyhead.flight.replay import Learned
from steadyhead.flight.result import Flight
from steadyhead.judge.advice import HOLD_ADVICE
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict, worst


def simulated(judgement: Judgement, flight: Flight, machine: Machine, seen: Judgement | None = None) -> Judgement:
    """Return the judgement of a simulated flight: no pass on what was assumed, and none when it broke off.

    `seen` is the judged log of a replay: what its rows are too far apart to show, the replay cannot show either.
    """
    judgement = judgement if seen is None else _as_fine_as_its_log(judgement, seen.trace, machine)
    checks = doubted(judgement.checks, flight.assumptions, machine)
    if not flight.whole:
        checks = (*checks, Verdict(check="flight_ran_to_its_end", verdict=Outcome.FAIL, reason=flight.ended))
    hard = [touch for touch in flight.touchdowns if touch.sink_m_s > HARD_SINK_M_S]
    warnings = [f"the machine met the ground at {t.time_s:.1f} s with a sink of {t.sink_m_s:.1f} m/s" for t in hard]
    return replace(
        judgement,
        checks=checks,
        verdict=worst(check.verdict for check in checks),
        warnings=(*judgement.warnings, *warnings, *(assumed.says for assumed in flight.assumptions)),
        unknowns=tuple(dict.fromkeys((*judgement.unknowns, *(need for check in checks for need in check.needs)))),
    )


def _as_fine_as_its_log(judgement: Judgement, log: Trace, machine: Machine) -> Judgement:
    limit = machine.limit("limits.hold_stop")
    apart_s = float(np.median(np.diff(log.time_s))) if log.time_s.size > 1 else np.inf
    if limit is None or apart_s < limit.value:
        return judgement
    why = f"the replayed log has a row only every {apart_s:.2g} s: the switch to throttle hold is no sharper than that"
    blind = Verdict.unknown("hold_stops_motor", why, needs=("a log with more rows a second",))
    return replace(
        judgement,
        checks=tuple(blind if check.check == blind.check else check for check in judgement.checks),
        advice=tuple(line for line in judgement.advice if line != HOLD_ADVICE),
    )


HARD_SINK_M_S = 1.5
"""A touchdown faster than this is no landing; common practice, no source."""


SPOOLS = ("soft_spool", "quick_spool")


def learned(judgement: Judgement) -> Learned:
    """Return what a judged log tells a replay of it: set speeds over channel values, flight, spool times."""
    spools = {kind: _spool_s(judgement, kind) for kind in SPOOLS}
    return Learned(
        law=law_seen(judgement),
        airborne=any(segment.airborne for segment in judgement.segments),
        soft_spool_s=spools["soft_spool"],
        quick_spool_s=spools["quick_spool"],
    )


def law_seen(judgement: Judgement) -> tuple[tuple[float, float], ...]:
    """Return (channel percent, set head speed rpm) of every governed stretch of a log that has both."""
    throttle, time_s = judgement.trace.get("throttle_percent"), judgement.trace.time_s
    if throttle is None:
        return ()
    seen: dict[float, float] = {}
    for segment in judgement.segments:
        inside = (time_s >= segment.start_s) & (time_s < segment.end_s) & np.isfinite(throttle)
        if segment.kind == "governed" and segment.set_rpm is not None and inside.any():
            seen.setdefault(round(float(np.median(throttle[inside])), 1), segment.set_rpm)
    return tuple(sorted(seen.items()))


def _spool_s(judgement: Judgement, kind: str) -> float | None:
    """Return how long the first whole spool-up of a kind took, s."""
    for spool, after in pairwise(judgement.segments):
        if spool.kind == kind and after.kind == "governed" and spool.end_s > spool.start_s:
            return spool.end_s - spool.start_s
    return None
