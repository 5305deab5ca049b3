"""A machine as a point mass in the vertical plane: the map of the rotor, a tilted disc, drag, rising or sinking air."""

import math
from typing import NamedTuple

from steadyhead.physics.craft import GRAVITY_M_S2, Craft, Held
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_map import COLLECTIVE_HIGH_RAD, COLLECTIVE_LOW_RAD, Grade, RotorMap, map_loads

HALVINGS = 26
TILT_TURNS = 3
TILT_MOST_RAD = 0.7
SINK_MOST_M_S, SINK_STEP_M_S = 40.0, 1.0
SLOWEST_SHARE, SLOWER_SHARE = 0.6, 0.05


class Moving(NamedTuple):
    """How the machine moves through the air, how its disc is tilted (nose down), and what its head does. SI."""

    forward_m_s: float
    climb_m_s: float
    tilt_rad: float
    head_rad_s: float
    collective_rad: float


class Glide(NamedTuple):
    """A steady flight. SI; `code` 0: found, 1: none within the map."""

    sink_m_s: float
    collective_rad: float
    tilt_rad: float
    code: int


@inlined_kernel
def plane_held(craft: Craft, rotor_map: RotorMap, grade: Grade, moving: Moving, tail_nm: float) -> Held:
    """Forces and torque on the machine at one moment. SI; stalled share left out, tail torque handed through.

    lift = T cos a + H sin a, pull = T sin a - H cos a, drag = rho/2 V f (u, w)
    Valid: as `rotor_map.map_loads`; disc tilted within 0.7 rad; drag area alike in all directions; no ground near.
    Source: balance of forces; any rotor textbook.
    """
    cosine, sine = math.cos(moving.tilt_rad), math.sin(moving.tilt_rad)
    through = moving.climb_m_s * cosine + moving.forward_m_s * sine
    across = moving.forward_m_s * cosine - moving.climb_m_s * sine
    motion = Motion(moving.head_rad_s, moving.collective_rad, 0.0, through, abs(across))
    thrust, torque, back = map_loads(rotor_map, grade, motion)
    back = math.copysign(1.0, across) * back
    along = math.sqrt(moving.forward_m_s * moving.forward_m_s + moving.climb_m_s * moving.climb_m_s)
    per_speed = 0.5 * grade.density_kg_m3 * along * craft.body.drag_area_m2
    return Held(
        thrust, torque, back, 0.0, 0.0, tail_nm, moving.tilt_rad, thrust * cosine + back * sine,
        thrust * sine - back * cosine, per_speed * moving.climb_m_s, per_speed * moving.forward_m_s,
    )  # fmt: skip


@inlined_kernel
def ahead_rate(craft: Craft, held: Held) -> float:
    """Forward acceleration, m/s2.

    m dU/dt = pull - drag
    Valid: point mass.
    Source: Newton's law.
    """
    return (held.pull_n - held.drag_back_n) / craft.body.mass_kg


@inlined_kernel
def balanced(
    craft: Craft, rotor_map: RotorMap, grade: Grade, head_rad_s: float, forward_m_s: float, climb_m_s: float
) -> tuple[float, float, float, int]:
    """Collective and tilt (rad) that carry the machine at steady speeds, torque of the rotor N m, and 0 where it can.

    Valid: below the stall of the blades; as `plane_held`.
    Source: halving on collective; balance of forces.
    """
    weight, tilt, torque = craft.body.mass_kg * GRAVITY_M_S2, 0.0, 0.0
    pitch, code = 0.0, 1
    for _ in range(TILT_TURNS):
        low, high = COLLECTIVE_LOW_RAD, COLLECTIVE_HIGH_RAD
        held = plane_held(craft, rotor_map, grade, Moving(forward_m_s, climb_m_s, tilt, head_rad_s, high), 0.0)
        for _ in range(HALVINGS):
            pitch = 0.5 * (low + high)
            held = plane_held(craft, rotor_map, grade, Moving(forward_m_s, climb_m_s, tilt, head_rad_s, pitch), 0.0)
            if held.lift_n - held.drag_up_n < weight:
                low = pitch
            else:
                high = pitch
        code = 0 if high < COLLECTIVE_HIGH_RAD and low > COLLECTIVE_LOW_RAD else 1
        torque = held.torque_nm
        if forward_m_s == 0.0:
            break
        short = (held.drag_back_n - held.pull_n) / max(held.thrust_n, 0.1 * weight)
        tilt = min(max(tilt + math.asin(min(max(short, -0.9), 0.9)), -TILT_MOST_RAD), TILT_MOST_RAD)
    return pitch, tilt, torque, code


