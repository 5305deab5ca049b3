"""A machine made ready to fly: the kernels' view of it, and the setting of the loop."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.channel.run_logic import Place, RunLogic, run_rules
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.flight.assumed import Assumption, with_stand_ins
from steadyhead.flight.loop import AGES, Clock, Setting
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.craft import Body, Craft
from steadyhead.physics.governor import Governor
from steadyhead.physics.held import Heats
from steadyhead.physics.pilot import Pilot
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import settled_loads, still_flow
from steadyhead.physics.tail_curve import tail_curve
from steadyhead.words.errors import InputError

LONGEST_STEP_S = 2e-3
STEP_SHARE = 0.6
FASTEST_FLOW_M_S = 44.0
"""Twice an inflow of 12 m/s and a sink of 20 m/s: more than a model of any class flies."""
HEAD_DRAG_SHARE = 0.5
"""Share of the gear drag that stays with the head when the bearing is free, tail driven from the head; no source."""
BARE_DRAG_SHARE = 0.2
"""The same with the tail on the motor's side: the main shaft's own bearings; no source."""
TAIL_REACH = 1.3
"""The tail curve reaches to this times the torque of full collective in hover at the highest set speed."""
Law = tuple[tuple[float, float], ...]
"""Pairs of channel percent and head speed, rad/s."""
ROW_S = 0.01
"""Time between two rows of the trace."""


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A machine ready to fly, and what had to be taken for granted."""

    craft: Craft
    setting: Setting
    logic: RunLogic
    modes: tuple[str, ...]
    set_rad_s: tuple[float, ...]
    assumptions: tuple[Assumption, ...]


def rig(machine: Machine, *, blades_on: bool, step_s: float | None = None, seen: Law = ()) -> Rig:
    """Return a machine ready to fly, with or without its blades; `seen` is the set-point law that a log shows.

    Raises: InputError when nothing says a head speed, or a value that the flight needs is known to nobody.
    """
    refuse_absurd(machine, blades_on=blades_on)
    if not machine.flight_mode and not seen:
        raise InputError(f"machine {machine.name}", read="no flight mode", right="at least one [[flight_mode]]")
    logic, assumptions = with_stand_ins(run_logic(machine))
    speeds = tuple(mode.head_speed.si for mode in machine.flight_mode) or tuple(rad_s for _, rad_s in seen)
    percents = [position.percent or 0.0 for position in logic.at(Place.MODE)]
    law_percent, law_rad_s, told = _seen_law(seen) if seen else _law(machine, percents, speeds)
    if seen:
        assumptions = tuple(told for told in assumptions if not told.key.startswith("flight_mode."))
    governor = si.governor(machine)
    clock = _clock(
        governor, si.number(machine, "channel.frame"), step_s or quick_enough(si.number(machine, "rotor.radius"))
    )
    held = governor._replace(sample_s=clock.step_s * clock.steps_a_sample)
    most_delay_s = (AGES - 2) * held.sample_s
    if held.sensor_delay_s > most_delay_s:
        raise InputError(
            "governor.sensor_delay", read=f"{held.sensor_delay_s:g} s", right=f"at most {most_delay_s:g} s at that rate"
        )
    setting = Setting(
        clock=clock,
        governor=held,
        rules=run_rules(logic),
        pilot=pilot(machine),
        servo_lag_s=si.number(machine, "rotor.servo_lag"),
        idle_duty=si.number(machine, "governor.idle_duty"),
        law_percent=law_percent,
        law_rad_s=law_rad_s,
    )
    more = [*assumptions, *told]
    if blades_on and machine.tail.driven_in_autorotation is None:
        key = "tail.driven_in_autorotation"
        more.append(Assumption(key=key, says=f"{key} is not known: the tail is taken as driven"))
    return Rig(
        craft=craft(machine, blades_on=blades_on, highest_rad_s=max(speeds)),
        setting=setting,
        logic=logic,
        modes=tuple(mode.name for mode in machine.flight_mode) or ("the log's first head speed",) * len(speeds),
        set_rad_s=speeds,
        assumptions=tuple(more),
    )


def quick_enough(radius_m: float) -> float:
    """Return the longest step that every ring's inflow can be followed with, s.

    dt = 0.6 / (3 pi / (4 R) (2 v + V)), the rate at which a ring answers at the fastest flow that is flown
    Valid: the explicit midpoint rule with the slope of the step before holds up to 1 in place of 0.6.
    """
    return min(LONGEST_STEP_S, STEP_SHARE / (0.75 * math.pi / radius_m * FASTEST_FLOW_M_S))


POSITIVE = ("motor.inertia", "motor.kv", "motor.resistance", "pack.capacity", "pack.slow_time", "airframe.mass")


