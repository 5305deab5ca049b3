"""Margins and load steps held against their tolerances; what rests on typical gains is never a pass."""

from collections.abc import Sequence
from dataclasses import replace

from steadyhead.flight.governor_result import LoopFigures, StepTold
from steadyhead.flight.governor_tolerances import Tolerances
from steadyhead.flight.tuning_advice import GAIN_KEYS
from steadyhead.words.verdict import Limit, Outcome, Verdict

MOST_NAMED = 2
NEVER_S = 1e9
"""Stands for a recovery that never comes, where a figure is compared."""


def loop_checks(conditions: Sequence[LoopFigures], held: Tolerances, own: bool) -> tuple[Verdict, ...]:
    """Return the margins at their worst over all conditions."""
    solved = [one for one in conditions if one.solved]
    if not solved:
        why = "full duty holds the head speed in no condition"
        return tuple(Verdict.unknown(check, why) for check in ("modulus_margin", "gain_margin", "phase_margin"))
    least = min(solved, key=lambda one: one.modulus_margin)
    doubt = [one.modulus_margin_interval for one in solved if one.modulus_margin_interval]
    modulus = Verdict.at_least(
        "modulus_margin", least.modulus_margin, held.modulus, what=f"distance from hunting in {_at(least)}",
        interval=(min(low for low, _ in doubt), min(high for _, high in doubt)) if doubt else None,
    )  # fmt: skip
    checks = [modulus]
    for check, what, limit in (("gain_margin", "gain margin", held.gain), ("phase_margin", "phase margin", held.phase)):
        known = [(figure, one) for one in solved if (figure := _margin(one, check)) is not None]
        if not known:
            why = f"the open loop has no {what} below half the sample rate: it is far from hunting"
            stable = all(one.stable for one in solved)
            checks.append(Verdict(check=check, verdict=Outcome.PASS if stable else Outcome.FAIL, reason=why))
            continue
        figure, one = min(known, key=lambda pair: pair[0])
        checks.append(Verdict.at_least(check, figure, limit, what=f"{what} in {_at(one)}"))
    if not all(one.stable for one in solved):
        places = [_at(one) for one in solved if not one.stable]
        more = f" and {len(places) - MOST_NAMED} more conditions" if len(places) > MOST_NAMED else ""
        where = "; ".join(places[:MOST_NAMED]) + more
        checks = [replace(check, verdict=Outcome.FAIL, reason=f"the loop is unstable in {where}") for check in checks]
    return tuple(_doubted(check, own) for check in checks)


def step_checks(steps: Sequence[StepTold], held: Tolerances, own: bool) -> tuple[Verdict, ...]:
    """Return droop, overspeed and recovery at their worst over all load steps."""
    flown = [step for step in steps if step.solved]
    missing = [step for step in steps if not step.solved]
    rows: tuple[tuple[str, str, Limit | None], ...] = (
        ("climb_droop", "drop below the set speed", held.droop),
        ("overspeed", "rise above the set speed", held.overspeed),
        ("recovery", "time back into the band", held.recovery),
    )
    checks = []
    for check, what, limit in rows:
        if not flown:
            checks.append(Verdict.unknown(check, "full duty holds no load step"))
            continue
        step = max(flown, key=lambda one: _figure(one, check)[0])
        figure, spans = _figure(step, check)[0], [_figure(one, check)[1] for one in flown]
        # The worst step is at least as bad as each: its least figure is the greatest of theirs.
        interval = (max(low for low, _ in spans), max(high for _, high in spans))
        where = f"{what}, {step.step}, {step.mode}, {step.charge:.0%} charge"
        verdict = Verdict.at_most(check, figure, limit, what=where, interval=interval)
        if figure >= NEVER_S:
            never = f"the head is not back in the band by the end: {where}"
            verdict = replace(verdict, figure=None, figure_interval=None, reason=never)
        elif interval[1] >= NEVER_S:
            never = f"{where} is {figure:.2f} s, but on some machines of the spread the head is not back by the end"
            verdict = replace(verdict, figure_interval=None, reason=never)
        checks.append(_doubted(verdict, own))
    checks.append(_step_held(steps, missing))
    return tuple(checks)


def _step_held(steps: Sequence[StepTold], missing: Sequence[StepTold]) -> Verdict:
    """Return whether full duty holds both ends of every load step, on the machine described and on those drawn."""
    if missing:
        names = ", ".join(dict.fromkeys(f"{step.mode} at {step.charge:.0%} charge" for step in missing))
        why = f"full duty does not hold the full-collective climb in {names}: no gain mends that"
        return Verdict(check="step_held", verdict=Outcome.FAIL, reason=why)
    if not steps:
        return Verdict.unknown("step_held", "no load step could be flown")
    worst = max(steps, key=lambda step: step.not_held_share)
    if worst.not_held_share > 0.0:
        why = (
            f"full duty does not hold the full-collective climb in {worst.mode} at {worst.charge:.0%} charge on "
            f"{worst.not_held_share:.0%} of the machines drawn: no gain mends that"
        )
        needs = ("a smaller doubt on the drive and the pack",)
        return Verdict(check="step_held", verdict=Outcome.UNKNOWN, reason=why, needs=needs)
    return Verdict(check="step_held", verdict=Outcome.PASS, reason="full duty holds every load step with duty to spare")


def _figure(step: StepTold, check: str) -> tuple[float, tuple[float, float]]:
    if check == "recovery":
        figure = NEVER_S if step.recovery_s is None else step.recovery_s
        low, high = step.recovery_s_interval or (step.recovery_s, step.recovery_s)
        return figure, (NEVER_S if low is None else low, NEVER_S if high is None else high)
    drop = check == "climb_droop"
    figure = (step.drop_percent if drop else step.rise_percent) or 0.0
    span = (step.drop_percent_interval if drop else step.rise_percent_interval) or (figure, figure)
    return min(figure, NEVER_S), (min(span[0], NEVER_S), min(span[1], NEVER_S))


def _margin(one: LoopFigures, check: str) -> float | None:
    return one.gain_margin if check == "gain_margin" else one.phase_margin_deg


def _at(one: LoopFigures) -> str:
    return f"{one.mode}, {one.load}, {one.charge:.0%} charge"


def _doubted(check: Verdict, own: bool) -> Verdict:
    """Return a check with its verdict taken back where today's gains are only typical: they judge another governor."""
    if own or check.verdict is Outcome.UNKNOWN:
        return check
    why = "the gains are typical, not this machine's own"
    return check.but(why, needs=(*check.needs, *GAIN_KEYS))
