"""One flight mode in one condition: its figures with their doubt, held against every limit."""

from typing import Any

from steadyhead.physics.trim import STOP_SAYS, Stop
from steadyhead.plan.checks import checks_of
from steadyhead.plan.figures import AT, FIGURES, HELD_CODE
from steadyhead.plan.loads import FAST_FORWARD, HOVER, LOADS, ZERO_CELSIUS_K
from steadyhead.plan.result import ConditionFigures, Interval
from steadyhead.plan.solved import Solved
from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

WITH_INTERVAL = (
    "collective_deg", "rotor_power_w", "shaft_power_w", "motor_current_a", "pack_current_a", "duty", "ceiling_rpm",
    "winding_temperature_c",
)  # fmt: skip
NOT_SHOWN = ("head_speed_rpm", "drive_code")
STALL_WORTH_SAYING = 0.10
"""Share of the disc past stall from which thrust and power are said to be less certain; our judgement, no source."""


def condition(solved: Solved, mode: int, load_at: int, state_at: int) -> ConditionFigures:
    """Return one condition of a solved machine, judged."""
    load, state = LOADS[load_at], solved.train.states[state_at]
    place = (mode, load_at, state_at)
    figures = {name: float(solved.central.figures[(*place, AT[name])]) for name in FIGURES}
    intervals = {name: _interval(solved, place, name) for name in FIGURES}
    checks = (
        *_rotor_checks(solved, mode, load_at, intervals["collective_deg"]),
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


def _rotor_checks(solved: Solved, mode: int, load_at: int, collective: Interval) -> tuple[Verdict, ...]:
    """Return whether the rotors reach what the load asks, and within the pitch that the head gives."""
    asked, load = solved.asked, LOADS[load_at]
    thrust, wanted = float(asked.thrust_n[mode, load_at]), float(asked.wanted_n[mode, load_at])
    checks = [_thrust_reached(thrust, wanted, int(asked.code[mode, load_at]), load)]
    checks.append(_tail_holds(int(asked.tail_code[mode, load_at])))
    if load in (HOVER, FAST_FORWARD):
        degrees = float(solved.central.figures[mode, load_at, 0, AT["collective_deg"]])
        limit = solved.limits.get("rotor.collective_max")
        checks.append(Verdict.at_most("collective_range", degrees, limit, what="collective", interval=collective))
    return tuple(checks)


def _thrust_reached(thrust_n: float, wanted_n: float, code: int, load: str) -> Verdict:
    limit = Limit(value=wanted_n, unit="N", origin=f"what {load} asks")
    if code == Stop.DONE:
        limit = Limit(value=min(wanted_n, thrust_n), unit="N", origin=f"what {load} asks")
    return Verdict.at_least("thrust_reached", thrust_n, limit, what="rotor thrust")


def _tail_holds(code: int) -> Verdict:
    if code == Stop.DONE:
        return Verdict(check="tail_holds", verdict=Outcome.PASS, reason="the tail rotor holds the main rotor's torque")
    return Verdict(
        check="tail_holds",
        verdict=Outcome.FAIL,
        reason=f"the tail rotor does not hold the nose: {STOP_SAYS[Stop(code)]}",
    )


def _reasons(checks: tuple[Verdict, ...], figures: dict[str, float]) -> tuple[str, ...]:
    """Return what is not passed, failures first, and what makes the figures less certain."""
    said = [check.reason for outcome in (Outcome.FAIL, Outcome.UNKNOWN) for check in checks if check.verdict is outcome]
    if figures["drive_code"] > HELD_CODE:
        said.insert(0, f"full duty holds {figures['ceiling_rpm']:.0f} rpm, not {figures['head_speed_rpm']:.0f} rpm")
    if figures["stalled_share"] > STALL_WORTH_SAYING:
        said.append(f"{figures['stalled_share']:.0%} of the disc is past stall: thrust and power are less certain")
    return tuple(said)
