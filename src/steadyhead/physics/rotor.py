"""One rotor, main or tail: blade-element momentum theory summed over the rings of the disc."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.ring import Ring, ring_inflow, ring_mean


def fejer_rule(points: int) -> NDArray[np.float64]:
    """Places and weights on 0..1 that integrate a smooth function over the span, crowded at tip and root.

    Shapes: -> (points, 2)
    Source: Fejer's first rule, 1933; written after Trefethen, SIAM Review 2008 (from memory).
    """
    angle = (np.arange(points) + 0.5) * math.pi / points
    order = np.arange(1, points // 2 + 1)
    series = np.cos(2.0 * np.outer(angle, order)) / (4.0 * order**2 - 1.0)
    weight = (1.0 - 2.0 * series.sum(axis=1)) / points
    return np.ascontiguousarray(np.column_stack([0.5 * (1.0 - np.cos(angle)), weight]))


AXIAL_RULE = fejer_rule(16)
DESCENT_RULE = fejer_rule(48)
FLIGHT_RULE = fejer_rule(12)


class Rotor(NamedTuple):
    """Rectangular blades with linear twist. SI.

    Collective is the pitch at 0.75 R; twist is tip pitch minus the pitch the same line has at the shaft axis.
    """

    blades: float
    radius_m: float
    root_cutout_m: float
    chord_m: float
    twist_rad: float


class RotorLoads(NamedTuple):
    """What a rotor gives and takes at one operating point. SI.

    Induced power is what lift costs (climb work and drag of the airframe included), profile power what drag costs.
    `stalled_share` is the share of the swept disc past stall; `drag_n` the rearward force in the disc plane.
    """

    thrust_n: float
    torque_nm: float
    power_w: float
    induced_power_w: float
    profile_power_w: float
    inflow_m_s: float
    stalled_share: float
    drag_n: float


class Motion(NamedTuple):
    """How a rotor turns, is pitched and meets the air. SI; air down the shaft is positive, as in a climb."""

    speed_rad_s: float
    collective_rad: float
    cyclic_rad: float
    through_m_s: float
    edgewise_m_s: float


@inlined_kernel
def ring_at(rotor: Rotor, air: Air, motion: Motion, radius_m: float) -> Ring:
    """The ring at a radius, ready to be solved.

    theta = collective + twist (r / R - 0.75)
    Valid: root cutout < r < R.
    Source: Prandtl exponents: B/2 (R - r)/r at the tip, B/2 (r - r0)/r0 at the root, each over sin(phi).
    """
    half = 0.5 * rotor.blades
    return Ring(
        motion.collective_rad + rotor.twist_rad * (radius_m / rotor.radius_m - 0.75),
        motion.cyclic_rad,
        motion.speed_rad_s * radius_m,
        motion.through_m_s,
        motion.edgewise_m_s,
        rotor.blades * rotor.chord_m / (2.0 * math.pi * radius_m),
        half * (rotor.radius_m - radius_m) / radius_m,
        half * (radius_m - rotor.root_cutout_m) / max(rotor.root_cutout_m, 1e-9),
        rotor.chord_m / air.kinematic_viscosity_m2_s,
        1.0 / air.speed_of_sound_m_s,
    )


@kernel
def disc_loads(rotor: Rotor, section: Section, air: Air, motion: Motion) -> RotorLoads:
    """Loads of a rotor in any steady flight at a given cyclic pitch.

    Valid: rotor turning; rigid blades, no ground near, no airframe under the disc.
    Source: blade-element momentum theory, Glauert 1935, ring by ring.
    """
    thrust = lift_torque = drag_torque = flow = stalled = rearward = 0.0
    span = rotor.radius_m - rotor.root_cutout_m
    rule = AXIAL_RULE
    if motion.edgewise_m_s > 0.0:
        rule = FLIGHT_RULE
    elif motion.through_m_s < 0.0:
        rule = DESCENT_RULE
    for place, weight in rule:
        radius, width = rotor.root_cutout_m + span * place, span * weight
        ring = ring_at(rotor, air, motion, radius)
        inflow = ring_inflow(ring, section)
        mean = ring_mean(ring, section, inflow)
        force = 0.5 * air.density_kg_m3 * rotor.blades * rotor.chord_m * width
        thrust += force * mean.thrust
        lift_torque += force * mean.lift_in_plane * radius
        drag_torque += force * mean.drag_in_plane * radius
        rearward += force * mean.rearward
        area = 2.0 * radius * width
        flow += inflow * area
        stalled += mean.stalled * area
    swept = rotor.radius_m * rotor.radius_m - rotor.root_cutout_m * rotor.root_cutout_m
    torque, turn = lift_torque + drag_torque, motion.speed_rad_s
    return RotorLoads(
        thrust, torque, torque * turn, lift_torque * turn, drag_torque * turn, flow / swept, stalled / swept, rearward
    )


@kernel
def axial_loads(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, collective_rad: float, climb_m_s: float
) -> RotorLoads:
    """Thrust, torque and power of a rotor in hover, climb (positive) and descent (negative).

    Valid: hover, climb and windmill by momentum theory, between them by the measured mean inflow; as `disc_loads`.
    Source: `disc_loads`; `inflow.descent_curve` in descent.
    """
    return disc_loads(rotor, section, air, Motion(speed_rad_s, collective_rad, 0.0, climb_m_s, 0.0))


def figure_of_merit(loads: RotorLoads, rotor: Rotor, air: Air) -> float:
    """Ideal hover power over power needed, 0 to 1; NaN without thrust.

    T^1.5 / (sqrt(2 rho A) P)
    Valid: hover.
    Source: definition, any rotor textbook.
    """
    if loads.thrust_n <= 0.0 or loads.power_w <= 0.0:
        return math.nan
    area = math.pi * rotor.radius_m**2
    return loads.thrust_n * math.sqrt(loads.thrust_n / (2.0 * air.density_kg_m3 * area)) / loads.power_w
