"""One rotor, main or tail: blade-element momentum theory, annulus by annulus, along the axis."""

import math
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.inflow import axial_thrust_factor
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section, coefficients, is_stalled

ANNULI = 48
ZERO_LIFT_REACH_RAD = 0.2
SOLVE_TURNS = 200


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


class Annulus(NamedTuple):
    """One ring of the disc. SI; edges are the Prandtl exponents times the sine of the inflow angle."""

    pitch_rad: float
    tangential_m_s: float
    climb_m_s: float
    solidity: float
    tip_edge: float
    root_edge: float
    reynolds_per_m_s: float
    mach_per_m_s: float


@kernel
def pitch_at(rotor: Rotor, collective_rad: float, radius_m: float) -> float:
    """Blade pitch at a radius, rad.

    theta = collective + twist (r / R - 0.75)
    Valid: linear twist.
    Source: definition.
    """
    return collective_rad + rotor.twist_rad * (radius_m / rotor.radius_m - 0.75)


@kernel
def annulus_edge(rotor: Rotor, place: float) -> float:
    """Radius of a ring's edge, m; rings crowd at tip and root, where the loss factor bends.

    r = r0 + (R - r0) (1 - cos(pi x)) / 2
    Valid: x 0 at the root cutout to 1 at the tip.
    Source: cosine spacing, common practice, no source.
    """
    return rotor.root_cutout_m + (rotor.radius_m - rotor.root_cutout_m) * 0.5 * (1.0 - math.cos(math.pi * place))


@kernel
def annulus_at(
    rotor: Rotor, air: Air, radius_m: float, speed_rad_s: float, collective_rad: float, climb_m_s: float
) -> Annulus:
    """The ring at a radius, ready to be solved.

    Valid: root cutout < r < R.
    Source: Prandtl exponents: B/2 (R - r)/r at the tip, B/2 (r - r0)/r0 at the root, each over sin(phi).
    """
    half = 0.5 * rotor.blades
    root = half * (radius_m - rotor.root_cutout_m) / max(rotor.root_cutout_m, 1e-9)
    return Annulus(
        pitch_at(rotor, collective_rad, radius_m),
        speed_rad_s * radius_m,
        climb_m_s,
        rotor.blades * rotor.chord_m / (2.0 * math.pi * radius_m),
        half * (rotor.radius_m - radius_m) / radius_m,
        root,
        rotor.chord_m / air.kinematic_viscosity_m2_s,
        1.0 / air.speed_of_sound_m_s,
    )


@kernel
def loss_factor(ring: Annulus, sine: float) -> float:
    """Prandtl's factor for tip and root together.

    F = (2/pi acos exp(-f_tip)) (2/pi acos exp(-f_root)), f = edge / |sin(phi)|
    Valid: any inflow angle; 1 when no air goes through.
    Source: Prandtl in Betz 1919; root form as in Glauert 1935 (from memory).
    """
    size = max(abs(sine), 1e-9)
    tip, root = ring.tip_edge / size, ring.root_edge / size
    factor = 1.0
    if tip < 30.0:
        factor *= 2.0 / math.pi * math.acos(math.exp(-tip))
    if root < 30.0:
        factor *= 2.0 / math.pi * math.acos(math.exp(-root))
    return factor


@kernel
def ring_balance(ring: Annulus, section: Section, inflow_m_s: float) -> float:
    """Blade thrust of a ring less its momentum thrust, over 4 pi r rho dr, m2/s2.

    sigma W^2 (cl cos phi - cd sin phi) / 4 - F vh^2(v, V)
    Valid: any axial flight; falls as inflow grows below stall, so its zero is one.
    Source: blade-element momentum theory, Glauert 1935; Leishman 2006 ch. 3 (from memory); swirl left out.
    """
    through = ring.climb_m_s + inflow_m_s
    speed = math.sqrt(ring.tangential_m_s * ring.tangential_m_s + through * through)
    sine, cosine = through / speed, ring.tangential_m_s / speed
    cl, cd = coefficients(
        section, ring.pitch_rad - math.atan2(through, ring.tangential_m_s), ring.reynolds_per_m_s * speed,
        ring.mach_per_m_s * speed,
    )  # fmt: skip
    blade = 0.25 * ring.solidity * speed * speed * (cl * cosine - cd * sine)
    return blade - loss_factor(ring, sine) * axial_thrust_factor(inflow_m_s, ring.climb_m_s)


