"""Conditions and load steps of one machine as they are told, with their spread over the drawn machines."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from steadyhead.flight.governor_case import Bench, Case
from steadyhead.flight.governor_engine import engine_step
from steadyhead.flight.governor_loop import Margins, closed_loop, frequencies, margins, open_loop, slowest_swing
from steadyhead.flight.governor_replay import step_between
from steadyhead.flight.governor_result import Interval, LoopFigures, StepTold
from steadyhead.flight.governor_step import StepFigures, figures_of
from steadyhead.flight.governor_tolerances import Tolerances
from steadyhead.flight.linear_model import DUTY, SERVO, LinearModel
from steadyhead.flight.linear_rates import CLIMB, FIRST_RING, HEAD, SLOW, STATE_NAMES
from steadyhead.flight.tuning_map import LEAST_SECONDS, RECOVERIES_LONG
from steadyhead.plan.loads import HOVER
from steadyhead.words.errors import SolveError

RPM = 30.0 / math.pi
PERCENT = 100.0
ON, OFF = "load on", "load off"
Key = tuple[int, str, float]
"""Flight mode, load or step, and pack state: 1 full, else the reserve."""


def condition(ready: Bench, case: Case, spread: Sequence[float], matrices: bool) -> LoopFigures:
    """Return the loop about one condition as told; `spread` is the modulus margin of the drawn machines."""
    found, radius, damping, swing_hz = loop_of(ready, case)
    model, point = case.model, case.point
    gain = found.gain if point.held else None
    return LoopFigures(
        mode=ready.rig.modes[case.mode],
        load=point.load,
        charge=point.frozen.charge,
        head_speed_rpm=point.speed_rad_s * RPM,
        duty=float(point.inputs[DUTY]),
        collective_deg=math.degrees(float(point.inputs[1])),
        solved=point.held,
        stable=radius < 1.0,
        gain_margin=gain,
        gain_margin_db=20.0 * math.log10(gain) if gain else None,
        phase_margin_deg=found.phase_deg,
        delay_margin_s=found.delay_s,
        modulus_margin=found.modulus if radius < 1.0 else 0.0,
        modulus_margin_interval=interval(found.modulus if radius < 1.0 else 0.0, spread),
        crossover_hz=found.crossover_rad_s / (2.0 * math.pi) if found.crossover_rad_s else None,
        swing_hz=swing_hz,
        swing_damping=damping,
        rotor_time_s=-1.0 / float(model.a[HEAD, HEAD]),
        duty_to_speed_percent=settled_gain(model),
        difference_check=model.step_change,
        state_names=STATE_NAMES if matrices else None,
        a_matrix=tuple(tuple(float(x) for x in row) for row in model.a) if matrices else None,
        b_matrix=tuple(tuple(float(x) for x in row) for row in model.b) if matrices else None,
    )


def loop_of(ready: Bench, case: Case) -> tuple[Margins, float, float | None, float | None]:
    """Return margins, spectral radius, and damping and frequency of the least damped motion, Hz."""
    omega = frequencies(ready.governor.sample_s)
    found = margins(omega, open_loop(case.plant, ready.governor, omega))
    return (found, *slowest_swing(closed_loop(case.plant, ready.governor), ready.governor.sample_s))


def settled_gain(model: LinearModel) -> float:
    """Return the head speed gained for 0.01 more duty once inflow has settled, climb and pack held still, percent."""
    fast = [HEAD, *range(FIRST_RING, SERVO)]
    rest = [state for state in range(model.a.shape[0]) if state in (CLIMB, SLOW)]
    kept = [state for state in fast if state not in rest]
    settled = np.linalg.solve(model.a[np.ix_(kept, kept)], -model.b[kept, DUTY])
    return float(settled[0]) * 0.01 / model.goal_rad_s * PERCENT


def steps(ready: Bench, pairs: Sequence[tuple[Case, Case]], held: Tolerances) -> dict[Key, StepFigures]:
    """Return the figures of every load step with today's gains, flown by the engine."""
    recovery = held.recovery.value if held.recovery else 1.0
    seconds = max(RECOVERIES_LONG * recovery, LEAST_SECONDS)
    found: dict[Key, StepFigures] = {}
    for low, high in pairs:
        for name, start, end in ((ON, low, high), (OFF, high, low)):
            key = (low.mode, name, 1.0 if low.point.frozen.charge == 1.0 else 0.0)
            try:
                deviation, _ = engine_step(
                    start.point, ready.rig.setting, ready.governor, step_between(start.point, end.point), seconds
                )
            except SolveError:
                found[key] = StepFigures(math.inf, math.inf, -1.0, math.inf)
                continue
            found[key] = figures_of(
                np.ascontiguousarray(deviation), start.point.speed_rad_s, held.recovery_band_percent / PERCENT,
                ready.governor.sample_s,
            )  # fmt: skip
    return found


def steps_told(
    ready: Bench, found: Sequence[Case], flown: Mapping[Key, StepFigures], others: Sequence[Mapping[Key, StepFigures]]
) -> tuple[StepTold, ...]:
    """Return every load step as told; a step without figures is one that full duty does not hold."""
    told = []
    for case in found:
        if case.point.load != HOVER:
            continue
        for name in (ON, OFF):
            key = (case.mode, name, 1.0 if case.point.frozen.charge == 1.0 else 0.0)
            spread = [one[key] for one in others if key in one]
            step = _step(ready, case, name, flown.get(key), spread)
            told.append(replace(step, not_held_share=1.0 - len(spread) / len(others) if others else 0.0))
    return tuple(told)


def _step(ready: Bench, case: Case, name: str, figures: StepFigures | None, spread: Sequence[StepFigures]) -> StepTold:
    told = StepTold(
        mode=ready.rig.modes[case.mode], step=name, charge=case.point.frozen.charge, solved=figures is not None,
        drop_percent=None, drop_percent_interval=None, rise_percent=None, rise_percent_interval=None,
        recovery_s=None, recovery_s_interval=None, left_percent=None, not_held_share=0.0,
    )  # fmt: skip
    if figures is None:
        return told
    back = [math.inf if one.recovery_s < 0.0 else one.recovery_s for one in (figures, *spread)]
    return replace(
        told,
        drop_percent=PERCENT * figures.drop,
        drop_percent_interval=interval(PERCENT * figures.drop, [PERCENT * one.drop for one in spread]),
        rise_percent=PERCENT * figures.rise,
        rise_percent_interval=interval(PERCENT * figures.rise, [PERCENT * one.rise for one in spread]),
        recovery_s=_or_none(back[0]),
        recovery_s_interval=(_or_none(min(back)), _or_none(max(back))) if spread else None,
        left_percent=PERCENT * figures.left,
    )


def interval(figure: float, spread: Sequence[float]) -> Interval | None:
    """Return lowest and highest over the drawn machines and the one described; None without draws."""
    return (min(figure, *spread), max(figure, *spread)) if spread else None


def _or_none(value: float) -> float | None:
    return None if math.isinf(value) else value
