"""The same rotor with air across the disc: Glauert inflow ring by ring, loads averaged round the azimuth."""

import math
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.inflow import thrust_factor
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section, coefficients, is_stalled
from steadyhead.physics.rotor import Annulus, Rotor, RotorLoads, annulus_at, annulus_edge, loss_factor

FLIGHT_ANNULI = 24
AZIMUTHS = 16
CYCLIC_PASSES = 8
SOLVE_TURNS = 100


class RingMean(NamedTuple):
    """Azimuth means of one ring for one unit of rho/2 B c dr. SI, m2/s2; `stalled` a share."""

    thrust: float
    lift_in_plane: float
    drag_in_plane: float
    rearward: float
    stalled: float


@kernel
def ring_mean(ring: Annulus, section: Section, cyclic_rad: float, edgewise_m_s: float, inflow_m_s: float) -> RingMean:
    """Loads of a ring averaged round the azimuth, reverse flow included.

    Valid: rigid blades in the frame of the disc, no coning; the section table covers the whole circle.
    Source: blade-element theory, Glauert 1926, ARC R&M 1111; any rotor textbook.
    """
    thrust = lift_in_plane = drag_in_plane = rearward = stalled = 0.0
    through = ring.climb_m_s + inflow_m_s
    for step in range(AZIMUTHS):
        sine = math.sin(2.0 * math.pi * (step + 0.5) / AZIMUTHS)
        along = ring.tangential_m_s + edgewise_m_s * sine
        speed = math.sqrt(along * along + through * through)
        alpha = ring.pitch_rad + cyclic_rad * sine - math.atan2(through, along)
        reynolds = ring.reynolds_per_m_s * speed
        cl, cd = coefficients(section, alpha, reynolds, ring.mach_per_m_s * speed)
        thrust += speed * (cl * along - cd * through)
        lift_in_plane += speed * cl * through
        drag_in_plane += speed * cd * along
        rearward += speed * (cl * through + cd * along) * sine
        if along > 0.0 and is_stalled(section, alpha, reynolds):
            stalled += 1.0
    share = 1.0 / AZIMUTHS
    return RingMean(thrust * share, lift_in_plane * share, drag_in_plane * share, rearward * share, stalled * share)


@kernel
def flight_balance(ring: Annulus, section: Section, cyclic_rad: float, edgewise_m_s: float, inflow_m_s: float) -> float:
    """Mean blade thrust of a ring less its momentum thrust, over 4 pi r rho dr, m2/s2.

    Valid: any flight; falls as inflow grows below stall, so its zero is one.
    Source: as `ring_mean`; momentum side `thrust_factor`.
    """
    mean = ring_mean(ring, section, cyclic_rad, edgewise_m_s, inflow_m_s)
    through = ring.climb_m_s + inflow_m_s
    sine = through / math.sqrt(ring.tangential_m_s * ring.tangential_m_s + through * through)
    momentum = thrust_factor(inflow_m_s, ring.climb_m_s, edgewise_m_s)
    return 0.25 * ring.solidity * mean.thrust - loss_factor(ring, sine) * momentum


@kernel
def flight_inflow(ring: Annulus, section: Section, cyclic_rad: float, edgewise_m_s: float) -> float:
    """Inflow at which mean blade thrust and momentum thrust of a ring agree, m/s.

    Bracketed false position with halving, as `ring_inflow`.
    Valid: any flight; past stall more than one answer may exist, one of them is returned.
    Source: Illinois rule, Dowell and Jarratt 1971 (from memory).
    """
    low, at_low = 0.0, flight_balance(ring, section, cyclic_rad, edgewise_m_s, 0.0)
    if at_low == 0.0:
        return 0.0
    side = math.copysign(1.0, at_low)
    high = side * 0.05 * (ring.tangential_m_s + edgewise_m_s)
    at_high = flight_balance(ring, section, cyclic_rad, edgewise_m_s, high)
    for _ in range(60):
        if at_high * side < 0.0:
            break
        low, at_low = high, at_high
        high *= 2.0
        at_high = flight_balance(ring, section, cyclic_rad, edgewise_m_s, high)
    small = 1e-10 * (ring.tangential_m_s + edgewise_m_s)
    width = abs(high - low)
    for turn in range(SOLVE_TURNS):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        if turn % 3 == 2:
            if abs(high - low) > 0.5 * width:
                middle = 0.5 * (low + high)
            width = abs(high - low)
        value = flight_balance(ring, section, cyclic_rad, edgewise_m_s, middle)
        if value == 0.0 or abs(middle - high) < small:
            return middle
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        high, at_high = middle, value
        if abs(high - low) < small:
            return middle
    return high