@kernel
def ring_inflow(ring: Annulus, section: Section) -> float:
    """Inflow at which blade and momentum thrust of a ring agree, m/s.

    The bracket runs from no inflow to the inflow that takes the blade past zero lift; inside it false position with
    Anderson and Bjorck's weights, and a halving whenever three steps have not halved the bracket.
    Valid: any axial flight; past stall more than one answer may exist, one of them is returned.
    Source: Anderson and Bjorck 1973, BIT 13 (from memory).
    """
    low, at_low = 0.0, ring_balance(ring, section, 0.0)
    if at_low == 0.0:
        return 0.0
    side = math.copysign(1.0, at_low)
    tilt = min(max(ring.pitch_rad + side * ZERO_LIFT_REACH_RAD, -1.5), 1.5)
    high = ring.tangential_m_s * math.tan(tilt) - ring.climb_m_s
    if high * side <= 0.0:
        high = side * ring.tangential_m_s
    at_high = ring_balance(ring, section, high)
    for _ in range(60):
        if at_high * side < 0.0:
            break
        high *= 2.0
        at_high = ring_balance(ring, section, high)
    small = 1e-12 * (ring.tangential_m_s + abs(ring.climb_m_s))
    width = abs(high - low)
    for turn in range(SOLVE_TURNS):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        if turn % 3 == 2:
            if abs(high - low) > 0.5 * width:
                middle = 0.5 * (low + high)
            width = abs(high - low)
        value = ring_balance(ring, section, middle)
        if value == 0.0 or abs(high - low) < small:
            return middle
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        if abs(middle - high) < small:
            return middle
        high, at_high = middle, value
    return high


@kernel
def axial_loads(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, collective_rad: float, climb_m_s: float
) -> RotorLoads:
    """Thrust, torque and power of a rotor in hover, climb (positive) and descent (negative).

    Valid: rotor turning; hover, climb and windmill by momentum theory, between them by the measured mean inflow; rigid
    blades, no ground near, no fuselage under the disc.
    Source: blade-element momentum theory, Glauert 1935; `axial_thrust_factor`, `loss_factor`.
    """
    thrust = lift_torque = drag_torque = flow = stalled = 0.0
    inner = annulus_edge(rotor, 0.0)
    for ring_number in range(ANNULI):
        outer = annulus_edge(rotor, (ring_number + 1.0) / ANNULI)
        radius, width = 0.5 * (inner + outer), outer - inner
        ring = annulus_at(rotor, air, radius, speed_rad_s, collective_rad, climb_m_s)
        inflow = ring_inflow(ring, section)
        through = climb_m_s + inflow
        speed = math.sqrt(ring.tangential_m_s * ring.tangential_m_s + through * through)
        alpha = ring.pitch_rad - math.atan2(through, ring.tangential_m_s)
        reynolds = ring.reynolds_per_m_s * speed
        cl, cd = coefficients(section, alpha, reynolds, ring.mach_per_m_s * speed)
        force = 0.5 * air.density_kg_m3 * speed * rotor.blades * rotor.chord_m * width
        thrust += force * (cl * ring.tangential_m_s - cd * through)
        lift_torque += force * cl * through * radius
        drag_torque += force * cd * ring.tangential_m_s * radius
        area = 2.0 * radius * width
        flow += inflow * area
        if is_stalled(section, alpha, reynolds):
            stalled += area
        inner = outer
    swept = rotor.radius_m * rotor.radius_m - rotor.root_cutout_m * rotor.root_cutout_m
    torque = lift_torque + drag_torque
    return RotorLoads(
        thrust, torque, torque * speed_rad_s, lift_torque * speed_rad_s, drag_torque * speed_rad_s,
        flow / swept, stalled / swept, 0.0,
    )  # fmt: skip


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
