"""What each load asks of the rotors, for every flight mode: collective, thrust, and torque at the main shaft.

The machine as described is trimmed in full. A machine with one input moved starts from that trim and steps along its
slopes, which costs an evaluation or two instead of a search; the last, short step's own error is of second order.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
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
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, HOVER, LOADS

GRAVITY_M_S2 = 9.80665
"""Standard gravity. Source: ISO 80000-3 (from memory)."""
SLOPE_STEP_RAD = math.radians(0.2)
SHORT_STEP_RAD = math.radians(0.15)
"""A step along the slopes as short as this is the last one."""
LONGEST_STEP_RAD = math.radians(1.5)
"""A longer step along the slopes would not be trusted: the load is trimmed in full instead."""
MOST_STEPS = 4
BELIEVED_WEIGHTS = 1e4
"""A rotor that answers with more thrust than this many weights was not computed: its row is left without figures."""

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


@dataclass(frozen=True, kw_only=True)
class Demand:
    """What all loads ask of the rotors. SI. Shapes: every array (modes, loads), loads in the order of LOADS.

    `tail_torque_nm` is felt at the main shaft; the codes are trim.Stop. Where a code is not DONE, the thrust is the
    most that rotor gives.
    """

    speed_rad_s: Floats
    collective_rad: Floats
    wanted_n: Floats
    thrust_n: Floats
    torque_nm: Floats
    tail_torque_nm: Floats
    tail_wanted_n: Floats
    tail_thrust_n: Floats
    stalled_share: Floats
    code: Floats
    tail_code: Floats


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
    loads = _loads(craft, speed_rad_s, collective, flow)
    stepped = _loads(craft, speed_rad_s, collective + SLOPE_STEP_RAD, flow)
    tail = tail_loads(craft.tail, craft.section, craft.air, speed_rad_s, loads.torque_nm)
    tail_rotor = _tail_loads(craft, speed_rad_s, tail.pitch_rad)
    tail_stepped = _tail_loads(craft, speed_rad_s, tail.pitch_rad + SLOPE_STEP_RAD)
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


def demand(trimmed: tuple[tuple[Trim, ...], ...], craft: Aircraft, speeds_rad_s: Floats) -> Demand:
    """Return what the loads ask, from full trims of the same aircraft."""
    rows = [[_row(t, craft.tail) for t in mode] for mode in trimmed]
    return _demand(np.array(rows), craft, speeds_rad_s)


def moved_demand(
    trimmed: tuple[tuple[Trim, ...], ...], craft: Aircraft, moved: Aircraft, speeds_rad_s: Floats
) -> Demand:
    """Return what the loads ask of an aircraft with an input moved, stepping from the trims of the unmoved one."""
    rows = [
        [_moved_row(t, load, craft, moved, float(speed)) for load, t in zip(LOADS, mode, strict=True)]
        for mode, speed in zip(trimmed, speeds_rad_s, strict=True)
    ]
    return _demand(np.array(rows), moved, speeds_rad_s)


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
    wanted = _still_thrust(craft, load)
    collective, code = collective_for_thrust(craft.rotor, craft.section, craft.air, speed_rad_s, wanted, 0.0)
    return wanted, still, collective, int(code)


def _still_thrust(craft: Aircraft, load: str) -> float:
    return craft.weight_n * (craft.load_factor if load == HARD_CYCLIC else 1.0)


def _loads(craft: Aircraft, speed_rad_s: float, collective_rad: float, flow: Flow) -> RotorLoads:
    if flow.forward_m_s > 0.0:
        return edgewise_loads(
            craft.rotor, craft.section, craft.air, speed_rad_s, collective_rad, flow.forward_m_s, flow.disc_angle_rad
        )
    return axial_loads(craft.rotor, craft.section, craft.air, speed_rad_s, collective_rad, 0.0)


def _tail_loads(craft: Aircraft, speed_rad_s: float, pitch_rad: float) -> RotorLoads:
    speed = speed_rad_s * craft.tail.ratio
    return axial_loads(craft.tail.rotor, craft.section, craft.air, speed, pitch_rad, 0.0)


def _row(t: Trim, tail: Tail) -> tuple[float, ...]:
    """Return a row of Demand; where a search ended well, its last digits are not told from what was asked."""
    tail_wanted = t.loads.torque_nm / tail.arm_m
    return (
        t.collective_rad,
        t.wanted_n,
        t.wanted_n if t.code == Stop.DONE else t.loads.thrust_n,
        t.loads.torque_nm,
        t.tail_loads.torque_nm * tail.ratio,
        tail_wanted,
        tail_wanted if t.tail_code == Stop.DONE else t.tail_loads.thrust_n,
        t.loads.stalled_share,
        t.code,
        t.tail_code,
    )


def _moved_row(t: Trim, load: str, craft: Aircraft, moved: Aircraft, speed_rad_s: float) -> tuple[float, ...]:
    """Return a row of the moved aircraft, found from the old trim and its slopes."""
    goal, flow = _moved_goal(t, load, moved)
    collective = moved.collective_max_rad if load == CLIMB else t.collective_rad
    as_before = (
        _same_air(craft, moved) and moved.rotor == craft.rotor and (flow, collective) == (t.flow, t.collective_rad)
    )
    loads = t.loads if as_before else _loads(moved, speed_rad_s, collective, flow)
    goal = loads.thrust_n if load == CLIMB else goal
    thrust = goal if t.code == Stop.DONE else loads.thrust_n
    main = _stepped(
        lambda pitch: _loads(moved, speed_rad_s, pitch, flow),
        (collective, loads),
        thrust,
        (t.thrust_per_rad, t.torque_per_rad),
    )
    if main is None:
        return _row(trim(moved, load, speed_rad_s), moved.tail)
    same_tail = _same_air(craft, moved) and moved.tail == craft.tail
    tail_loads_now = t.tail_loads if same_tail else _tail_loads(moved, speed_rad_s, t.tail_pitch_rad)
    tail_wanted = main[1] / moved.tail.arm_m
    tail = _stepped(
        lambda pitch: _tail_loads(moved, speed_rad_s, pitch),
        (t.tail_pitch_rad, tail_loads_now),
        tail_wanted if t.tail_code == Stop.DONE else tail_loads_now.thrust_n,
        (t.tail_thrust_per_rad, t.tail_torque_per_rad),
    )
    if tail is None:
        return _row(trim(moved, load, speed_rad_s), moved.tail)
    return (
        main[0],
        goal,
        thrust,
        main[1],
        tail[1] * moved.tail.ratio,
        tail_wanted,
        tail_wanted if t.tail_code == Stop.DONE else tail_loads_now.thrust_n,
        main[2],
        t.code,
        t.tail_code,
    )


def _stepped(
    loads_at: Callable[[float], RotorLoads],
    start: tuple[float, RotorLoads],
    wanted_n: float,
    slopes: tuple[float, float],
) -> tuple[float, float, float] | None:
    """Return pitch, torque and stalled share at a thrust, stepping along slopes of thrust and torque over pitch.

    None where the steps do not shorten: the slopes are not those of this rotor any more.
    """
    pitch, loads = start
    if loads.thrust_n == wanted_n:
        return pitch, loads.torque_nm, loads.stalled_share
    if not slopes[0] > 0.0:
        return None
    for _ in range(MOST_STEPS):
        step = (wanted_n - loads.thrust_n) / slopes[0]
        if abs(step) <= SHORT_STEP_RAD:
            return pitch + step, loads.torque_nm + step * slopes[1], loads.stalled_share
        if not abs(step) < LONGEST_STEP_RAD:
            return None
        pitch += step
        loads = loads_at(pitch)
    return None


def _same_air(craft: Aircraft, moved: Aircraft) -> bool:
    factors = (craft.section.lift_factor, craft.section.drag_factor)
    return craft.air == moved.air and factors == (moved.section.lift_factor, moved.section.drag_factor)


def _moved_goal(t: Trim, load: str, moved: Aircraft) -> tuple[float, Flow]:
    """Return the thrust that the moved aircraft needs and its flow; the rotor's rearward force is the unmoved one's."""
    if load == FAST_FORWARD and moved.forward_m_s > 0.0:
        angle = t.flow.disc_angle_rad
        drag = 0.5 * moved.air.density_kg_m3 * moved.forward_m_s**2 * moved.drag_area_m2
        along = moved.weight_n + t.loads.drag_n * math.sin(angle)
        ahead = drag + t.loads.drag_n * math.cos(angle)
        return math.hypot(along, ahead), Flow(moved.forward_m_s, math.atan2(ahead, along))
    return _still_thrust(moved, load if load in (HOVER, HARD_CYCLIC) else HOVER), Flow(0.0, 0.0)


def _demand(rows: Floats, craft: Aircraft, speeds_rad_s: Floats) -> Demand:
    """Return the rows as a Demand; what was not computed has no figures (nan) and no code but OUT_OF_PITCH."""
    lost = ~(np.abs(rows[..., 2]) <= BELIEVED_WEIGHTS * craft.weight_n)
    rows[lost] = (*[math.nan] * 8, float(Stop.OUT_OF_PITCH), float(Stop.OUT_OF_PITCH))
    return Demand(
        speed_rad_s=speeds_rad_s,
        collective_rad=rows[..., 0],
        wanted_n=rows[..., 1],
        thrust_n=rows[..., 2],
        torque_nm=rows[..., 3],
        tail_torque_nm=rows[..., 4],
        tail_wanted_n=rows[..., 5],
        tail_thrust_n=rows[..., 6],
        stalled_share=rows[..., 7],
        code=rows[..., 8],
        tail_code=rows[..., 9],
    )
