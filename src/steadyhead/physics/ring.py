"""One ring of the disc: what its blade elements give, what momentum theory allows, and the inflow where both agree."""

import math
from typing import NamedTuple

import numpy as np

from steadyhead.physics.inflow import thrust_factor
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.polar_table import Section, coefficients, is_stalled
from steadyhead.physics.series import angle_of, exp_falling, quarter_turns

AZIMUTHS = 8
SINES = np.sin(np.pi * ((np.arange(AZIMUTHS) + 0.5) / AZIMUTHS - 0.5))
TYPICAL_SLOPE = 5.7
SECANT_TURNS = 10
SECANT_SHARE = 1e-7
SOLVE_SHARE = 1e-9
FIRST_REACH = 0.03
SOLVE_TURNS = 200


class Ring(NamedTuple):
    """One ring of the disc. SI; edges are Prandtl's exponents times the sine of the inflow angle.

    `through_m_s` is the air speed down the shaft without the inflow, `edgewise_m_s` across it.
    """

    pitch_rad: float
    cyclic_rad: float
    tangential_m_s: float
    through_m_s: float
    edgewise_m_s: float
    solidity: float
    tip_edge: float
    root_edge: float
    reynolds_per_m_s: float
    mach_per_m_s: float


class RingMean(NamedTuple):
    """Azimuth means of one ring for one unit of rho/2 B c dr. SI, m2/s2; `stalled` a share."""

    thrust: float
    lift_in_plane: float
    drag_in_plane: float
    rearward: float
    stalled: float


@inlined_kernel
def loss_factor(ring: Ring, sine_ratio: float) -> float:
    """Prandtl's factor for tip and root together, at the sine of the inflow angle.

    F = (2/pi acos exp(-f_tip)) (2/pi acos exp(-f_root)), f = edge / |sin(phi)|
    Valid: any inflow angle; 1 when no air goes through.
    Source: Prandtl in Betz 1919; root form as in Glauert 1935 (from memory).
    """
    size = max(abs(sine_ratio), 1e-9)
    return quarter_turns(exp_falling(ring.tip_edge / size)) * quarter_turns(exp_falling(ring.root_edge / size))


@inlined_kernel
def blade_forces(
    ring: Ring, section: Section, inflow_m_s: float, sine_ratio: float
) -> tuple[float, float, float, float]:
    """Thrust, lift and drag in the plane, and rearward force of a ring's blades at one azimuth, m2/s2.

    `sine_ratio` is that of the azimuth, 1 on the advancing side, 0 where there is no edgewise speed.
    Valid: rigid blades in the frame of the disc, no coning; the section table covers the whole circle.
    Source: blade-element theory, Glauert 1926, ARC R&M 1111; any rotor textbook.
    """
    through = ring.through_m_s + inflow_m_s
    along = ring.tangential_m_s + ring.edgewise_m_s * sine_ratio
    speed = math.sqrt(along * along + through * through)
    alpha = ring.pitch_rad + ring.cyclic_rad * sine_ratio - angle_of(through, along)
    cl, cd = coefficients(section, alpha, ring.reynolds_per_m_s * speed, ring.mach_per_m_s * speed)
    rearward = speed * (cl * through + cd * along) * sine_ratio
    return speed * (cl * along - cd * through), speed * cl * through, speed * cd * along, rearward


@inlined_kernel
def ring_forces(ring: Ring, section: Section, inflow_m_s: float) -> tuple[float, float, float, float]:
    """Thrust, lift and drag in the plane, and rearward force of a ring as `RingMean` has them, m2/s2.

    Front and back halves are alike, so azimuths from the retreating to the advancing side stand for both; without
    edgewise speed one azimuth stands for all.
    Valid: as `blade_forces`.
    Source: `blade_forces`, averaged.
    """
    thrust = lift_in_plane = drag_in_plane = rearward = 0.0
    azimuths = AZIMUTHS if ring.edgewise_m_s > 0.0 else 1
    for azimuth in range(azimuths):
        sine = SINES[azimuth] if azimuths > 1 else 0.0
        up, lift, drag, back = blade_forces(ring, section, inflow_m_s, sine)
        thrust += up
        lift_in_plane += lift
        drag_in_plane += drag
        rearward += back
    share = 1.0 / azimuths
    return thrust * share, lift_in_plane * share, drag_in_plane * share, rearward * share