def refuse_absurd(machine: Machine, *, blades_on: bool) -> None:
    """Refuse values that no flight can be computed with, before anything is.

    Raises: InputError naming the value.
    """
    for key, value in machine.values():
        if not math.isfinite(value.si):
            raise InputError(key, read=f"{value.si}", right="a finite number")
    for key in (*POSITIVE, "rotor.inertia" if blades_on else "rotor.hub_inertia"):
        if si.number(machine, key) <= 0.0:
            raise InputError(key, read=f"{si.number(machine, key):g}", right="a number above zero")


def craft(machine: Machine, *, blades_on: bool, highest_rad_s: float) -> Craft:
    """Return what the kernels need of a machine, SI; without blades the head is hub and shaft alone."""
    gears, air, section, rotor = si.gears(machine), si.air(machine), si.section(machine), si.rotor(machine)
    tail_on_head = machine.tail.driven_in_autorotation is not False
    share = HEAD_DRAG_SHARE if tail_on_head else BARE_DRAG_SHARE
    full = si.number(machine, "rotor.collective_max")
    pulling = Motion(highest_rad_s, full, 0.0, 0.0, 0.0)
    most_nm = TAIL_REACH * settled_loads(rotor, section, air, pulling, still_flow()).torque_nm
    inertia = si.number(machine, "rotor.inertia" if blades_on else "rotor.hub_inertia")
    body = Body(
        mass_kg=si.number(machine, "airframe.mass"),
        drag_area_m2=si.number(machine, "airframe.drag_area"),
        head_kg_m2=inertia,
        motor_kg_m2=si.number(machine, "motor.inertia"),
        head_drag_nm=share * gears.drag_torque_nm,
        blades_on=1.0 if blades_on else 0.0,
        tail_on_head=1.0 if tail_on_head else 0.0,
        pack_k=si.number(machine, "pack.warm"),
        air_k=si.number(machine, "site.temperature"),
    )
    return Craft(
        motor=si.motor(machine),
        controller=si.controller(machine),
        pack=si.pack(machine),
        gears=gears._replace(drag_torque_nm=(1.0 - share) * gears.drag_torque_nm),
        heats=Heats(si.motor_heat(machine), si.controller_heat(machine)),
        rotor=rotor,
        section=section,
        air=air,
        tail=tail_curve(si.tail(machine), section, air, highest_rad_s, most_nm),
        body=body,
    )


def pilot(machine: Machine) -> Pilot:
    """Return the pilot who holds a height: common practice, no source."""
    return Pilot(
        approach_s=1.0,
        climb_end_m_s=2.5,
        gain_rad_s_m=math.radians(1.2),
        integral_rad_m=math.radians(0.6),
        low_rad=si.number(machine, "rotor.collective_min"),
        high_rad=si.number(machine, "rotor.collective_max"),
    )


def _clock(governor: Governor, frame_s: float, longest_s: float) -> Clock:
    """Return steps that governor samples fall on; the pulse frame is rounded to whole samples."""
    steps = max(1, math.ceil(governor.sample_s / longest_s - 1e-9))
    step_s = governor.sample_s / steps
    frame = max(1, round(frame_s / governor.sample_s)) * steps
    row = max(1, round(ROW_S / step_s))
    return Clock(step_s, frame, steps, row)


def _seen_law(seen: Law) -> tuple[NDArray[np.float64], NDArray[np.float64], list[Assumption]]:
    """Return the law that a log shows: one head speed for each channel value."""
    rising = sorted(dict(seen).items())
    return np.array([percent for percent, _ in rising]), np.array([rad_s for _, rad_s in rising]), []


def _law(
    machine: Machine, percents: list[float], speeds: tuple[float, ...]
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[Assumption]]:
    """Return head speed over channel value: through the readings, or through what the modes are meant to hold."""
    told: list[Assumption] = []
    points = {round(reading.channel.si * 100.0, 6): reading.head_speed.si for reading in machine.reading}
    if len(points) < 2:
        points = dict(zip(percents, speeds, strict=True))
        says = "the bench readings are not known: today's channel values are taken to hold the wanted head speeds"
        told.append(Assumption(key="reading", says=says))
    ends = (min([*points, *percents]), max([*points, *percents]))
    rising = sorted(points.items())
    places = np.array([place for place, _ in rising])
    values = np.array([value for _, value in rising])
    if len(places) > 1:
        for end, at, beside in ((ends[0], 0, 1), (ends[1], -1, -2)):
            if end not in points:
                slope = (values[at] - values[beside]) / (places[at] - places[beside])
                places = np.append(places, end)
                values = np.append(values, values[at] + slope * (end - places[at]))
    order = np.argsort(places)
    return np.ascontiguousarray(places[order]), np.ascontiguousarray(values[order]), told
