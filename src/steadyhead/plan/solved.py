"""One machine solved: its figures, and how far each uncertain input moves them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine.description import Machine
from steadyhead.plan.checks import LIMIT_KEYS
from steadyhead.plan.demand import Demand, demand
from steadyhead.plan.figures import Powertrain, Solution, powertrain, solution
from steadyhead.plan.intervals import Spread, spread
from steadyhead.plan.moved import moved_demand
from steadyhead.plan.trims import Aircraft, Trim, aircraft, trims
from steadyhead.words.verdict import Limit

INPUTS = (
    "rotor.radius", "rotor.root_cutout", "rotor.chord", "rotor.twist", "rotor.collective_max", "rotor.lift_factor",
    "rotor.drag_factor", "tail.radius", "tail.root_cutout", "tail.chord", "tail.ratio", "tail.arm",
    "gears.efficiency", "gears.drag_torque", "motor.kv", "motor.resistance", "motor.no_load_current",
    "motor.no_load_voltage", "motor.no_load_speed_share", "motor.winding_heat_capacity", "motor.winding_to_case",
    "motor.case_heat_capacity", "motor.case_to_air", "controller.resistance", "controller.switching_frequency",
    "controller.switching_loss_time", "controller.ripple_factor", "controller.freewheel_drop",
    "controller.heat_capacity", "controller.to_air", "pack.capacity", "pack.resistance",
    "pack.slow_resistance", "pack.slow_time", "pack.cell_rest_offset", "airframe.mass", "airframe.drag_area",
    "site.elevation", "site.temperature", "site.pressure",
)  # fmt: skip
"""Every input whose doubt is carried on: a key left out here is a count, a limit, a target, or no part of the plan."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Solved:
    """One machine solved for all conditions, with the doubt on every figure.

    Shapes: speeds_rad_s (modes,); figures and times as in Solution.
    """

    machine: Machine
    limits: Mapping[str, Limit | None]
    speeds_rad_s: Floats
    craft: Aircraft
    train: Powertrain
    trimmed: tuple[tuple[Trim, ...], ...]
    asked: Demand
    central: Solution
    figures: Spread
    hover_time_s: Spread


def solve(machine: Machine, *, alone: bool = False) -> Solved:
    """Return the machine solved, and each of its inputs moved by its 90 % half width, down and up.

    `alone` leaves the moves out: figures as described, taken as exact.
    """
    speeds = np.array([mode.head_speed.si for mode in machine.flight_mode])
    craft, train = aircraft(machine), powertrain(machine)
    trimmed = trims(craft, speeds)
    asked = demand(trimmed, craft, speeds)
    central = solution(asked, craft, train)
    moved: dict[str, tuple[Solution, Solution]] = {}
    for key in () if alone else uncertain(machine):
        ends = []
        for half_widths in (-1.0, 1.0):
            other = machine.shifted(key, half_widths)
            other_craft = aircraft(other)
            other_asked = asked if _same(craft, other_craft) else moved_demand(trimmed, craft, other_craft, speeds)
            ends.append(solution(other_asked, other_craft, powertrain(other)))
        moved[key] = (ends[0], ends[1])
    return Solved(
        machine=machine,
        limits={key: machine.limit(key) for key in (*LIMIT_KEYS, "rotor.collective_max")},
        speeds_rad_s=speeds,
        craft=craft,
        train=train,
        trimmed=trimmed,
        asked=asked,
        central=central,
        figures=spread(central.figures, {key: (low.figures, high.figures) for key, (low, high) in moved.items()}),
        hover_time_s=spread(
            central.hover_time_s, {key: (low.hover_time_s, high.hover_time_s) for key, (low, high) in moved.items()}
        ),
    )


def uncertain(machine: Machine, inputs: Sequence[str] = INPUTS) -> tuple[str, ...]:
    """Return the keys of `inputs` that this machine states with a spread."""
    spreads = {key: value.spread_si for key, value in machine.values()}
    overridden = {"site.elevation"} if "site.pressure" in spreads else set()
    return tuple(key for key in inputs if spreads.get(key, 0.0) > 0.0 and key not in overridden)


def _same(one: Aircraft, other: Aircraft) -> bool:
    """Whether the rotor side did not change; sections are compared by their two factors, the table is the same."""
    factors = (one.section.lift_factor, one.section.drag_factor)
    other_factors = (other.section.lift_factor, other.section.drag_factor)
    return factors == other_factors and one._replace(section=other.section) == other
