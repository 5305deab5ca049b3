"""The rotor while its inflow moves: loads at a given inflow of each ring, and how fast each inflow changes."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.inflow_dynamics import inflow_rate
from steadyhead.physics.kernel import kernel, wide_kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.ring import balance_of, blade_forces, blade_stalled, ring_forces, ring_inflow
from steadyhead.physics.rotor import Motion, Rotor, RotorLoads, fejer_rule, ring_at

RINGS = 12
FLOW_RULE = fejer_rule(RINGS)
PLACES, WEIGHTS = np.ascontiguousarray(FLOW_RULE[:, 0]), np.ascontiguousarray(FLOW_RULE[:, 1])
NOW, RATE, TRIED = 0, 1, 2
STILL_RAD_S = 1.0
"""Below this the rotor stands: no load worth a number, and the rings' inflow dies out."""
STILL_FALL_PER_S = 20.0


class FlowSums(NamedTuple):
    """What the rings of a disc add up to. SI; `through_m3_s` is inflow times area over pi."""

    thrust_n: float
    lift_torque_nm: float
    drag_torque_nm: float
    rearward_n: float
    through_m3_s: float


@wide_kernel
def axial_sums(rotor: Rotor, section: Section, air: Air, motion: Motion, flow: NDArray[np.float64]) -> FlowSums:
    """Sums over the rings without edgewise speed, several rings at once; the rates go into row RATE of `flow`.

    Shapes: flow (3, 12) as `flow_loads`.
    Valid: as `flow_loads`, no edgewise speed.
    Source: as `flow_loads`.
    """
    thrust = lift_torque = drag_torque = through = 0.0
    span = rotor.radius_m - rotor.root_cutout_m
    if flow.shape[1] != RINGS:
        return FlowSums(math.nan, math.nan, math.nan, math.nan, math.nan)
    for number in range(RINGS):
        radius, width = rotor.root_cutout_m + span * PLACES[number], span * WEIGHTS[number]
        ring, inflow = ring_at(rotor, air, motion, radius), flow[TRIED, number]
        up, lift, drag, _ = blade_forces(ring, section, inflow, 0.0)
        flow[RATE, number] = inflow_rate(balance_of(ring, up, inflow), rotor.radius_m)
        force = 0.5 * air.density_kg_m3 * rotor.blades * rotor.chord_m * width
        thrust += force * up
        lift_torque += force * lift * radius
        drag_torque += force * drag * radius
        through += inflow * 2.0 * radius * width
    return FlowSums(thrust, lift_torque, drag_torque, 0.0, through)


@kernel
def edgewise_sums(rotor: Rotor, section: Section, air: Air, motion: Motion, flow: NDArray[np.float64]) -> FlowSums:
    """Sums over the rings, each averaged round the azimuth; the rates go into row RATE of `flow`.

    Shapes: flow (3, 12) as `flow_loads`.
    Valid: as `flow_loads`.
    Source: as `flow_loads`.
    """
    thrust = lift_torque = drag_torque = through = rearward = 0.0
    span = rotor.radius_m - rotor.root_cutout_m
    for number in range(RINGS):
        radius, width = rotor.root_cutout_m + span * PLACES[number], span * WEIGHTS[number]
        ring, inflow = ring_at(rotor, air, motion, radius), flow[TRIED, number]
        up, lift, drag, back = ring_forces(ring, section, inflow)
        flow[RATE, number] = inflow_rate(balance_of(ring, up, inflow), rotor.radius_m)
        force = 0.5 * air.density_kg_m3 * rotor.blades * rotor.chord_m * width
        thrust += force * up
        lift_torque += force * lift * radius
        drag_torque += force * drag * radius
        rearward += force * back
        through += inflow * 2.0 * radius * width
    return FlowSums(thrust, lift_torque, drag_torque, rearward, through)


