"""Collective that gives a wanted thrust, and the greatest thrust a rotor can give."""

import math
from enum import IntEnum
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.disc_path import air_at_disc, drag_per_speed
from steadyhead.physics.forward import flight_loads
from steadyhead.physics.inflow import glauert_inflow
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.ring import TYPICAL_SLOPE
from steadyhead.physics.rotor import Motion, Rotor

SCAN_STEP_RAD = math.radians(2.0)
NEAR_STEP_RAD = math.radians(0.3)
FINE_STEP_RAD = math.radians(0.1)
LIFT_END_RAD = math.radians(6.0)
PITCH_END_RAD = math.radians(30.0)
TOP_CLOSE_RAD = math.radians(0.01)
THRUST_SHARE = 1e-8
SECANT_TURNS = 5
SECANT_CLOSE_RAD = 1e-5
TRIM_PASSES = 6
EVER_MORE_N = 1e30


class Stop(IntEnum):
    """How a search for a collective ended."""

    DONE = 0
    STALLED = 1
    OUT_OF_PITCH = 2


STOP_SAYS = {
    Stop.DONE: "the collective gives the wanted thrust",
    Stop.STALLED: "the blades stall before the wanted thrust is reached; the collective is the one of greatest thrust",
    Stop.OUT_OF_PITCH: "30 degrees of pitch do not reach the wanted thrust; the collective is the last one tried",
}
DONE, STALLED, OUT_OF_PITCH = int(Stop.DONE), int(Stop.STALLED), int(Stop.OUT_OF_PITCH)


class ForwardTrim(NamedTuple):
    """Level flight at a speed. SI; disc angle positive nose down, `code` a Stop."""

    thrust_n: float
    disc_angle_rad: float
    collective_rad: float
    code: int


class Search(NamedTuple):
    """What a search for a collective wants and where it starts. SI; the air's motion as in `rotor.Motion`.

    `rad_per_n` is how far the collective goes for a newton by linear theory, 0 when a guess is not to be trusted.
    """

    thrust_n: float
    speed_rad_s: float
    through_m_s: float
    edgewise_m_s: float
    start_rad: float
    step_rad: float
    rad_per_n: float


@kernel
def motion_at(search: Search, collective_rad: float) -> Motion:
    """How the rotor moves at one collective of a search.

    Valid: any search.
    Source: definition.
    """
    return Motion(search.speed_rad_s, collective_rad, 0.0, search.through_m_s, search.edgewise_m_s)


@kernel
def search_near(
    rotor: Rotor, air: Air, thrust_n: float, speed_rad_s: float, through_m_s: float, edgewise_m_s: float
) -> Search:
    """Search for a thrust that starts at the collective of linear theory.

    theta = 6 CT / (sigma a) + 3/2 (V + v) / (w R); lift held to 6 degrees, so that the start lies below stall
    Valid: as a start only; in descent the air through the disc is a coarse reading of the measured curve: as in hover
    down to 1.5 vh, then falling through nothing at 1.8 vh to V + 5.6 vh^3 / V^2.
    Source: uniform-inflow blade-element theory, Leishman 2006 ch. 3 (from memory).
    """
    area = math.pi * rotor.radius_m * rotor.radius_m
    tip_speed = speed_rad_s * rotor.radius_m
    hover = math.sqrt(abs(thrust_n) / (2.0 * air.density_kg_m3 * area))
    climb = math.copysign(through_m_s, through_m_s * thrust_n)
    net = climb + glauert_inflow(hover, edgewise_m_s, max(climb, 0.0))
    if climb < -1.8 * hover:
        net = climb + 5.6 * hover * hover * hover / (climb * climb)
    elif climb < 0.0:
        net = min(hover, (6.0 * hover + climb / 0.3) if climb < -1.5 * hover else hover)
    blades = 0.5 * air.density_kg_m3 * rotor.blades * rotor.chord_m * rotor.radius_m
    lift = 3.0 * abs(thrust_n) / (blades * TYPICAL_SLOPE * tip_speed * tip_speed)
    guess = math.copysign(1.0, thrust_n) * (min(lift, LIFT_END_RAD) + 1.5 * net / tip_speed)
    start = min(max(guess, -PITCH_END_RAD), PITCH_END_RAD)
    near = abs(guess) < PITCH_END_RAD and lift < LIFT_END_RAD and climb >= 0.0 and thrust_n != 0.0
    rad_per_n = (lift + 0.75 * hover / tip_speed) / abs(thrust_n) if near else 0.0
    return Search(thrust_n, speed_rad_s, through_m_s, edgewise_m_s, start, NEAR_STEP_RAD, rad_per_n)


