"""Other pinions and other packs, ranked by the worst of all flight modes and conditions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine.description import Machine
from steadyhead.machine.tables.drive import PackChoice
from steadyhead.plan.demand import Demand, demand
from steadyhead.plan.figures import AT, HELD_CODE, Solution, powertrain, solution
from steadyhead.plan.loads import HOVER, LOADS
from steadyhead.plan.moved import moved_demand
from steadyhead.plan.outcomes import Held, held
from steadyhead.plan.result import Choice
from steadyhead.plan.solved import Solved
from steadyhead.plan.trims import Aircraft, aircraft, trims
from steadyhead.words.errors import InputError, did_you_mean
from steadyhead.words.verdict import Outcome, worst

TEETH_EACH_WAY = 4
FEWEST_TEETH = 8
ORDER = {Outcome.PASS: 0, Outcome.UNKNOWN: 1, Outcome.FAIL: 2}

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A pinion or a pack, solved and held against every limit."""

    name: str
    machine: Machine
    current: bool
    solution: Solution
    checks: tuple[Held, ...]
    note: str

    @property
    def outcome(self) -> Outcome:
        """The worst outcome over all checks and conditions."""
        return worst(check.outcome for check in self.checks)

    @property
    def not_held(self) -> int:
        """In how many conditions full duty does not hold the head speed."""
        return int(np.sum(self.solution.figures[..., AT["drive_code"]] > HELD_CODE))

    @property
    def failing(self) -> int:
        """How many checks fail somewhere."""
        return sum(check.outcome is Outcome.FAIL for check in self.checks)

    @property
    def shortfall(self) -> float:
        """How far the figures are beyond their limits together, each check at its worst; 0 when none is."""
        return float(sum(max(check.excess.max(), 0.0) for check in self.checks if bool(check.fails.any())))

    @property
    def least_margin(self) -> float:
        """The margin left at the check that is nearest to its limit, as a share of the limit."""
        return float(-max(check.excess.max() for check in self.checks if any(check.limits)))


def pinions(solved: Solved) -> tuple[Choice, ...]:
    """Return the pinions up to four teeth either way, ranked; the rotors ask the same of each."""
    machine = solved.machine
    fitted, gear = int(machine.gears.pinion_teeth.number), int(machine.gears.main_gear_teeth.number)
    candidates = []
    for teeth in range(max(fitted - TEETH_EACH_WAY, FEWEST_TEETH), min(fitted + TEETH_EACH_WAY, gear - 1) + 1):
        other = machine.replaced({"gears.pinion_teeth": float(teeth)})
        candidates.append(
            _candidate(
                solved,
                other,
                (f"{teeth} teeth", teeth == fitted, _moved_motor(machine, teeth - fitted)),
                (solved.asked, solved.craft),
            )
        )
    return _ranked(candidates)


def packs(solved: Solved) -> tuple[Choice, ...]:
    """Return the pack fitted and every pack named as a choice, ranked; a pack's mass changes what the rotors ask."""
    machine = solved.machine
    rows = machine.pack_choice
    fitted = next((number for number, row in enumerate(rows) if _is_fitted(machine, row)), None)
    candidates = []
    if fitted is None:
        candidates.append(_candidate(solved, machine, ("the pack fitted", True, ""), (solved.asked, solved.craft)))
    for number, row in enumerate(rows):
        if number == fitted:
            candidates.append(_candidate(solved, machine, (row.name, True, ""), (solved.asked, solved.craft)))
            continue
        numbers, note = _swapped(machine, row, None if fitted is None else rows[fitted])
        other = machine.replaced(numbers)
        candidates.append(_candidate(solved, other, (row.name, False, note), _asked(solved, other)))
    return _ranked(candidates)


def with_pack(machine: Machine, name: str) -> Machine:
    """Return the machine with another pack that it names as a choice.

    Raises: InputError when it names none so.
    """
    rows = {row.name: row for row in machine.pack_choice}
    if name not in rows:
        raise InputError(f"machine {machine.name}, pack", read=f'"{name}"', right=did_you_mean(name, rows))
    if _is_fitted(machine, rows[name]):
        return machine
    fitted = next((row for row in machine.pack_choice if _is_fitted(machine, row)), None)
    return machine.replaced(_swapped(machine, rows[name], fitted)[0])


def _swapped(machine: Machine, row: PackChoice, fitted: PackChoice | None) -> tuple[dict[str, float], str]:
    """Return the SI numbers that change with another pack, and what could not be taken into account.

    The slow resistance goes with the quick one; the flying mass changes by the difference of the two packs' masses.
    """
    quick = _number(machine, "pack.resistance")
    resistance = row.resistance.si if row.resistance else quick
    numbers = {
        "pack.cells": row.cells.si,
        "pack.capacity": row.capacity.si,
        "pack.resistance": resistance,
        "pack.slow_resistance": _number(machine, "pack.slow_resistance") * resistance / quick,
    }
    if row.mass is None or fitted is None or fitted.mass is None:
        return numbers, "flying mass taken as now: give the mass of this pack and of the one fitted"
    numbers["airframe.mass"] = _number(machine, "airframe.mass") + row.mass.si - fitted.mass.si
    return numbers, ""


