"""The same rotor with air across the disc: Glauert inflow ring by ring, loads averaged round the azimuth."""

import math

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.ring import ring_inflow
from steadyhead.physics.rotor import Motion, Rotor, RotorLoads, disc_loads, ring_at

CYCLIC_PASSES = 8
CYCLIC_CLOSE_RAD = 1e-5


@kernel
def level_cyclic(collective_rad: float, advance_ratio: float, inflow_ratio: float) -> float:
    """Cyclic pitch on the advancing side that leaves no rolling moment, rad.

    theta_1s = -mu (8/3 theta - 2 lambda) / (1 + 3/2 mu^2)
    Valid: advance ratio below about 0.35, no stall, linear lift, little twist.
    Source: rolling moment of linear blade-element theory set to zero; Gessow and Myers 1952 (from memory).
    """
    return -advance_ratio * (8.0 / 3.0 * collective_rad - 2.0 * inflow_ratio) / (1.0 + 1.5 * advance_ratio**2)


@kernel
def flight_loads(rotor: Rotor, section: Section, air: Air, motion: Motion) -> RotorLoads:
    """Loads of a rotor in any steady flight, with the cyclic pitch that leaves no rolling moment.

    The cyclic in `motion` is where the search starts; one ring at 0.75 R finds it nearly, the whole disc settles it.
    Valid: as `edgewise_loads`; without edgewise speed there is no cyclic.
    Source: `disc_loads`, `level_cyclic`.
    """
    tip_speed = motion.speed_rad_s * rotor.radius_m
    advance, cyclic = motion.edgewise_m_s / tip_speed, 0.0
    turn, pitch, through, edgewise = motion.speed_rad_s, motion.collective_rad, motion.through_m_s, motion.edgewise_m_s
    passes = 0 if edgewise == 0.0 else CYCLIC_PASSES
    place = max(0.75 * rotor.radius_m, 0.5 * (rotor.radius_m + rotor.root_cutout_m))
    for _ in range(min(passes, 3)):
        sample = ring_at(rotor, air, Motion(turn, pitch, cyclic, through, edgewise), place)
        cyclic = level_cyclic(pitch, advance, (through + ring_inflow(sample, section)) / tip_speed)
    loads = disc_loads(rotor, section, air, Motion(turn, pitch, cyclic, through, edgewise))
    for _ in range(passes):
        wanted = level_cyclic(pitch, advance, (through + loads.inflow_m_s) / tip_speed)
        if abs(wanted - cyclic) < CYCLIC_CLOSE_RAD:
            break
        cyclic = wanted
        loads = disc_loads(rotor, section, air, Motion(turn, pitch, cyclic, through, edgewise))
    return loads


@kernel
def edgewise_loads(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, collective_rad: float, forward_m_s: float,
    disc_angle_rad: float,
) -> RotorLoads:  # fmt: skip
    """Thrust along the disc axis, torque and power of a rotor flying at a speed with its disc tilted.

    Disc angle is positive nose down (air through the disc from above). The cyclic pitch is the one that leaves no
    rolling moment, so the answer is that of a rotor held level. Without speed this is the hover of `axial_loads`.
    Valid: advance ratio below about 0.35; uneven inflow across the disc, coning and blade bending left out.
    Source: Glauert 1926, ARC R&M 1111, ring by ring; `level_cyclic`.
    """
    through, edgewise = forward_m_s * math.sin(disc_angle_rad), abs(forward_m_s * math.cos(disc_angle_rad))
    return flight_loads(rotor, section, air, Motion(speed_rad_s, collective_rad, 0.0, through, edgewise))
