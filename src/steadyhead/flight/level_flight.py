"""One load flown level at one head speed: the collective that carries it, with the inflow of every ring settled."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.linear_rates import ALOFT_M, settle_inflow
from steadyhead.physics.craft import GRAVITY_M_S2, Acting, Craft, Held, State
from steadyhead.physics.flight_step import climb_rate
from steadyhead.physics.kernel import kernel
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import NOW, TRIED, settled_flow

TRIM_TRY_RAD = math.radians(0.05)
TRIM_END_RAD = 1e-6
REARWARD_END = 1e-8
TRIM_LONGEST_RAD = 0.05
TRIM_ROUNDS = 120
FIRST_TILT_RAD = 0.1
"""Disc angle in forward flight that the search for the inflow begins with."""


class Level(NamedTuple):
    """A load flown level. SI; `tilting` is what tilts the disc, `found` 1 where a collective carries it, else 0."""

    collective_rad: float
    held: Held
    tilting: Held
    found: float


@kernel
def first_flow(craft: Craft, acting: Acting, head_rad_s: float, flow: NDArray[np.float64]) -> None:
    """Write the inflow that a search begins with into rows NOW and TRIED, m/s.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`.
    Valid: as `rotor_flow.settled_flow`.
    Source: `rotor_flow.settled_flow`.
    """
    tilt = FIRST_TILT_RAD if acting.forward_m_s > 0.0 else 0.0
    through, edgewise = acting.forward_m_s * math.sin(tilt), acting.forward_m_s * math.cos(tilt)
    for row in range(flow.shape[0]):
        for ring in range(flow.shape[1]):
            flow[row, ring] = 0.0
    motion = Motion(head_rad_s, acting.collective_rad, 0.0, through, edgewise)
    settled_flow(craft.rotor, craft.section, craft.air, motion, flow)
    for ring in range(flow.shape[1]):
        flow[TRIED, ring] = flow[NOW, ring]


@kernel
def tilted(held: Held, rearward_n: float) -> Held:
    """The same loads with another rearward force, N.

    Valid: any.
    Source: definition.
    """
    return Held(
        held.thrust_n, held.torque_nm, rearward_n, held.inflow_m_s, held.stalled_share, held.tail_nm, held.tilt_rad,
        held.lift_n, held.pull_n, held.drag_up_n, held.drag_back_n,
    )  # fmt: skip


@kernel
def level_flight(craft: Craft, head_rad_s: float, first: Acting, start: Held, flow: NDArray[np.float64]) -> Level:
    """Collective that carries a load level, rad, with the loads there; the inflow is left in row TRIED of `flow`.

    x = x - a / a', a the vertical acceleration left; the rearward force that tilts the disc goes half way each round,
    since pitch and rearward force swing round each other otherwise.
    Shapes: flow (3, 12) as `rotor_flow.flow_loads`.
    Valid: as `linear_rates.settle_inflow`; `first` holds a collective near the answer; at most 120 rounds.
    Source: Newton's method on `flight_step.climb_rate`.
    """
    state = State(head_rad_s, 0.0, ALOFT_M, 0.0, 0.5, 0.0, 300.0, 300.0, 300.0, 1.0)
    weight = first.load_factor * craft.body.mass_kg * GRAVITY_M_S2
    pitch, tilting, beside = first.collective_rad, start, np.empty_like(flow)
    held = start
    first_flow(craft, first, head_rad_s, flow)
    for _ in range(TRIM_ROUNDS):
        here = Acting(0.0, pitch, first.forward_m_s, 0.0, first.load_factor, 0.0, math.nan)
        held = settle_inflow(craft, here, tilting, head_rad_s, 0.0, flow)
        for row in range(flow.shape[0]):
            for ring in range(flow.shape[1]):
                beside[row, ring] = flow[row, ring]
        more = Acting(0.0, pitch + TRIM_TRY_RAD, first.forward_m_s, 0.0, first.load_factor, 0.0, math.nan)
        held_beside = settle_inflow(craft, more, tilting, head_rad_s, 0.0, beside)
        miss = climb_rate(craft, state, here, held)
        slope = (climb_rate(craft, state, more, held_beside) - miss) / TRIM_TRY_RAD
        step = -miss / slope if slope > 0.0 else TRIM_TRY_RAD
        step = min(max(step, -TRIM_LONGEST_RAD), TRIM_LONGEST_RAD)
        if abs(step) < TRIM_END_RAD and abs(held.rearward_n - tilting.rearward_n) < REARWARD_END * weight:
            return Level(pitch, held, tilting, 1.0)
        pitch += step
        tilting = tilted(tilting, 0.5 * (tilting.rearward_n + held.rearward_n))
    return Level(pitch, held, tilting, 0.0)