@kernel
def top_near(
    rotor: Rotor, section: Section, air: Air, search: Search, side_factor: float, middle_rad: float, thrust_n: float
) -> tuple[float, float]:
    """Collective of greatest thrust (times side factor) near an angle of known thrust, and that thrust, rad and N.

    Valid: one top within one scan step of the angle.
    Source: step halving to 0.01 degrees.
    """
    best, most, step = middle_rad, side_factor * thrust_n, SCAN_STEP_RAD
    while step > TOP_CLOSE_RAD:
        step *= 0.5
        centre = best
        for way in (-1.0, 1.0):
            tried = centre + way * step
            found = side_factor * flight_loads(rotor, section, air, motion_at(search, tried)).thrust_n
            if found > most:
                best, most = tried, found
    return best, side_factor * most


@kernel
def collective_between(
    rotor: Rotor, section: Section, air: Air, search: Search, span_rad: tuple[float, float], misses: tuple[float, float]
) -> float:
    """Collective between two whose thrusts miss the wanted one to either side, rad.

    False position with Anderson and Bjorck's weights, a halving when three steps gain too little; to 1e-8 of the
    thrust or 1e-10 rad.
    Valid: thrust runs through the wanted value between the two.
    Source: Anderson and Bjorck 1973, BIT 13 (from memory).
    """
    low, high = span_rad
    at_low, at_high = misses
    error = abs(at_high)
    for turn in range(100):
        if at_high in (0.0, at_low):
            break
        new = (low * at_high - high * at_low) / (at_high - at_low)
        if turn % 3 == 2:
            if abs(at_high) > 0.1 * error:
                new = 0.5 * (low + high)
            error = abs(at_high)
        value = flight_loads(rotor, section, air, motion_at(search, new)).thrust_n - search.thrust_n
        if abs(value) <= THRUST_SHARE * abs(search.thrust_n) or abs(new - high) < 1e-10:
            return new
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        high, at_high = new, value
    return high


@kernel
def collective_by_secant(rotor: Rotor, section: Section, air: Air, search: Search) -> tuple[float, bool]:
    """Collective that gives a thrust, rad, and whether it was found: secant steps from linear theory.

    A secant step below 1e-5 rad is the last: what is left is a few per cent of it, below 1e-5 of the thrust.
    Valid: attached flow; gives up as soon as a step does not halve the miss or thrust does not rise with pitch.
    Source: secant method.
    """
    pitch, rad_per_n = search.start_rad, search.rad_per_n
    miss = flight_loads(rotor, section, air, motion_at(search, pitch)).thrust_n - search.thrust_n
    for turn in range(SECANT_TURNS):
        new = pitch - miss * rad_per_n
        if turn > 0 and abs(new - pitch) < SECANT_CLOSE_RAD:
            return new, True
        value = flight_loads(rotor, section, air, motion_at(search, new)).thrust_n - search.thrust_n
        rad_per_n = (new - pitch) / (value - miss) if value != miss else 0.0
        if value == 0.0:
            return new, True
        if not (abs(value) < 0.5 * abs(miss) and rad_per_n > 0.0):
            break
        pitch, miss = new, value
    return pitch, False


@kernel
def collective_found(rotor: Rotor, section: Section, air: Air, search: Search) -> tuple[float, int]:
    """Collective that gives a thrust, rad, and a Stop code; without enough thrust the collective of the most.

    Secant steps where linear theory is a good start; else, or when they fail, a scan whose steps grow from the first
    one to 2 degrees, until the thrust is passed or falls.
    Valid: any thrust of either sign; looks from a start outwards, so from one below stall the answer is, too.
    Source: scan and bracket, common practice, no source.
    """
    if search.rad_per_n > 0.0:
        quick, found = collective_by_secant(rotor, section, air, search)
        if found:
            return quick, DONE
    side, step, wanted = 0.0, search.step_rad, search.thrust_n
    older, oldest = search.start_rad, 0.0
    last, before = search.start_rad, 0.0
    new = search.start_rad
    while abs(new) <= PITCH_END_RAD + 1e-9:
        now = flight_loads(rotor, section, air, motion_at(search, new)).thrust_n
        if side == 0.0:
            side = 1.0 if now <= wanted else -1.0
        elif side * now >= side * wanted:
            return collective_between(rotor, section, air, search, (last, new), (before - wanted, now - wanted)), DONE
        elif side * now < side * before:
            top, most = top_near(rotor, section, air, search, side, last, before)
            if side * most < side * wanted:
                return top, STALLED
            span, misses = (older, top), (oldest - wanted, most - wanted)
            return collective_between(rotor, section, air, search, span, misses), DONE
        older, oldest, last, before = last, before, new, now
        new = last + side * step
        step = min(2.0 * step, SCAN_STEP_RAD)
    return last, OUT_OF_PITCH