@kernel
def level_cyclic(collective_rad: float, advance: float, inflow_ratio: float) -> float:
    """Cyclic pitch on the advancing side that leaves no rolling moment, rad.

    theta_1s = -mu (8/3 theta - 2 lambda) / (1 + 3/2 mu^2)
    Valid: advance ratio below about 0.35, no stall, linear lift.
    Source: rolling moment of linear blade-element theory set to zero; Gessow and Myers 1952 (from memory).
    """
    return -advance * (8.0 / 3.0 * collective_rad - 2.0 * inflow_ratio) / (1.0 + 1.5 * advance * advance)


@kernel
def loads_with_cyclic(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, collective_rad: float, cyclic_rad: float,
    through_m_s: float, edgewise_m_s: float,
) -> RotorLoads:  # fmt: skip
    """Loads of a rotor in flight at a given cyclic pitch.

    Valid: as `edgewise_loads`.
    Source: as `edgewise_loads`.
    """
    thrust = lift_torque = drag_torque = flow = stalled = rearward = 0.0
    inner = annulus_edge(rotor, 0.0)
    for ring_number in range(FLIGHT_ANNULI):
        outer = annulus_edge(rotor, (ring_number + 1.0) / FLIGHT_ANNULI)
        radius, width = 0.5 * (inner + outer), outer - inner
        ring = annulus_at(rotor, air, radius, speed_rad_s, collective_rad, through_m_s)
        inflow = flight_inflow(ring, section, cyclic_rad, edgewise_m_s)
        mean = ring_mean(ring, section, cyclic_rad, edgewise_m_s, inflow)
        force = 0.5 * air.density_kg_m3 * rotor.blades * rotor.chord_m * width
        thrust += force * mean.thrust
        lift_torque += force * mean.lift_in_plane * radius
        drag_torque += force * mean.drag_in_plane * radius
        rearward += force * mean.rearward
        area = 2.0 * radius * width
        flow += inflow * area
        stalled += mean.stalled * area
        inner = outer
    swept = rotor.radius_m * rotor.radius_m - rotor.root_cutout_m * rotor.root_cutout_m
    torque = lift_torque + drag_torque
    return RotorLoads(
        thrust, torque, torque * speed_rad_s, lift_torque * speed_rad_s, drag_torque * speed_rad_s,
        flow / swept, stalled / swept, rearward,
    )  # fmt: skip


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
    through = forward_m_s * math.sin(disc_angle_rad)
    edgewise = abs(forward_m_s * math.cos(disc_angle_rad))
    tip_speed = speed_rad_s * rotor.radius_m
    advance = edgewise / tip_speed
    cyclic = 0.0
    loads = loads_with_cyclic(rotor, section, air, speed_rad_s, collective_rad, cyclic, through, edgewise)
    if edgewise == 0.0:
        return loads
    for _ in range(CYCLIC_PASSES):
        wanted = level_cyclic(collective_rad, advance, (through + loads.inflow_m_s) / tip_speed)
        if abs(wanted - cyclic) < 1e-6:
            break
        cyclic = wanted
        loads = loads_with_cyclic(rotor, section, air, speed_rad_s, collective_rad, cyclic, through, edgewise)
    return loads