def swapped(machine: Machine, name: str) -> tuple[dict[str, float], str]:
    """Return the SI numbers that change with the pack choice of that name, and what could not be taken into account.

    Raises: KeyError when there is no such pack choice.
    """
    rows = {row.name: row for row in machine.pack_choice}
    return _swapped(machine, rows[name], next((row for row in machine.pack_choice if _is_fitted(machine, row)), None))


def _is_fitted(machine: Machine, row: PackChoice) -> bool:
    pairs = ((row.cells, machine.pack.cells), (row.capacity, machine.pack.capacity))
    alike = row.resistance is not None and row.resistance.si == _number(machine, "pack.resistance")
    return alike and all(one.si == other.si for one, other in pairs)


def _number(machine: Machine, key: str) -> float:
    value = machine.value(key)
    return value.si if value else 0.0


def _asked(solved: Solved, other: Machine) -> tuple[Demand, Aircraft]:
    craft = aircraft(other)
    if craft.weight_n == solved.craft.weight_n:
        return solved.asked, solved.craft
    if abs(craft.weight_n / solved.craft.weight_n - 1.0) < 0.1:
        return moved_demand(solved.trimmed, solved.craft, craft, solved.speeds_rad_s), craft
    return demand(trims(craft, solved.speeds_rad_s), craft, solved.speeds_rad_s), craft


def _moved_motor(machine: Machine, teeth: int) -> str:
    """Return how far the motor moves in its mount for a pinion with more or fewer teeth: module * teeth / 2."""
    if teeth == 0:
        return ""
    way = "away from" if teeth > 0 else "towards"
    if machine.gears.module is None:
        return f"the motor moves {way} the main gear: set the mesh again"
    return (
        f"the motor moves {abs(teeth) * machine.gears.module.si * 500.0:.2f} mm {way} the main gear: set the mesh again"
    )


def _candidate(
    solved: Solved, other: Machine, named: tuple[str, bool, str], asked: tuple[Demand, Aircraft]
) -> Candidate:
    """Return a choice solved; the doubt on its figures is taken as wide as that of the machine as it stands."""
    answer = solution(asked[0], asked[1], powertrain(other))
    low = answer.figures + (solved.figures.low - solved.central.figures)
    high = answer.figures + (solved.figures.high - solved.central.figures)
    return Candidate(
        name=named[0],
        machine=other,
        current=named[1],
        solution=answer,
        checks=tuple(held(solved.limits, answer.figures, low, high)),
        note=named[2],
    )


def _ranked(candidates: list[Candidate]) -> tuple[Choice, ...]:
    """Return the candidates best first.

    By outcome; then by conditions whose head speed is not held, checks that fail, how far they fail, and margin left.
    """
    order = sorted(
        candidates,
        key=lambda one: (ORDER[one.outcome], one.not_held, one.failing, one.shortfall, -one.least_margin),
    )
    return tuple(_choice(one, rank) for rank, one in enumerate(order, start=1))


def _choice(one: Candidate, rank: int) -> Choice:
    figures = one.solution.figures
    hover = figures[:, LOADS.index(HOVER), :, AT["duty"]]
    return Choice(
        name=one.name,
        pinion_teeth=int(one.machine.gears.pinion_teeth.number),
        gear_ratio=one.machine.gear_ratio,
        current=one.current,
        rank=rank,
        verdict=one.outcome,
        least_head_room=float(np.nanmin(figures[..., AT["head_room"]])),
        hover_duty=(float(np.nanmin(hover)), float(np.nanmax(hover))),
        peak_pack_current_a=float(np.nanmax(figures[..., AT["pack_current_a"]])),
        flight_time_s=float(one.solution.hover_time_s.min()),
        reasons=_reasons(one),
    )


def _reasons(one: Candidate) -> tuple[str, ...]:
    """Return what fails or is in doubt, each check at its worst place, or that everything holds."""
    said: list[str] = []
    for outcome in (Outcome.FAIL, Outcome.UNKNOWN):
        said += [_worst(one, check) for check in one.checks if check.outcome is outcome]
    return tuple([*(said or ["holds every head speed inside every limit"]), *([one.note] if one.note else [])])


def _worst(one: Candidate, check: Held) -> str:
    mode, load, state = check.worst_place()
    limit = check.limits[load]
    name, figure = one.machine.flight_mode[mode].name, check.figure[mode, load, state]
    unit = f" {check.unit}" if check.unit else ""
    where = f"{check.what} is {figure:.3g}{unit} in {name}, {LOADS[load]}"
    if limit is None:
        return f"{where}, and nobody stated its limit"
    doubt = "" if check.outcome is Outcome.FAIL else ": within its doubt, it may not hold"
    return f"{where}, limit {'>=' if check.at_least else '<='} {limit.value:.3g}{unit}{doubt}"
