"""One flight mode over all conditions, and what is wrong with it in one sentence a check."""

from collections.abc import Sequence

from steadyhead.plan.conditions import condition
from steadyhead.plan.loads import LOADS
from steadyhead.plan.result import ConditionFigures, ModePlan
from steadyhead.plan.solved import Solved
from steadyhead.words.verdict import Outcome, Verdict, worst

NO_FLIGHT = "it cannot hover at this head speed, not even on a full pack"


def mode_plan(solved: Solved, mode: int) -> ModePlan:
    """Return one flight mode of a solved machine, judged over all its conditions."""
    row = solved.machine.flight_mode[mode]
    conditions = tuple(
        condition(solved, mode, load, state) for load in range(len(LOADS)) for state in range(len(solved.train.states))
    )
    time_s = float(solved.central.hover_time_s[mode])
    reasons = list(worst_of_each(conditions))
    if time_s <= 0.0:
        reasons.insert(0, NO_FLIGHT)
    return ModePlan(
        mode=row.name,
        head_speed_rpm=float(solved.central.figures[mode, 0, 0, 0]),
        conditions=conditions,
        flight_time_s=time_s,
        flight_time_s_interval=(
            max(float(solved.hover_time_s.low[mode]), 0.0),
            float(solved.hover_time_s.high[mode]),
        ),
        verdict=worst(one.verdict for one in conditions),
        reasons=tuple(reasons),
    )


def worst_of_each(conditions: Sequence[ConditionFigures]) -> tuple[str, ...]:
    """Return one sentence for every check that is not passed everywhere: where it is worst, and how often."""
    found: dict[str, list[tuple[ConditionFigures, Verdict]]] = {}
    for one in conditions:
        for check in one.checks:
            found.setdefault(check.check, []).append((one, check))
    outcomes = {name: worst(check.verdict for _, check in pairs) for name, pairs in found.items()}
    return tuple(
        _says(found[name], outcome)
        for wanted in (Outcome.FAIL, Outcome.UNKNOWN)
        for name, outcome in outcomes.items()
        if outcome is wanted
    )


def worst_check(conditions: Sequence[ConditionFigures], name: str) -> tuple[ConditionFigures, Verdict]:
    """Return one check where it is worst over the conditions: failed before unknown, then furthest beyond its limit."""
    pairs = [(one, check) for one in conditions for check in one.checks if check.check == name]
    outcome = worst(check.verdict for _, check in pairs)
    return max((pair for pair in pairs if pair[1].verdict is outcome), key=lambda pair: _excess(pair[1]))


def _says(pairs: list[tuple[ConditionFigures, Verdict]], outcome: Outcome) -> str:
    """Return how often a check ends so, and its worst place."""
    such = [pair for pair in pairs if pair[1].verdict is outcome]
    one, check = max(such, key=lambda pair: _excess(pair[1]))
    how = "fails" if outcome is Outcome.FAIL else "is unknown"
    often = f"in {len(such)} of {len(pairs)} conditions"
    return f"{check.check.replace('_', ' ')} {how} {often}, worst in {one.condition}: {check.reason}"


def _excess(check: Verdict) -> float:
    """Return how far a figure is beyond its limit, as a share of it; without a limit, the figure itself."""
    if check.figure is None:
        return 0.0
    if check.limit is None:
        return check.figure
    sign = -1.0 if check.limit_text.startswith(">=") else 1.0
    return sign * (check.figure - check.limit) / abs(check.limit) if check.limit else sign * check.figure