@kernel
def ring_thrust(ring: Ring, section: Section, inflow_m_s: float) -> float:
    """Thrust of a ring for one unit of rho/2 B c dr, averaged round the azimuth, m2/s2; all that the search needs.

    Valid: as `ring_mean`.
    Source: as `ring_mean`.
    """
    return ring_forces(ring, section, inflow_m_s)[0]


@inlined_kernel
def blade_stalled(ring: Ring, section: Section, inflow_m_s: float, sine_ratio: float) -> float:
    """1 where a ring's blades are past stall at one azimuth, 0 elsewhere; reverse flow does not count.

    Valid: as `blade_forces`.
    Source: definition; `polar_table.is_stalled`.
    """
    through = ring.through_m_s + inflow_m_s
    along = ring.tangential_m_s + ring.edgewise_m_s * sine_ratio
    speed = math.sqrt(along * along + through * through)
    alpha = ring.pitch_rad + ring.cyclic_rad * sine_ratio - angle_of(through, along)
    past = is_stalled(section, alpha, ring.reynolds_per_m_s * speed)
    return 1.0 if (along > 0.0) & past else 0.0


@kernel
def stalled_part(ring: Ring, section: Section, inflow_m_s: float) -> float:
    """Share of the azimuths of a ring at which the blade is past stall, 0 to 1; reverse flow does not count.

    Valid: as `ring_forces`.
    Source: `blade_stalled`, averaged.
    """
    stalled = 0.0
    azimuths = AZIMUTHS if ring.edgewise_m_s > 0.0 else 1
    for azimuth in range(azimuths):
        stalled += blade_stalled(ring, section, inflow_m_s, SINES[azimuth] if azimuths > 1 else 0.0)
    return stalled / azimuths


@kernel
def ring_mean(ring: Ring, section: Section, inflow_m_s: float) -> RingMean:
    """Loads of a ring averaged round the azimuth, reverse flow included.

    Valid: as `ring_forces`.
    Source: `ring_forces`, `stalled_part`.
    """
    thrust, lift_in_plane, drag_in_plane, rearward = ring_forces(ring, section, inflow_m_s)
    return RingMean(thrust, lift_in_plane, drag_in_plane, rearward, stalled_part(ring, section, inflow_m_s))


@inlined_kernel
def balance_of(ring: Ring, thrust_m2_s2: float, inflow_m_s: float) -> float:
    """Blade thrust of a ring (as `ring_mean` gives it) less its momentum thrust, over 4 pi r rho dr, m2/s2.

    sigma mean(W^2 (cl cos phi - cd sin phi)) / 4 - F vh^2(v, V)
    Valid: any flight; falls as inflow grows below stall, so its zero is one.
    Source: blade-element momentum theory, Glauert 1935; Leishman 2006 ch. 3 (from memory); swirl left out.
    """
    through = ring.through_m_s + inflow_m_s
    sine = through / math.sqrt(ring.tangential_m_s * ring.tangential_m_s + through * through)
    momentum = thrust_factor(inflow_m_s, ring.through_m_s, ring.edgewise_m_s)
    return 0.25 * ring.solidity * thrust_m2_s2 - loss_factor(ring, sine) * momentum


@kernel
def ring_balance(ring: Ring, section: Section, inflow_m_s: float) -> float:
    """Blade thrust of a ring less its momentum thrust at a tried inflow, over 4 pi r rho dr, m2/s2.

    Valid: as `balance_of`.
    Source: `balance_of`, `ring_thrust`.
    """
    return balance_of(ring, ring_thrust(ring, section, inflow_m_s), inflow_m_s)


