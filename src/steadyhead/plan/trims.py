"""Every load trimmed in full: the collective that the main rotor needs, and the tail pitch that holds the nose."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.air import Air
from steadyhead.physics.forward import edgewise_loads
from steadyhead.physics.rotor import Rotor, RotorLoads, axial_loads
from steadyhead.physics.section import Section
from steadyhead.physics.tail import Tail, tail_loads
from steadyhead.physics.trim import Stop, collective_for_thrust, forward_trim
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, LOADS

GRAVITY_M_S2 = 9.80665
"""Standard gravity. Source: ISO 80000-3 (from memory)."""
SLOPE_STEP_RAD = math.radians(0.2)

Floats = NDArray[np.float64]


class Aircraft(NamedTuple):
    """What the rotor side of the plan needs to know of a machine. SI."""

    rotor: Rotor
    tail: Tail
    section: Section
    air: Air
    weight_n: float
    drag_area_m2: float
    collective_max_rad: float
    load_factor: float
    forward_m_s: float


class Flow(NamedTuple):
    """How the disc moves through the air; no speed is hover inflow. SI."""

    forward_m_s: float
    disc_angle_rad: float


class Trim(NamedTuple):
    """One load trimmed, with its slopes over collective, main and tail. SI; `code` a trim.Stop."""

    wanted_n: float
    flow: Flow
    collective_rad: float
    loads: RotorLoads
    thrust_per_rad: float
    torque_per_rad: float
    code: int
    tail_pitch_rad: float
    tail_loads: RotorLoads
    tail_thrust_per_rad: float
    tail_torque_per_rad: float
    tail_code: int


def aircraft(machine: Machine) -> Aircraft:
    """Return the rotor side of a machine, SI."""
    return Aircraft(
        rotor=si.rotor(machine),
        tail=si.tail(machine),
        section=si.section(machine),
        air=si.air(machine),
        weight_n=si.number(machine, "airframe.mass") * GRAVITY_M_S2,
        drag_area_m2=si.number(machine, "airframe.drag_area"),
        collective_max_rad=si.number(machine, "rotor.collective_max"),
        load_factor=si.number(machine, "limits.load_factor"),
        forward_m_s=si.number(machine, "limits.forward_speed"),
    )


def trims(craft: Aircraft, speeds_rad_s: Floats) -> tuple[tuple[Trim, ...], ...]:
    """Return every load trimmed at every head speed, in full.

    Shapes: speeds_rad_s (modes,) -> (modes)(loads).
    """
    return tuple(tuple(trim(craft, load, float(speed)) for load in LOADS) for speed in speeds_rad_s)


def trim(craft: Aircraft, load: str, speed_rad_s: float) -> Trim:
    """Return one load trimmed at one head speed; hover, climb and hard cyclic see the inflow of a hover.

    The climb is its first moment: full collective, no climb speed yet, when it takes the most power.
    """
    wanted, flow, collective, code = _main_trim(craft, load, speed_rad_s)
    loads = main_rotor_loads(craft, speed_rad_s, collective, flow)
    stepped = main_rotor_loads(craft, speed_rad_s, collective + SLOPE_STEP_RAD, flow)
    tail = tail_loads(craft.tail, craft.section, craft.air, speed_rad_s, loads.torque_nm)
    tail_rotor = tail_rotor_loads(craft, speed_rad_s, tail.pitch_rad)
    tail_stepped = tail_rotor_loads(craft, speed_rad_s, tail.pitch_rad + SLOPE_STEP_RAD)
    return Trim(
        wanted_n=loads.thrust_n if load == CLIMB else wanted,
        flow=flow,
        collective_rad=collective,
        loads=loads,
        thrust_per_rad=(stepped.thrust_n - loads.thrust_n) / SLOPE_STEP_RAD,
        torque_per_rad=(stepped.torque_nm - loads.torque_nm) / SLOPE_STEP_RAD,
        code=code,
        tail_pitch_rad=tail.pitch_rad,
        tail_loads=tail_rotor,
        tail_thrust_per_rad=(tail_stepped.thrust_n - tail_rotor.thrust_n) / SLOPE_STEP_RAD,
        tail_torque_per_rad=(tail_stepped.torque_nm - tail_rotor.torque_nm) / SLOPE_STEP_RAD,
        tail_code=tail.code,
    )


def _main_trim(craft: Aircraft, load: str, speed_rad_s: float) -> tuple[float, Flow, float, int]:
    """Return wanted thrust, flow, collective and Stop code."""
    still = Flow(0.0, 0.0)
    if load == CLIMB:
        return 0.0, still, craft.collective_max_rad, int(Stop.DONE)
    if load == FAST_FORWARD and craft.forward_m_s > 0.0:
        flown = forward_trim(
            craft.rotor, craft.section, craft.air, speed_rad_s, craft.weight_n, craft.drag_area_m2, craft.forward_m_s
        )
        return flown.thrust_n, Flow(craft.forward_m_s, flown.disc_angle_rad), flown.collective_rad, int(flown.code)
    wanted = still_thrust(craft, load)
    collective, code = collective_for_thrust(craft.rotor, craft.section, craft.air, speed_rad_s, wanted, 0.0)
    return wanted, still, collective, int(code)


def still_thrust(craft: Aircraft, load: str) -> float:
    """Return the thrust that a load without forward speed asks, N."""
    return craft.weight_n * (craft.load_factor if load == HARD_CYCLIC else 1.0)


def main_rotor_loads(craft: Aircraft, speed_rad_s: float, collective_rad: float, flow: Flow) -> RotorLoads:
    """Return the main rotor's loads at a collective, in the inflow of a hover or in forward flight. SI."""
    if flow.forward_m_s > 0.0:
        return edgewise_loads(
            craft.rotor, craft.section, craft.air, speed_rad_s, collective_rad, flow.forward_m_s, flow.disc_angle_rad
        )
    return axial_loads(craft.rotor, craft.section, craft.air, speed_rad_s, collective_rad, 0.0)


def tail_rotor_loads(craft: Aircraft, speed_rad_s: float, pitch_rad: float) -> RotorLoads:
    """Return the tail rotor's loads at a pitch; its torque is at its own shaft. SI."""
    speed = speed_rad_s * craft.tail.ratio
    return axial_loads(craft.tail.rotor, craft.section, craft.air, speed, pitch_rad, 0.0)