@kernel
def flow_loads(
    rotor: Rotor,
    section: Section,
    air: Air,
    motion: Motion,
    flow: NDArray[np.float64],
) -> RotorLoads:
    """Loads of a rotor whose rings have the inflow in row TRIED of `flow`; how fast each changes goes into row RATE.

    Where every rate is zero these are the loads of `disc_loads`; the stalled share is left to `stalled_flow`.
    Shapes: flow (3, 12): inflow m/s, its rate m/s2, and the inflow tried, for the rings of FLOW_RULE, root to tip.
    Valid: as `disc_loads`; below 1 rad/s the rotor counts as standing.
    Source: blade-element theory ring by ring; `inflow_dynamics.inflow_rate`.
    """
    if motion.speed_rad_s < STILL_RAD_S:
        for number in range(RINGS):
            flow[RATE, number] = -STILL_FALL_PER_S * flow[TRIED, number]
        return RotorLoads(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    if motion.edgewise_m_s > 0.0:
        sums = edgewise_sums(rotor, section, air, motion, flow)
    else:
        sums = axial_sums(rotor, section, air, motion, flow)
    swept = rotor.radius_m * rotor.radius_m - rotor.root_cutout_m * rotor.root_cutout_m
    torque, turn = sums.lift_torque_nm + sums.drag_torque_nm, motion.speed_rad_s
    return RotorLoads(
        sums.thrust_n,
        torque,
        torque * turn,
        sums.lift_torque_nm * turn,
        sums.drag_torque_nm * turn,
        sums.through_m3_s / swept,
        0.0,
        sums.rearward_n,
    )


@wide_kernel
def stalled_flow(rotor: Rotor, section: Section, air: Air, motion: Motion, flow: NDArray[np.float64]) -> float:
    """Share of the swept disc past stall at the inflow in row NOW, 0 to 1; edgewise speed is left out.

    Shapes: flow (3, 12) as `flow_loads`.
    Valid: as `flow_loads`, no edgewise speed.
    Source: `ring.blade_stalled`.
    """
    span, stalled = rotor.radius_m - rotor.root_cutout_m, 0.0
    if motion.speed_rad_s < STILL_RAD_S:
        return 0.0
    for number in range(RINGS):
        radius, width = rotor.root_cutout_m + span * PLACES[number], span * WEIGHTS[number]
        ring = ring_at(rotor, air, motion, radius)
        stalled += blade_stalled(ring, section, flow[NOW, number], 0.0) * 2.0 * radius * width
    return stalled / (rotor.radius_m * rotor.radius_m - rotor.root_cutout_m * rotor.root_cutout_m)


def still_flow() -> NDArray[np.float64]:
    """Return the flow of a rotor in still air, ready to be settled or flown.

    Shapes: -> (3, 12)
    """
    return np.zeros((3, RINGS))


@kernel
def settled_loads(rotor: Rotor, section: Section, air: Air, motion: Motion, flow: NDArray[np.float64]) -> RotorLoads:
    """Loads of a rotor once its inflow has settled; what is left of the rates goes into row RATE of `flow`.

    Shapes: flow (3, 12) as `flow_loads`.
    Valid: as `disc_loads`.
    Source: `settled_flow`, `flow_loads`.
    """
    settled_flow(rotor, section, air, motion, flow)
    return flow_loads(rotor, section, air, motion, flow)


@kernel
def settled_flow(rotor: Rotor, section: Section, air: Air, motion: Motion, flow: NDArray[np.float64]) -> None:
    """Write the inflow that each ring settles at in steady flight, and that it does not change.

    Shapes: flow (3, 12) as `flow_loads`.
    Valid: as `disc_loads`.
    Source: `ring.ring_inflow`.
    """
    span = rotor.radius_m - rotor.root_cutout_m
    for number in range(RINGS):
        inflow = 0.0
        if motion.speed_rad_s >= STILL_RAD_S:
            ring = ring_at(rotor, air, motion, rotor.root_cutout_m + span * PLACES[number])
            inflow = ring_inflow(ring, section)
        flow[NOW, number] = flow[TRIED, number] = inflow
        flow[RATE, number] = 0.0
