"""Steady autorotation: sink rate, collective and disc angle at which the air alone turns the rotor and carries it."""

import math
from enum import IntEnum
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.disc_path import air_at_disc, drag_per_speed
from steadyhead.physics.forward import flight_loads
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Motion, Rotor, RotorLoads
from steadyhead.physics.tail_curve import TailCurve, tail_torque
from steadyhead.physics.trim import DONE, path_trim

SCAN_SHARE = 0.5
SCAN_GROWS = 1.25
FASTEST_RATIO = 14.0
"""Sink over hover inflow up to which a glide is looked for."""
TORQUE_SHARE = 1e-7
SECANT_TURNS = 60


class GlideStop(IntEnum):
    """How the search for a glide ended."""

    DONE = 0
    STALLED = 1
    TOO_FAST = 2


GLIDE_STOP_SAYS = {
    GlideStop.DONE: "the air turns the rotor and carries the machine",
    GlideStop.STALLED: "the blades stall before they carry the machine at this head speed",
    GlideStop.TOO_FAST: "no sink rate up to 14 times the hover inflow keeps the rotor at this head speed",
}
STALLED, TOO_FAST = int(GlideStop.STALLED), int(GlideStop.TOO_FAST)


class Glider(NamedTuple):
    """What a glide needs of a machine. SI; `tail_on_head` 1 where the tail is driven in autorotation, as `Body`."""

    rotor: Rotor
    section: Section
    air: Air
    tail: TailCurve
    tail_on_head: float
    head_drag_nm: float
    weight_n: float
    drag_area_m2: float
    head_kg_m2: float


class Glide(NamedTuple):
    """One steady glide. SI; tilt of the disc nose down positive, `code` a GlideStop."""

    head_rad_s: float
    forward_m_s: float
    sink_m_s: float
    collective_rad: float
    tilt_rad: float
    code: int


class GlideBalance(NamedTuple):
    """What a tried glide leaves over, all zero in a steady one: force up, force forwards, torque slowing the head."""

    rise_n: float
    push_n: float
    slowing_nm: float


@kernel
def head_losses(glider: Glider, head_rad_s: float) -> float:
    """Torque that everything but the main rotor takes from the head, N m.

    q = q_drag + q_tail, the tail at no thrust and only where it is driven in autorotation
    Valid: one-way bearing free; in a steady glide the rotor does not turn the airframe, so the tail has nothing to
    hold; the tail's own air in forward flight left out.
    Source: sum of torques; `tail_curve.tail_torque`.
    """
    return glider.head_drag_nm + glider.tail_on_head * tail_torque(glider.tail, head_rad_s, 0.0)


@kernel
def glide_loads(glider: Glider, glide: Glide) -> RotorLoads:
    """Loads of the main rotor in a glide.

    Valid: as `forward.flight_loads`.
    Source: `forward.flight_loads`, `disc_path.air_at_disc`.
    """
    through, edgewise = air_at_disc(glide.forward_m_s, -glide.sink_m_s, glide.tilt_rad)
    motion = Motion(glide.head_rad_s, glide.collective_rad, 0.0, through, edgewise)
    return flight_loads(glider.rotor, glider.section, glider.air, motion)


@kernel
def glide_balance(glider: Glider, glide: Glide) -> GlideBalance:
    """Forces and torque left over at a tried glide.

    rise = T cos a + H sin a + D_z - W, push = T sin a - H cos a - D_x, slowing = Q + q_losses
    Valid: point mass, drag area alike in all directions, disc held level to the path by cyclic pitch.
    Source: balance of forces and torques; any rotor textbook.
    """
    loads = glide_loads(glider, glide)
    cosine, sine = math.cos(glide.tilt_rad), math.sin(glide.tilt_rad)
    per_speed = drag_per_speed(glider.air.density_kg_m3, glider.drag_area_m2, glide.forward_m_s, glide.sink_m_s)
    rise = loads.thrust_n * cosine + loads.drag_n * sine + per_speed * glide.sink_m_s - glider.weight_n
    push = loads.thrust_n * sine - loads.drag_n * cosine - per_speed * glide.forward_m_s
    return GlideBalance(rise, push, loads.torque_nm + head_losses(glider, glide.head_rad_s))


@kernel
def hover_inflow(glider: Glider) -> float:
    """Ideal inflow of a hover, m/s: the measure of sink rates.

    v_h = sqrt(W / (2 rho A))
    Valid: weight above zero.
    Source: Rankine-Froude momentum theory.
    """
    area = math.pi * glider.rotor.radius_m * glider.rotor.radius_m
    return math.sqrt(glider.weight_n / (2.0 * glider.air.density_kg_m3 * area))


@kernel
def sinking(glider: Glider, head_rad_s: float, forward_m_s: float, sink_m_s: float) -> tuple[Glide, float]:
    """A descent with the forces in balance at a given sink rate, and the torque it slows the head with, N m.

    The torque is what a motor would have to give: positive with power on, zero in autorotation. The code is STALLED
    where the blades cannot carry the machine.
    Valid: as `trim.path_trim`.
    Source: `trim.path_trim`.
    """
    trim = path_trim(
        glider.rotor, glider.section, glider.air, head_rad_s, glider.weight_n, glider.drag_area_m2, forward_m_s,
        -sink_m_s,
    )  # fmt: skip
    code = DONE if trim.code == DONE else STALLED
    glide = Glide(head_rad_s, forward_m_s, sink_m_s, trim.collective_rad, trim.disc_angle_rad, code)
    return glide, glide_loads(glider, glide).torque_nm + head_losses(glider, head_rad_s)


@kernel
def glide_found(glider: Glider, head_rad_s: float, forward_m_s: float) -> Glide:
    """The steady autorotation of least sink rate at a head speed and a forward speed.

    Looks from no sink downwards until the torque changes sign, then false position with Anderson and Bjorck's weights.
    Valid: as `sinking`; a second, stalled autorotation at a higher sink rate may exist and is not looked for.
    Source: `sinking`; Anderson and Bjorck 1973, BIT 13 (from memory).
    """
    unit, sink, step = hover_inflow(glider), 0.0, SCAN_SHARE
    low, at_low, carried = 0.0, 0.0, False
    glide, at_high = Glide(head_rad_s, forward_m_s, 0.0, 0.0, 0.0, STALLED), 0.0
    while sink <= FASTEST_RATIO * unit:
        glide, at_high = sinking(glider, head_rad_s, forward_m_s, sink)
        if glide.code == DONE and at_high <= 0.0:
            break
        if glide.code == DONE:
            low, at_low, carried = sink, at_high, True
        sink += step * unit
        step *= SCAN_GROWS if sink > 2.0 * unit else 1.0
    if glide.code != DONE or not carried or at_high > 0.0:
        code = TOO_FAST if carried else STALLED
        return Glide(head_rad_s, forward_m_s, math.nan, math.nan, math.nan, code)
    high, small = sink, TORQUE_SHARE * glider.weight_n * glider.rotor.radius_m
    for turn in range(SECANT_TURNS):
        new = (low * at_high - high * at_low) / (at_high - at_low)
        if turn % 3 == 2:
            new = 0.5 * (low + high)
        glide, value = sinking(glider, head_rad_s, forward_m_s, new)
        if abs(value) < small or abs(high - low) < 1e-6 * unit:
            break
        if value * at_high < 0.0:
            low, at_low = high, at_high
        else:
            weight = 1.0 - value / at_high
            at_low *= weight if weight > 0.0 else 0.5
        high, at_high = new, value
    return glide
