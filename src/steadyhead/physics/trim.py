"""Collective that gives a wanted thrust, and the greatest thrust a rotor can give."""

import math
from enum import IntEnum
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.forward import edgewise_loads
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Rotor, RotorLoads, axial_loads

SCAN_STEP_RAD = math.radians(2.0)
SCAN_STEPS = 15
GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)
TRIM_PASSES = 4


class Stop(IntEnum):
    """How a search for a collective ended."""

    DONE = 0
    STALLED = 1
    OUT_OF_PITCH = 2


STOP_SAYS = {
    Stop.DONE: "the collective gives the wanted thrust",
    Stop.STALLED: "the blades stall before the wanted thrust is reached; the collective is the one of greatest thrust",
    Stop.OUT_OF_PITCH: "30 degrees of pitch do not reach the wanted thrust; the collective is the nearest looked at",
}
DONE, STALLED, OUT_OF_PITCH = int(Stop.DONE), int(Stop.STALLED), int(Stop.OUT_OF_PITCH)


class Flow(NamedTuple):
    """How the rotor moves through the air. SI; climb is used without forward speed, the disc angle with it."""

    climb_m_s: float
    forward_m_s: float
    disc_angle_rad: float


class ForwardTrim(NamedTuple):
    """Level flight at a speed. SI; disc angle positive nose down, `code` a Stop."""

    thrust_n: float
    disc_angle_rad: float
    collective_rad: float
    code: int


@kernel
def loads_in(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, collective_rad: float, flow: Flow
) -> RotorLoads:
    """Loads of a rotor in axial or forward flight, whichever the flow is.

    Valid: as `axial_loads` and `edgewise_loads`.
    Source: as `axial_loads` and `edgewise_loads`.
    """
    if flow.forward_m_s == 0.0:
        return axial_loads(rotor, section, air, speed_rad_s, collective_rad, flow.climb_m_s)
    return edgewise_loads(rotor, section, air, speed_rad_s, collective_rad, flow.forward_m_s, flow.disc_angle_rad)


@kernel
def greatest_within(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, side: float, middle_rad: float, flow: Flow
) -> tuple[float, float]:
    """Collective of greatest thrust (times side) within one scan step of an angle, and that thrust, rad and N.

    Valid: one top within the span.
    Source: golden section search.
    """
    low, high = middle_rad - SCAN_STEP_RAD, middle_rad + SCAN_STEP_RAD
    a, b = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_a = side * loads_in(rotor, section, air, speed_rad_s, a, flow).thrust_n
    at_b = side * loads_in(rotor, section, air, speed_rad_s, b, flow).thrust_n
    while high - low > 1e-4:
        if at_a > at_b:
            high, b, at_b = b, a, at_a
            a = high - GOLDEN * (high - low)
            at_a = side * loads_in(rotor, section, air, speed_rad_s, a, flow).thrust_n
        else:
            low, a, at_a = a, b, at_b
            b = low + GOLDEN * (high - low)
            at_b = side * loads_in(rotor, section, air, speed_rad_s, b, flow).thrust_n
    if at_a > at_b:
        return a, side * at_a
    return b, side * at_b


@kernel
def collective_between(
    rotor: Rotor,
    section: Section,
    air: Air,
    speed_rad_s: float,
    thrust_n: float,
    flow: Flow,
    span_rad: tuple[float, float],
) -> float:
    """Collective between two that bracket a thrust, rad.

    False position with Anderson and Bjorck's weights and halving; to 1e-10 of the thrust or 1e-9 rad.
    Valid: thrust runs through the wanted value between the two.
    Source: Anderson and Bjorck 1973, BIT 13 (from memory).
    """
    low, high = span_rad
    at_low = loads_in(rotor, section, air, speed_rad_s, low, flow).thrust_n - thrust_n
    at_high = loads_in(rotor, section, air, speed_rad_s, high, flow).thrust_n - thrust_n
    if at_low == 0.0:
        return low
    width = abs(high - low)
    for turn in range(100):
        if at_high == 0.0:
            return high
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        if turn % 3 == 2:
            if abs(high - low) > 0.5 * width:
                middle = 0.5 * (low + high)
            width = abs(high - low)
        value = loads_in(rotor, section, air, speed_rad_s, middle, flow).thrust_n - thrust_n
        if abs(value) <= 1e-10 * abs(thrust_n) or abs(middle - high) < 1e-9:
            return middle
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        high, at_high = middle, value
    return high


