"""One flight mode in one condition: its figures with their doubt, held against every limit."""

from collections.abc import Mapping
from typing import Any

from steadyhead.physics.trim import Stop
from steadyhead.plan.checks import checks_of
from steadyhead.plan.figures import AT, FIGURES, HELD_CODE, NOT_COMPUTED
from steadyhead.plan.loads import FAST_FORWARD, HOVER, LOADS, ZERO_CELSIUS_K
from steadyhead.plan.result import ConditionFigures, Interval
from steadyhead.plan.solved import Solved
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

WITH_INTERVAL = (
    "collective_deg", "rotor_power_w", "shaft_power_w", "motor_current_a", "pack_current_a", "duty", "ceiling_rpm",
    "winding_temperature_c",
)  # fmt: skip
NOT_SHOWN = ("head_speed_rpm", "drive_code", "thrust_share", "tail_share")
STALL_WORTH_SAYING = 0.10
"""Share of the disc past stall from which thrust and power are said to be less certain; our judgement, no source."""


def condition(solved: Solved, mode: int, load_at: int, state_at: int) -> ConditionFigures:
    """Return one condition of a solved machine, judged."""
    load, state = LOADS[load_at], solved.train.states[state_at]
    place = (mode, load_at, state_at)
    figures = {name: float(solved.central.figures[(*place, AT[name])]) for name in FIGURES}
    intervals = {name: _interval(solved, place, name) for name in FIGURES}
    checks = (
        *_rotor_checks(solved, (mode, load_at), figures, intervals),
        *checks_of(load, figures, intervals, solved.limits.get),
    )
    shown: dict[str, Any] = {name: figures[name] for name in FIGURES if name not in NOT_SHOWN}
    shown |= {f"{name}_interval": intervals[name] for name in WITH_INTERVAL}
    return ConditionFigures(
        condition=f"{load}, {state.name}",
        load=load,
        charge=state.charge,
        pack_temperature_c=state.temperature_k - ZERO_CELSIUS_K,
        solved=figures["drive_code"] <= HELD_CODE and int(solved.asked.code[mode, load_at]) == Stop.DONE,
        verdict=worst(check.verdict for check in checks),
        checks=checks,
        reasons=_reasons(checks, figures),
        **shown,
    )


def _interval(solved: Solved, place: tuple[int, int, int], name: str) -> Interval:
    at = (*place, AT[name])
    return float(solved.figures.low[at]), float(solved.figures.high[at])


def _rotor_checks(
    solved: Solved, at: tuple[int, int], figures: Mapping[str, float], intervals: Mapping[str, Interval]
) -> tuple[Verdict, ...]:
    """Return whether the rotors reach what the load asks, and within the pitch that the head gives."""
    asked, load = solved.asked, LOADS[at[1]]
    checks = [
        _reached("thrust_reached", "rotor thrust", float(asked.wanted_n[at]), load, "thrust_share", figures, intervals),
        _reached("tail_holds", "tail thrust", float(asked.tail_wanted_n[at]), load, "tail_share", figures, intervals),
    ]
    if load in (HOVER, FAST_FORWARD):
        limit, doubt = solved.limits.get("rotor.collective_max"), intervals["collective_deg"]
        held = Verdict.at_most("collective_range", figures["collective_deg"], limit, what="collective", interval=doubt)
        checks.append(held)
    return tuple(checks)


def _reached(
    check: str,
    what: str,
    wanted_n: float,
    load: str,
    share: str,
    figures: Mapping[str, float],
    intervals: Mapping[str, Interval],
) -> Verdict:
    """Return whether a rotor gives the thrust that a load asks; where it does not, the thrust is the most it gives."""
    limit = Limit(value=wanted_n, unit="N", origin=f"what {load} asks")
    low, high = intervals[share]
    return Verdict.at_least(
        check, wanted_n * figures[share], limit, what=what, interval=(wanted_n * low, wanted_n * high)
    )


def _reasons(checks: tuple[Verdict, ...], figures: dict[str, float]) -> tuple[str, ...]:
    """Return what is not passed, failures first, and what makes the figures less certain."""
    said = [check.reason for outcome in (Outcome.FAIL, Outcome.UNKNOWN) for check in checks if check.verdict is outcome]
    if figures["drive_code"] == NOT_COMPUTED:
        said.insert(0, "this load could not be computed for this rotor")
    elif figures["drive_code"] > HELD_CODE:
        said.insert(0, f"full duty holds {figures['ceiling_rpm']:.0f} rpm, not {figures['head_speed_rpm']:.0f} rpm")
    if figures["stalled_share"] > STALL_WORTH_SAYING:
        said.append(f"{figures['stalled_share']:.0%} of the disc is past stall: thrust and power are less certain")
    return tuple(said)
