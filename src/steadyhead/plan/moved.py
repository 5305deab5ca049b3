"""What the loads ask of a machine with one input moved, found from the trims of the unmoved one.

The machine as described is trimmed in full. A machine with one input moved starts from that trim and steps along its
slopes, which costs an evaluation or two instead of a search; the last, short step's own error is of second order.
"""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.rotor import RotorLoads
from steadyhead.physics.trim import Stop
from steadyhead.plan.demand import Demand, as_demand, demand_row
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, HOVER, LOADS
from steadyhead.plan.trims import Aircraft, Flow, Trim, main_rotor_loads, still_thrust, tail_rotor_loads, trim

SHORT_STEP_RAD = math.radians(0.15)
"""A step along the slopes as short as this is the last one."""
LONGEST_STEP_RAD = math.radians(1.5)
"""A longer step along the slopes would not be trusted: the load is trimmed in full instead."""
MOST_STEPS = 4

Floats = NDArray[np.float64]


def moved_demand(
    trimmed: tuple[tuple[Trim, ...], ...], craft: Aircraft, moved: Aircraft, speeds_rad_s: Floats
) -> Demand:
    """Return what the loads ask of an aircraft with an input moved, stepping from the trims of the unmoved one."""
    rows = [
        [_moved_row(t, load, craft, moved, float(speed)) for load, t in zip(LOADS, mode, strict=True)]
        for mode, speed in zip(trimmed, speeds_rad_s, strict=True)
    ]
    return as_demand(np.array(rows), moved, speeds_rad_s)


def _moved_row(t: Trim, load: str, craft: Aircraft, moved: Aircraft, speed_rad_s: float) -> tuple[float, ...]:
    """Return a row of the moved aircraft, found from the old trim and its slopes."""
    goal, flow = _moved_goal(t, load, moved)
    collective = moved.collective_max_rad if load == CLIMB else t.collective_rad
    as_before = (
        _same_air(craft, moved) and moved.rotor == craft.rotor and (flow, collective) == (t.flow, t.collective_rad)
    )
    loads = t.loads if as_before else main_rotor_loads(moved, speed_rad_s, collective, flow)
    goal = loads.thrust_n if load == CLIMB else goal
    thrust = goal if t.code == Stop.DONE else loads.thrust_n
    main = _stepped(
        lambda pitch: main_rotor_loads(moved, speed_rad_s, pitch, flow),
        (collective, loads),
        thrust,
        (t.thrust_per_rad, t.torque_per_rad),
    )
    if main is None:
        return demand_row(trim(moved, load, speed_rad_s), moved.tail)
    same_tail = _same_air(craft, moved) and moved.tail == craft.tail
    tail_loads_now = t.tail_loads if same_tail else tail_rotor_loads(moved, speed_rad_s, t.tail_pitch_rad)
    tail_wanted = main[1] / moved.tail.arm_m
    tail = _stepped(
        lambda pitch: tail_rotor_loads(moved, speed_rad_s, pitch),
        (t.tail_pitch_rad, tail_loads_now),
        tail_wanted if t.tail_code == Stop.DONE else tail_loads_now.thrust_n,
        (t.tail_thrust_per_rad, t.tail_torque_per_rad),
    )
    if tail is None:
        return demand_row(trim(moved, load, speed_rad_s), moved.tail)
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
        along = moved.weight_n - t.loads.drag_n * math.sin(angle)
        ahead = drag + t.loads.drag_n * math.cos(angle)
        return math.hypot(along, ahead), Flow(moved.forward_m_s, math.atan2(ahead, along))
    return still_thrust(moved, load if load in (HOVER, HARD_CYCLIC) else HOVER), Flow(0.0, 0.0)