@kernel
def collective_in(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float, flow: Flow
) -> tuple[float, int]:
    """Collective that gives a thrust, rad, and a Stop code; without enough thrust the collective of the most.

    Valid: any thrust of either sign; looks from zero pitch outwards, so the answer is the one before stall.
    Source: scan and bracket, common practice, no source.
    """
    last, before = 0.0, loads_in(rotor, section, air, speed_rad_s, 0.0, flow).thrust_n
    side = 1.0 if thrust_n >= before else -1.0
    for _ in range(SCAN_STEPS):
        new = last + side * SCAN_STEP_RAD
        now = loads_in(rotor, section, air, speed_rad_s, new, flow).thrust_n
        if side * now >= side * thrust_n:
            return collective_between(rotor, section, air, speed_rad_s, thrust_n, flow, (last, new)), DONE
        if side * now < side * before:
            top, most = greatest_within(rotor, section, air, speed_rad_s, side, last, flow)
            if side * most < side * thrust_n:
                return top, STALLED
            start = last - side * SCAN_STEP_RAD
            return collective_between(rotor, section, air, speed_rad_s, thrust_n, flow, (start, top)), DONE
        last, before = new, now
    return last, OUT_OF_PITCH


@kernel
def collective_for_thrust(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float, climb_m_s: float
) -> tuple[float, int]:
    """Collective that gives a thrust in hover, climb or descent, rad, and a Stop code.

    Valid: as `axial_loads`; when the code is not DONE the collective is the one of the greatest thrust found.
    Source: `collective_in`.
    """
    return collective_in(rotor, section, air, speed_rad_s, thrust_n, Flow(climb_m_s, 0.0, 0.0))


@kernel
def collective_for_thrust_forward(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float, forward_m_s: float,
    disc_angle_rad: float,
) -> tuple[float, int]:  # fmt: skip
    """Collective that gives a thrust at a forward speed and disc angle, rad, and a Stop code.

    Valid: as `edgewise_loads`; when the code is not DONE the collective is the one of the greatest thrust found.
    Source: `collective_in`.
    """
    return collective_in(rotor, section, air, speed_rad_s, thrust_n, Flow(0.0, forward_m_s, disc_angle_rad))


@kernel
def greatest_thrust(rotor: Rotor, section: Section, air: Air, speed_rad_s: float, flow: Flow) -> tuple[float, float]:
    """Greatest thrust a rotor gives, N, and its collective, rad; looked for up to 30 degrees of pitch.

    Valid: as good as the section's greatest lift, the least certain number of a polar.
    Source: `collective_in`.
    """
    last, before = 0.0, loads_in(rotor, section, air, speed_rad_s, 0.0, flow).thrust_n
    for _ in range(SCAN_STEPS):
        new = last + SCAN_STEP_RAD
        now = loads_in(rotor, section, air, speed_rad_s, new, flow).thrust_n
        if now < before:
            top, most = greatest_within(rotor, section, air, speed_rad_s, 1.0, last, flow)
            return most, top
        last, before = new, now
    return before, last


@kernel
def forward_trim(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, weight_n: float, drag_area_m2: float,
    forward_m_s: float,
) -> ForwardTrim:  # fmt: skip
    """Thrust, disc angle and collective of level flight at a speed.

    T sin(a) = D + H cos(a), T cos(a) = W + H sin(a), D = rho/2 V^2 f, H the rotor's own rearward force
    Valid: steady level flight, airframe drag as one drag area, no lift or pitching moment of the airframe.
    Source: balance of forces; any rotor textbook.
    """
    drag = 0.5 * air.density_kg_m3 * forward_m_s * forward_m_s * drag_area_m2
    rearward, angle, thrust, collective, code = 0.0, 0.0, weight_n, 0.0, DONE
    for _ in range(TRIM_PASSES):
        along = weight_n + rearward * math.sin(angle)
        ahead = drag + rearward * math.cos(angle)
        thrust, angle = math.hypot(along, ahead), math.atan2(ahead, along)
        flow = Flow(0.0, forward_m_s, angle)
        collective, code = collective_in(rotor, section, air, speed_rad_s, thrust, flow)
        if code != DONE or forward_m_s == 0.0:
            break
        new = edgewise_loads(rotor, section, air, speed_rad_s, collective, forward_m_s, angle).drag_n
        if abs(new - rearward) < 1e-6 * weight_n:
            break
        rearward = new
    return ForwardTrim(thrust, angle, collective, code)