@kernel
def steady_glide(
    craft: Craft, rotor_map: RotorMap, grade: Grade, head_rad_s: float, forward_m_s: float, taken_nm: float
) -> Glide:
    """Least sink at which the air alone keeps the head at a speed, with what else the head has to turn, N m.

    rotor torque(sink) + taken = 0: the first place where it falls through zero, from no sink on, then halving
    Valid: as `balanced`. A flat-pitched fast head may have none: its drag then takes all that the air can give.
    Source: definition of autorotation; `balanced`.
    """
    low, high, sink = 0.0, 0.0, 0.0
    while high == 0.0 and sink < SINK_MOST_M_S:
        sink += SINK_STEP_M_S
        _, _, torque, code = balanced(craft, rotor_map, grade, head_rad_s, forward_m_s, -sink)
        if code == 0 and torque + taken_nm <= 0.0:
            high = sink
        else:
            low = sink
    if high == 0.0:
        return Glide(SINK_MOST_M_S, 0.0, 0.0, 1)
    for _ in range(HALVINGS):
        sink = 0.5 * (low + high)
        _, _, torque, _ = balanced(craft, rotor_map, grade, head_rad_s, forward_m_s, -sink)
        if torque + taken_nm > 0.0:
            low = sink
        else:
            high = sink
    pitch, tilt, _, code = balanced(craft, rotor_map, grade, head_rad_s, forward_m_s, -high)
    return Glide(high, pitch, tilt, code)


@kernel
def slower_glide(
    craft: Craft, rotor_map: RotorMap, grade: Grade, head_rad_s: float, forward_m_s: float, taken_nm: float
) -> tuple[Glide, float]:
    """The steady glide at a head speed, or at the next lower one that the air can keep; that head speed, rad/s.

    Valid: as `steady_glide`; looks down to SLOWEST_SHARE of the speed.
    Source: `steady_glide`.
    """
    share = 1.0
    found = steady_glide(craft, rotor_map, grade, head_rad_s, forward_m_s, taken_nm)
    while found.code != 0 and share > SLOWEST_SHARE:
        share -= SLOWER_SHARE
        found = steady_glide(craft, rotor_map, grade, share * head_rad_s, forward_m_s, share * share * taken_nm)
    return found, share * head_rad_s


@kernel
def level_flight(craft: Craft, rotor_map: RotorMap, grade: Grade, head_rad_s: float, forward_m_s: float) -> Glide:
    """Collective and tilt of level flight at a speed, rad.

    Valid: as `balanced`.
    Source: `balanced`.
    """
    pitch, tilt, _, code = balanced(craft, rotor_map, grade, head_rad_s, forward_m_s, 0.0)
    return Glide(0.0, pitch, tilt, code)


@kernel
def low_hover_height(landing_sink_m_s: float, energy_time_s: float, loading_ratio: float) -> float:
    """Greatest height of a hover from which the rotor's own energy still cushions a loss of power, m.

    h = V (J w^2 / 2 / P) (1 - (CW / sigma) / 0.2)
    Valid: hover near the ground, full size as printed; a rough closed form, kept to hold our own model against.
    Source: Prouty, Helicopter Performance, Stability, and Control, 1986, p. 354 (second-hand).
    """
    return landing_sink_m_s * energy_time_s * (1.0 - loading_ratio / 0.2)