@kernel
def collective_for_thrust(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float, climb_m_s: float
) -> tuple[float, int]:
    """Collective that gives a thrust in hover, climb or descent, rad, and a Stop code.

    Valid: as `axial_loads`; when the code is not DONE the collective is the one of the greatest thrust found.
    Source: `collective_found`.
    """
    return collective_found(rotor, section, air, search_near(rotor, air, thrust_n, speed_rad_s, climb_m_s, 0.0))


@kernel
def collective_for_thrust_forward(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float, forward_m_s: float,
    disc_angle_rad: float,
) -> tuple[float, int]:  # fmt: skip
    """Collective that gives a thrust at a forward speed and disc angle, rad, and a Stop code.

    Valid: as `edgewise_loads`; when the code is not DONE the collective is the one of the greatest thrust found.
    Source: `collective_found`.
    """
    through, edgewise = forward_m_s * math.sin(disc_angle_rad), abs(forward_m_s * math.cos(disc_angle_rad))
    return collective_found(rotor, section, air, search_near(rotor, air, thrust_n, speed_rad_s, through, edgewise))


@kernel
def greatest_thrust(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, through_m_s: float, edgewise_m_s: float
) -> tuple[float, float]:
    """Greatest thrust a rotor gives, N, and its collective, rad; looked for up to 30 degrees of pitch.

    Air down the shaft (climb speed) and across it as in `rotor.Motion`.
    Valid: as good as the section's greatest lift; published model rotors flatten at CT/sigma 0.105 to 0.12, the bundled
    section at 0.13 to 0.155, so take the answer as 15 to 35 % optimistic.
    Source: `collective_found`.
    """
    search = Search(EVER_MORE_N, speed_rad_s, through_m_s, edgewise_m_s, 0.0, SCAN_STEP_RAD, 0.0)
    collective, _ = collective_found(rotor, section, air, search)
    return flight_loads(rotor, section, air, motion_at(search, collective)).thrust_n, collective


@kernel
def forward_trim(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, weight_n: float, drag_area_m2: float,
    forward_m_s: float,
) -> ForwardTrim:  # fmt: skip
    """Thrust, disc angle and collective of level flight at a speed.

    Valid: as `path_trim`.
    Source: `path_trim` without climb.
    """
    return path_trim(rotor, section, air, speed_rad_s, weight_n, drag_area_m2, forward_m_s, 0.0)


@kernel
def path_trim(
    rotor: Rotor, section: Section, air: Air, speed_rad_s: float, weight_n: float, drag_area_m2: float,
    forward_m_s: float, climb_m_s: float,
) -> ForwardTrim:  # fmt: skip
    """Thrust, disc angle and collective of steady flight at a forward speed and a climb speed, descent negative.

    T sin(a) = D_x + H cos(a), T cos(a) = W + D_z - H sin(a), D the airframe's drag along the path, H the rotor's own
    rearward force
    Valid: steady flight, airframe drag as one drag area, no lift or pitching moment of the airframe.
    Source: balance of forces; any rotor textbook.
    """
    per_speed = drag_per_speed(air.density_kg_m3, drag_area_m2, forward_m_s, climb_m_s)
    drag, down = per_speed * forward_m_s, weight_n + per_speed * climb_m_s
    rearward, angle, thrust, collective, code = 0.0, 0.0, weight_n, 0.0, DONE
    for turn in range(TRIM_PASSES):
        along = down - rearward * math.sin(angle)
        ahead = drag + rearward * math.cos(angle)
        thrust, angle = math.sqrt(along * along + ahead * ahead), math.atan2(ahead, along)
        through, edgewise = air_at_disc(forward_m_s, climb_m_s, angle)
        search = search_near(rotor, air, thrust, speed_rad_s, through, edgewise)
        if turn > 0:
            search = Search(thrust, speed_rad_s, through, edgewise, collective, FINE_STEP_RAD, search.rad_per_n)
        collective, code = collective_found(rotor, section, air, search)
        if code != DONE or forward_m_s == 0.0:
            break
        new = flight_loads(rotor, section, air, motion_at(search, collective)).drag_n
        if abs(new - rearward) < 1e-6 * weight_n:
            break
        rearward = new
    return ForwardTrim(thrust, angle, collective, code)
