"""The plan: which head speeds the drive can hold, and what of the machine should be known better."""

import math

import numpy as np

from steadyhead.machine.description import Machine
from steadyhead.plan.choices import packs, pinions
from steadyhead.plan.doubts import doubts_on
from steadyhead.plan.figures import AT
from steadyhead.plan.loads import LOADS
from steadyhead.plan.modes import mode_plan
from steadyhead.plan.result import Doubt, ModePlan, Plan
from steadyhead.plan.solved import INPUTS, Solved, solve
from steadyhead.words import cautions
from steadyhead.words.verdict import Outcome, worst

HIGHEST_ADVANCE = 0.35
"""Advance ratio to which the forward-flight model is held to be valid; see physics.forward."""


def plan(machine: Machine) -> Plan:
    """Return every flight mode in every condition, judged, with pinions, packs and doubts ranked.

    A machine that cannot hold its head speed, or cannot hover, is a fail with the figure, not an error.
    """
    if not machine.flight_mode:
        return _without_modes(machine)
    solved = solve(machine)
    modes = mode_plans(solved)
    return Plan(
        machine=machine.name,
        machine_revision=machine.revision,
        density_kg_m3=solved.craft.air.density_kg_m3,
        modes=modes,
        pinions=pinions(solved),
        packs=packs(solved),
        doubts=doubts(solved),
        typical=_typical(machine),
        verdict=worst(mode.verdict for mode in modes),
        reasons=tuple(f"{mode.mode}: {reason}" for mode in modes for reason in mode.reasons),
        unknowns=tuple(key for key, limit in solved.limits.items() if limit is None),
        warnings=_warnings(solved, modes),
        cautions=cautions.ALL,
    )


def mode_plans(solved: Solved) -> tuple[ModePlan, ...]:
    """Return the flight modes of the plan alone, judged: no tables of pinions and packs, no doubts ranked."""
    return tuple(mode_plan(solved, mode) for mode in range(len(solved.machine.flight_mode)))


def doubts(solved: Solved) -> tuple[Doubt, ...]:
    """Return what carries the doubt on the duty and winding where they are highest, and on the flight time."""
    values = dict(solved.machine.values())
    found: list[Doubt] = []
    for name, says in (("duty", "the duty"), ("winding_temperature_c", "the winding temperature")):
        place = _highest(solved, name)
        mode, load, state = place
        where = f"{solved.machine.flight_mode[mode].name}, {LOADS[load]}, {solved.train.states[state].name}"
        found += doubts_on(f"{says} in {where}", solved.figures.shares((*place, AT[name])), values)
    mode = int(np.argmin(solved.central.hover_time_s))
    name = solved.machine.flight_mode[mode].name
    found += doubts_on(f"the flight time in {name}", solved.hover_time_s.shares((mode,)), values)
    return tuple(found)


def _highest(solved: Solved, name: str) -> tuple[int, int, int]:
    figures = solved.central.figures[..., AT[name]]
    mode, load, state = np.unravel_index(int(np.nanargmax(figures)), figures.shape)
    return int(mode), int(load), int(state)


def _typical(machine: Machine) -> tuple[str, ...]:
    """Return the typical inputs that the plan's figures rest on, limits and targets left out."""
    used = {*INPUTS, "rotor.blades", "tail.blades", "pack.reserve", "pack.warm", "pack.cold"}
    return tuple(key for key in machine.typical() if key in used)


def _warnings(solved: Solved, modes: tuple[ModePlan, ...]) -> tuple[str, ...]:
    """Return where the figures rest on less than they seem to."""
    said = []
    advance = solved.craft.forward_m_s / (float(solved.speeds_rad_s.min()) * solved.craft.rotor.radius_m)
    if advance > HIGHEST_ADVANCE:
        said.append(
            f"fast forward flies at {advance:.2f} of the tip speed: above {HIGHEST_ADVANCE} it is not computed well"
        )
    unsolved = sum(not one.solved for mode in modes for one in mode.conditions)
    if unsolved:
        said.append(f"{unsolved} conditions cannot be held: their powers and currents are those at full duty")
    if not math.isfinite(float(np.nansum(solved.figures.high))):
        said.append("some figures have no upper end to their doubt")
    return tuple(said)


def _without_modes(machine: Machine) -> Plan:
    reason = "the machine file names no flight mode: add [[flight_mode]] with a name and a head_speed"
    return Plan(
        machine=machine.name,
        machine_revision=machine.revision,
        density_kg_m3=_density(machine),
        modes=(),
        pinions=(),
        packs=(),
        doubts=(),
        typical=_typical(machine),
        verdict=Outcome.UNKNOWN,
        reasons=(reason,),
        unknowns=("flight_mode",),
        warnings=(),
        cautions=cautions.ALL,
    )


def _density(machine: Machine) -> float:
    from steadyhead.machine import si

    return si.air(machine).density_kg_m3