@kernel
def inflow_guess(ring: Ring) -> tuple[float, float]:
    """Inflow of a ring for a lift slope of 5.7 per rad, m/s, and how fast its balance falls there, m/s.

    F v^2 + (F |V| + k) v = k (theta w r - V), k = sigma a w r / 4; first with F = 1, then with F at that inflow
    Valid: attached flow, as a start for the exact search only.
    Source: blade-element momentum theory linearised, Leishman 2006 ch. 3 (from memory).
    """
    lift = 0.25 * TYPICAL_SLOPE * ring.solidity * ring.tangential_m_s
    drive = lift * (ring.pitch_rad * ring.tangential_m_s - ring.through_m_s)
    stream = abs(ring.through_m_s) + ring.edgewise_m_s
    factor, size = 1.0, 0.0
    for _ in range(2):
        half = 0.5 * (stream + lift / factor)
        size = math.sqrt(half * half + abs(drive) / factor) - half
        through = ring.through_m_s + math.copysign(size, drive)
        factor = max(loss_factor(ring, through / ring.tangential_m_s), 0.05)
    return math.copysign(size, drive), -(lift + factor * (stream + 2.0 * size))


@kernel
def bracketed_inflow(ring: Ring, section: Section) -> float:
    """Inflow at which blade and momentum thrust of a ring agree, m/s.

    Looks from no inflow outwards until the sign changes, then false position with Anderson and Bjorck's weights, and a
    halving whenever three steps have not halved the bracket.
    Valid: any flight; past stall more than one answer may exist, one of them is returned.
    Source: Anderson and Bjorck 1973, BIT 13 (from memory).
    """
    low, at_low = 0.0, 0.0
    high, at_high = 0.0, ring_balance(ring, section, 0.0)
    if at_high == 0.0:
        return 0.0
    side = math.copysign(1.0, at_high)
    scale = ring.tangential_m_s + abs(ring.through_m_s) + ring.edgewise_m_s
    small, width, reach, bracketed = SOLVE_SHARE * scale, 0.0, FIRST_REACH * side * scale, False
    for turn in range(SOLVE_TURNS):
        if not bracketed:
            new = high + reach
            reach *= 2.0
        else:
            new = (low * at_high - high * at_low) / (at_high - at_low)
            if turn % 3 == 2:
                if abs(high - low) > 0.5 * width:
                    new = 0.5 * (low + high)
                width = abs(high - low)
        value = ring_balance(ring, section, new)
        if not bracketed or value * at_high < 0.0:
            bracketed = value * at_high <= 0.0
            low, at_low = high, at_high
            width = abs(new - low)
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        if bracketed and (value == 0.0 or abs(new - high) < small or abs(new - low) < small):
            return new
        high, at_high = new, value
    return high


@kernel
def ring_inflow(ring: Ring, section: Section) -> float:
    """Inflow at which blade and momentum thrust of a ring agree, m/s.

    Secant steps from a guess until one is below 1e-7 of the speeds in play (what is left is then far smaller); as soon
    as one does not halve the error, the bracketed search takes over.
    Valid: any flight; past stall more than one answer may exist, one of them is returned.
    Source: secant method; `bracketed_inflow`.
    """
    inflow, slope = inflow_guess(ring)
    speeds = ring.tangential_m_s + abs(ring.through_m_s) + ring.edgewise_m_s
    error = ring_balance(ring, section, inflow)
    for _ in range(SECANT_TURNS):
        new = inflow - error / slope
        if abs(new - inflow) <= SECANT_SHARE * speeds:
            return new
        value = ring_balance(ring, section, new)
        slope = (value - error) / (new - inflow)
        if not (abs(value) < 0.5 * abs(error) and slope < 0.0):
            break
        inflow, error = new, value
    return bracketed_inflow(ring, section)
