"""A quick look at one head speed and one pinion: central figures only, for a hand on a slider."""

from dataclasses import dataclass

import numpy as np

from steadyhead.machine.description import Machine
from steadyhead.plan.demand import demand
from steadyhead.plan.figures import AT, HELD_CODE, powertrain, solution
from steadyhead.plan.loads import LOADS
from steadyhead.plan.trims import aircraft, trims
from steadyhead.words.errors import InputError

CAUTION = "Central figures without their doubt, so no verdict: make the plan before anything is flown."
_MOST_TIP_SPEED_M_S = 250.0


@dataclass(frozen=True, kw_only=True)
class LoadGlimpse:
    """One load with the pack that leaves the least duty."""

    load: str
    held: bool
    duty: float
    head_room: float
    pack_current_a: float
    motor_current_a: float
    winding_temperature_c: float
    ceiling_rpm: float


@dataclass(frozen=True, kw_only=True)
class Glimpse:
    """What one head speed with one pinion asks, without intervals and without a verdict."""

    machine: str
    machine_revision: int
    head_speed_rpm: float
    pinion_teeth: int
    gear_ratio: float
    tip_speed_m_s: float
    loads: tuple[LoadGlimpse, ...]
    hover_time_s: float
    caution: str


def glimpse(machine: Machine, head_speed_rpm: float, pinion_teeth: int) -> Glimpse:
    """Return the central figures of every load at `head_speed_rpm` with `pinion_teeth`, each with its hardest pack.

    Raises: InputError for a head speed whose tips would pass 250 m/s, or for a pinion that the gear cannot mesh with.
    """
    gear = int(machine.gears.main_gear_teeth.number)
    if not 6 <= pinion_teeth < gear:
        raise InputError("pinion_teeth", read=f"{pinion_teeth}", right=f"a whole number from 6 to {gear - 1}")
    other = machine.replaced({"gears.pinion_teeth": float(pinion_teeth)})
    craft = aircraft(other)
    speed_rad_s = head_speed_rpm * np.pi / 30.0
    tip_speed_m_s = speed_rad_s * craft.rotor.radius_m
    if not 0.0 < tip_speed_m_s <= _MOST_TIP_SPEED_M_S:
        most = _MOST_TIP_SPEED_M_S / craft.rotor.radius_m * 30.0 / np.pi
        raise InputError("head_speed_rpm", read=f"{head_speed_rpm:g}", right=f"above 0 and at most {most:.0f} rpm")
    speeds = np.array([speed_rad_s])
    train = powertrain(other)
    solved = solution(demand(trims(craft, speeds), craft, speeds), craft, train)
    found = []
    for at, load in enumerate(LOADS):
        states = solved.figures[0, at]
        hardest = states[int(np.nanargmax(states[:, AT["duty"]]))]
        told = {name: float(hardest[AT[name]]) for name in ("duty", "head_room", "pack_current_a", "motor_current_a")}
        found.append(
            LoadGlimpse(
                load=load,
                held=float(hardest[AT["drive_code"]]) <= HELD_CODE,
                winding_temperature_c=float(hardest[AT["winding_temperature_c"]]),
                ceiling_rpm=float(hardest[AT["ceiling_rpm"]]),
                **told,
            )
        )
    return Glimpse(
        machine=machine.name,
        machine_revision=machine.revision,
        head_speed_rpm=head_speed_rpm,
        pinion_teeth=pinion_teeth,
        gear_ratio=gear / pinion_teeth,
        tip_speed_m_s=float(tip_speed_m_s),
        loads=tuple(found),
        hover_time_s=float(solved.hover_time_s[0]),
        caution=CAUTION,
    )
