"""Everything that `governor` answers: margins, load steps, the map of gains, spool-up and quick ramp."""

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from steadyhead.flight.governor_case import STEPPED, Bench, Case, bench, cases
from steadyhead.flight.governor_checks import loop_checks, step_checks
from steadyhead.flight.governor_result import Gains, GovernorAnswer, LoopFigures, Ramp, StepTold
from steadyhead.flight.governor_spread import DRAWS, drawn, slowed
from steadyhead.flight.governor_step import StepFigures
from steadyhead.flight.governor_told import Key, condition, loop_of, steps, steps_told
from steadyhead.flight.governor_tolerances import Tolerances, tolerances
from steadyhead.flight.quick_ramp import QUICK, SOFT, RampSetting, ramp, ramp_setting
from steadyhead.flight.tuning import Bools, mapped, tuning, within
from steadyhead.flight.tuning_advice import gains_are_own
from steadyhead.flight.tuning_map import GainGrid, GridFigures, grid, grid_figures, step_pairs
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.plan.loads import HOVER
from steadyhead.words.cautions import ADVICE_ONLY, FLIGHT
from steadyhead.words.errors import SolveError, SteadyheadError
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome, Verdict, worst

WORKERS = 2
PERCENT = 100.0
DIFFERENCE_WORTH_SAYING = 0.1
"""Change of a slope with its step from which the linear model is said to stand on a bend of the section's curve."""
RESTS_ON = (
    "rotor.inertia", "motor.inertia", "rotor.servo_lag", "governor.rate", "governor.gain", "governor.integral_time",
    "governor.derivative_time", "governor.collective_feed", "governor.filter_time", "governor.sensor_delay",
    "governor.sensor_step",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Other:
    """One machine drawn from the spread: margins and load steps with its own gains, its ramps, and its map.

    Shapes: holds (g,), which gains of the map hold every tolerance.
    """

    modulus: Mapping[Key, float]
    flown: Mapping[Key, StepFigures]
    ramps: Mapping[tuple[int, str], RampSetting]
    holds: Bools


def governor(machine: Machine, mode: str | None = None, *, matrices: bool = False, say: Say = silent) -> GovernorAnswer:
    """Return margins, step figures, tuning map, soft start and quick ramp of one machine, in one flight mode or all.

    Raises: InputError when there is no such flight mode, or a value that the flight needs and nobody knows.
    """
    ready, held = bench(machine, mode), tolerances(machine)
    say("solve every condition")
    found, cannot = _found(ready)
    gains = grid(ready.governor.gain, ready.governor.gain_per_s)
    nominal = _nominal(machine, ready, found, mode, gains)
    others, lost = _others(machine, mode, gains, say)
    map_of = mapped(gains, nominal, held, [one.holds for one in others], lost)
    today = _today(ready, found, others, matrices=matrices)
    own, checks, ramps, conditions = gains_are_own(machine), today.checks, today.ramps, today.conditions
    every = today.every
    return GovernorAnswer(
        machine=machine.name,
        machine_revision=machine.revision,
        gains=_gains(ready, own),
        conditions=conditions,
        steps=today.steps,
        tuning=tuning(machine, map_of, held),
        ramps=ramps,
        checks=checks,
        verdict=worst(check.verdict for check in every),
        reasons=_reasons(checks, ramps),
        unknowns=tuple(dict.fromkeys(need for check in every for need in check.needs)),
        typical=tuple(key for key in machine.typical() if key in RESTS_ON),
        warnings=tuple(_warnings(ready, conditions, cannot, lost)),
        cautions=(*FLIGHT, *ADVICE_ONLY),
    )


@dataclass(frozen=True, kw_only=True)
class Solved:
    """What margins, load steps and ramps were told from: the machine described, and those drawn from its spread."""

    ready: Bench
    found: tuple[Case, ...]
    others: tuple[Other, ...]


@dataclass(frozen=True, kw_only=True)
class TodaysGovernor:
    """Margins, load steps and ramps with today's gains, without a map of other gains."""

    conditions: tuple[LoopFigures, ...]
    steps: tuple[StepTold, ...]
    ramps: tuple[Ramp, ...]
    checks: tuple[Verdict, ...]
    solved: "Solved"

    @property
    def every(self) -> tuple[Verdict, ...]:
        """The checks, those of the ramps too."""
        return (*self.checks, *(check for one in self.ramps for check in one.checks))


def todays_governor(
    machine: Machine, mode: str | None = None, *, before: TodaysGovernor | None = None, alone: bool = False,
    say: Say = silent,
) -> TodaysGovernor:  # fmt: skip
    """Return what `governor` says of today's gains, in a fraction of the time: no other gains are looked at.

    `before` is the answer for all flight modes of a machine before a change: where the head speed of one flight mode
    is all that changed, the others are not solved anew. `alone` leaves out the machines drawn from the spread.

    Raises: as `governor`.
    """
    if alone:
        ready = bench(machine, mode)
        return _today(ready, _found(ready)[0], (), matrices=False)
    number = one_mode_moved(machine, before.solved.ready.machine) if before else None
    if before is not None and number is not None and mode is None:
        again = _one_mode_anew(machine, number, before.solved, say)
        if again is not None:
            return again
    ready = bench(machine, mode)
    found, _ = _found(ready)
    return _today(ready, found, _others(machine, mode, None, say)[0], matrices=False)


def _one_mode_anew(machine: Machine, number: int, was: Solved, say: Say) -> TodaysGovernor | None:
    """Return the answer with one flight mode solved anew; None where a drawn machine could not be flown."""
    ready, name = bench(machine), machine.flight_mode[number].name
    others, lost = _others(machine, name, None, say)
    if lost or len(others) != len(was.others):
        return None
    new, kept = cases(bench(machine, name))[0], [case for case in was.found if case.mode != number]
    if not any(case.point.load == HOVER for case in (*new, *kept)):
        return None
    at = sum(case.mode < number for case in kept)
    merged = [
        Other(
            modulus={**_but(old.modulus, number), **one.modulus},
            flown={**_but(old.flown, number), **one.flown},
            ramps={**_but(old.ramps, number), **one.ramps},
            holds=old.holds,
        )
        for old, one in zip(was.others, others, strict=True)
    ]
    return _today(ready, (*kept[:at], *new, *kept[at:]), merged, matrices=False)


def _but(by_mode: Mapping[Any, Any], number: int) -> dict[Any, Any]:
    return {key: value for key, value in by_mode.items() if key[0] != number}


def one_mode_moved(machine: Machine, before: Machine) -> int | None:
    """Return the flight mode whose head speed is all that two machines differ in, counted from 0; None for others."""
    old, new = dict(before.values()), dict(machine.values())
    moved = [key for key in {*old, *new} if old.get(key) != new.get(key)]
    if len(moved) != 1 or not (moved[0].startswith("flight_mode.") and moved[0].endswith(".head_speed")):
        return None
    return int(moved[0].split(".")[1]) - 1


def ramps_of(machine: Machine, before: TodaysGovernor) -> tuple[Ramp, ...]:
    """Return the ramps of the same machine with other spool-up times or teeth, without solving its flight anew.

    Valid: `machine` is that of `before` but for governor.quick_spool, governor.soft_spool and gears.module.
    """
    was, mesh = before.solved, si.mesh(machine)
    others = [
        replace(one, ramps={at: replace(setting, mesh=mesh) for at, setting in one.ramps.items()}) for one in was.others
    ]
    return _ramps(replace(was.ready, machine=machine), was.found, others)


def _found(ready: Bench) -> tuple[tuple[Case, ...], tuple[str, ...]]:
    found, cannot = cases(ready)
    if not any(case.point.load == HOVER for case in found):
        raise SolveError(f"machine {ready.machine.name} hovers at none of these head speeds: {'; '.join(cannot)}")
    return found, cannot


def _today(ready: Bench, found: Sequence[Case], others: Sequence[Other], *, matrices: bool) -> TodaysGovernor:
    held, own = tolerances(ready.machine), gains_are_own(ready.machine)
    conditions = tuple(
        condition(ready, case, [one.modulus[_key(case)] for one in others if _key(case) in one.modulus], matrices)
        for case in found
    )
    flown = steps(ready, step_pairs(found), held)
    told = steps_told(ready, found, flown, [one.flown for one in others])
    return TodaysGovernor(
        conditions=conditions,
        steps=told,
        ramps=_ramps(ready, found, others),
        solved=Solved(ready=ready, found=tuple(found), others=tuple(others)),
        checks=(*loop_checks(conditions, held, own), *step_checks(told, held, own)),
    )


def _nominal(machine: Machine, ready: Bench, found: Sequence[Case], mode: str | None, gains: GainGrid) -> GridFigures:
    """Return the map of the machine described; a governor faster than the map's own is slowed for it."""
    held, other = tolerances(machine), slowed(machine)
    if other is machine:
        return _grid_figures(ready, found, gains, held)
    slow = bench(other, mode)
    return _grid_figures(slow, cases(slow, STEPPED)[0], gains, held)


def _others(machine: Machine, mode: str | None, gains: GainGrid | None, say: Say) -> tuple[list[Other], int]:
    """Return the machines drawn from the spread, and how many of them cannot be flown at all."""
    pool = ThreadPoolExecutor(WORKERS)
    found = []
    try:
        flying = pool.map(lambda drawn_one: _other(drawn_one, mode, gains), drawn(machine))
        for number, one in enumerate(flying, start=1):
            say(f"machine {number} of {DRAWS} drawn from the spread")
            found.append(one)
    finally:
        # Someone who stops the work does not wait for the machines still in the queue.
        pool.shutdown(cancel_futures=True)
    flown = [one for one in found if one is not None]
    return flown, len(found) - len(flown)


def _other(machine: Machine, mode: str | None, gains: GainGrid | None) -> Other | None:
    """Return one drawn machine, without a map where no gains are given; None where it cannot be flown at all."""
    held = tolerances(machine)
    try:
        ready = bench(slowed(machine), mode)
        found, _ = cases(ready)
        flown = steps(ready, step_pairs(found), held)
        holds = within(_grid_figures(ready, found, gains, held), held) if gains else np.ones(0, dtype=np.bool_)
    except SteadyheadError:
        return None
    loops = {_key(case): loop_of(ready, case) for case in found if case.point.held}
    return Other(
        modulus={key: margins.modulus if radius < 1.0 else 0.0 for key, (margins, radius, _, _) in loops.items()},
        flown=flown,
        ramps={
            (case.mode, kind): ramp_setting(ready, kind, case.point)
            for case in found
            for kind in (QUICK, SOFT)
            if _at_reserve(case)
        },
        holds=holds,
    )


def _grid_figures(ready: Bench, found: Sequence[Case], gains: GainGrid, held: Tolerances) -> GridFigures:
    stepped = [case for case in found if case.point.load in STEPPED]
    band, recovery = held.recovery_band_percent / PERCENT, held.recovery.value if held.recovery else 1.0
    return grid_figures(ready, stepped, gains.pairs, band_share=band, recovery_s=recovery)


def _reasons(checks: Sequence[Verdict], ramps: Sequence[Ramp]) -> tuple[str, ...]:
    """Return what is not passed, failures first."""
    every = [("", check) for check in checks]
    every += [(f"{one.kind} ramp, {one.mode}: ", check) for one in ramps for check in one.checks]
    return tuple(
        dict.fromkeys(
            place + check.reason
            for way in (Outcome.FAIL, Outcome.UNKNOWN)
            for place, check in every
            if check.verdict is way
        )
    )


def _ramps(ready: Bench, found: Sequence[Case], others: Sequence[Other]) -> tuple[Ramp, ...]:
    return tuple(
        ramp(
            ready, kind, case.point, ready.rig.modes[case.mode],
            [one.ramps[case.mode, kind] for one in others if (case.mode, kind) in one.ramps],
        )
        for kind in (QUICK, SOFT)
        for case in found
        if _at_reserve(case)
    )  # fmt: skip


def _at_reserve(case: Case) -> bool:
    return case.point.load == HOVER and case.point.frozen.charge < 1.0


def _key(case: Case) -> Key:
    return case.mode, case.point.load, 1.0 if case.point.frozen.charge == 1.0 else 0.0


def _gains(ready: Bench, own: bool) -> Gains:
    law = ready.governor
    return Gains(
        gain=law.gain,
        gain_per_s=law.gain_per_s,
        integral_time_s=law.gain / law.gain_per_s if law.gain_per_s > 0.0 else math.inf,
        derivative_time_s=law.gain_s / law.gain if law.gain > 0.0 else 0.0,
        collective_feed=law.collective_duty_per_rad * math.radians(10.0),
        sample_s=law.sample_s,
        sensor_delay_s=law.sensor_delay_s,
        filter_s=law.filter_s,
        own=own,
    )


def _warnings(ready: Bench, conditions: Sequence[LoopFigures], cannot: Sequence[str], lost: int) -> list[str]:
    said = [f"left out: {words}" for words in cannot]
    bent = [one for one in conditions if one.difference_check > DIFFERENCE_WORTH_SAYING]
    if bent:
        names = ", ".join(dict.fromkeys(one.load for one in bent))
        said.append(
            f"the linear model stands on a bend of the blade section's curve in {names}: margins are rough there"
        )
    if lost:
        said.append(f"{lost} of the drawn machines cannot be flown: they count as holding no tolerance")
    if slowed(ready.machine) is not ready.machine:
        said.append("the map of gains and the spread take the governor as if it sampled 500 times a second")
    said += [assumption.says for assumption in ready.rig.assumptions if assumption.key.startswith(("tail", "rotor"))]
    return said
