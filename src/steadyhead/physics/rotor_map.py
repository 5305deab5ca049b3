"""The rotor's loads as a map, worked out once by the blade elements: for thousands of flights, and for an optimiser."""

import math
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.forward import flight_loads
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Motion, Rotor, axial_loads
from steadyhead.physics.trim import collective_for_thrust

WORKERS = 2
COLLECTIVE_LOW_RAD, COLLECTIVE_HIGH_RAD, COLLECTIVES = -0.21, 0.25, 24
STEEP, LOW, HIGH, FAST = -12.0, -3.4, 1.02, 4.0
"""Air down the shaft over tip speed, in the map's own unit (that of a hover): coarse, fine, fine, coarse."""
STEEP_PARTS, FINE_PARTS, FAST_PARTS = 12, 26, 4
ALONGS = STEEP_PARTS + FINE_PARTS + FAST_PARTS + 1
ACROSS_END, ACROSS_BEND, ACROSSES = 0.32, 0.25, 8
LIFT_STEP = 0.07
SLOW_SHARE = 0.75
THRUST, LIFT_TORQUE, DRAG_TORQUE, REARWARD, CHANGES = 0, 1, 2, 3, 4


class RotorMap(NamedTuple):
    """Loads of one rotor over its air density times speed squared; SI, plain numbers for collective and ratios.

    Shapes: loads (24, 43, 8, 8) over collective, air down the shaft, air across it; last axis thrust, torque of lift,
    torque of drag, rearward force, then how each changes for one unit of `Grade.lift_scale`. Torque of drag grows by
    `drag_growth` times the share of speed lost, since a slow blade has a lower Reynolds number.
    """

    loads: NDArray[np.float64]
    radius_m: float
    along_unit: float
    speed_rad_s: float
    drag_growth: float


class Grade(NamedTuple):
    """How a rotor differs from the one of the map: lift and drag of its blades, and the air it turns in."""

    density_kg_m3: float
    lift_scale: float
    drag_scale: float


@inlined_kernel
def along_place(ratio: float) -> float:
    """Place in the map of air down the shaft over tip speed, in the map's own unit; held at both ends.

    Valid: any ratio.
    Source: three evenly spaced pieces, ours.
    """
    if ratio < LOW:
        return max((ratio - STEEP) / (LOW - STEEP) * STEEP_PARTS, 0.0)
    if ratio < HIGH:
        return STEEP_PARTS + (ratio - LOW) / (HIGH - LOW) * FINE_PARTS
    return min(STEEP_PARTS + FINE_PARTS + (ratio - HIGH) / (FAST - HIGH) * FAST_PARTS, ALONGS - 1.0)


@inlined_kernel
def across_place(ratio: float) -> float:
    """Place in the map of air across the shaft over tip speed; held at the end.

    Valid: ratio >= 0.
    Source: a spacing that is fine near a hover, ours.
    """
    share = min(ratio / ACROSS_END, 1.0)
    return (ACROSSES - 1) * share * (1.0 + ACROSS_BEND) / (share + ACROSS_BEND)


def along_ratios() -> NDArray[np.float64]:
    """Return the ratios at the map's places along the shaft, in its own unit. Shapes: -> (43,)"""
    steep = np.linspace(STEEP, LOW, STEEP_PARTS + 1)[:-1]
    fine = np.linspace(LOW, HIGH, FINE_PARTS + 1)[:-1]
    return np.concatenate([steep, fine, np.linspace(HIGH, FAST, FAST_PARTS + 1)])


def across_ratios() -> NDArray[np.float64]:
    """Return the advance ratios at the map's places across the shaft. Shapes: -> (8,)"""
    part = np.arange(ACROSSES) / (ACROSSES - 1)
    return np.asarray(ACROSS_END * ACROSS_BEND * part / (1.0 + ACROSS_BEND - part))


def collectives() -> NDArray[np.float64]:
    """Return the collectives of the map, rad. Shapes: -> (24,)"""
    return np.linspace(COLLECTIVE_LOW_RAD, COLLECTIVE_HIGH_RAD, COLLECTIVES)


@inlined_kernel
def map_loads(rotor_map: RotorMap, grade: Grade, motion: Motion) -> tuple[float, float, float]:
    """Thrust N, torque N m and rearward force N of a rotor, inflow settled, with no rolling moment.

    Valid: between the ends of the map (beyond them its end values); collective held within -12 and 14.3 degrees; 0.6 to
    1.2 of the map's own speed; lift and drag scales near 1.
    Source: `forward.flight_loads` at the places of the map; linear interpolation.
    """
    tip = max(motion.speed_rad_s, 1.0) * rotor_map.radius_m
    step = (COLLECTIVE_HIGH_RAD - COLLECTIVE_LOW_RAD) / (COLLECTIVES - 1)
    x = min(max((motion.collective_rad - COLLECTIVE_LOW_RAD) / step, 0.0), COLLECTIVES - 1.0)
    y = along_place(motion.through_m_s / (tip * rotor_map.along_unit))
    z = across_place(motion.edgewise_m_s / tip)
    i, j, k = min(int(x), COLLECTIVES - 2), min(int(y), ALONGS - 2), min(int(z), ACROSSES - 2)
    u, v, w = x - i, y - j, z - k
    thrust = lift = drag = back = 0.0
    more = grade.lift_scale - 1.0
    table = rotor_map.loads
    for corner in range(8):
        a, b, c = corner & 1, (corner >> 1) & 1, corner >> 2
        share = (u if a else 1.0 - u) * (v if b else 1.0 - v) * (w if c else 1.0 - w)
        row = table[i + a, j + b, k + c]
        thrust += share * (row[THRUST] + more * row[CHANGES + THRUST])
        lift += share * (row[LIFT_TORQUE] + more * row[CHANGES + LIFT_TORQUE])
        drag += share * (row[DRAG_TORQUE] + more * row[CHANGES + DRAG_TORQUE])
        back += share * (row[REARWARD] + more * row[CHANGES + REARWARD])
    size = grade.density_kg_m3 * motion.speed_rad_s * motion.speed_rad_s
    growth = 1.0 + rotor_map.drag_growth * (1.0 - motion.speed_rad_s / rotor_map.speed_rad_s)
    return size * thrust, size * (lift + grade.drag_scale * growth * drag), size * back


@kernel
def fill_map(
    rotor: Rotor, section: Section, air: Air, places: NDArray[np.float64], across: NDArray[np.float64],
    speed_rad_s: float, out: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write the loads over density and speed squared for every collective and air across at given airs down the shaft.

    Shapes: places (p,) m/s, across (8,) m/s, out (24, p, 8, 4).
    Valid: as `forward.flight_loads`.
    Source: `forward.flight_loads`.
    """
    size = air.density_kg_m3 * speed_rad_s * speed_rad_s
    for i in range(out.shape[0]):
        pitch = COLLECTIVE_LOW_RAD + (COLLECTIVE_HIGH_RAD - COLLECTIVE_LOW_RAD) * i / (COLLECTIVES - 1)
        for j in range(places.shape[0]):
            for k in range(across.shape[0]):
                loads = flight_loads(rotor, section, air, Motion(speed_rad_s, pitch, 0.0, places[j], across[k]))
                out[i, j, k, 0] = loads.thrust_n / size
                out[i, j, k, 1] = loads.induced_power_w / (speed_rad_s * size)
                out[i, j, k, 2] = loads.profile_power_w / (speed_rad_s * size)
                out[i, j, k, 3] = loads.drag_n / size


def rotor_map(rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float) -> RotorMap:
    """Return the map of a rotor at a speed; its unit is the inflow of a hover with this thrust.

    Valid: between half the speed and 1.2 times it: the Reynolds number stays that of the speed.
    Source: `forward.flight_loads`.
    """
    tip = speed_rad_s * rotor.radius_m
    area = math.pi * rotor.radius_m * rotor.radius_m
    unit = math.sqrt(thrust_n / (2.0 * air.density_kg_m3 * area)) / tip
    places, across = along_ratios() * unit * tip, across_ratios() * tip
    loads = np.empty((COLLECTIVES, ALONGS, ACROSSES, 2 * CHANGES))
    more = section._replace(lift_factor=section.lift_factor * (1.0 + LIFT_STEP))

    def part(number: int) -> None:
        here = places[number : number + 1]
        both = np.empty((2, COLLECTIVES, 1, ACROSSES, CHANGES))
        fill_map(rotor, section, air, here, across, speed_rad_s, both[0])
        fill_map(rotor, more, air, here, across, speed_rad_s, both[1])
        loads[:, number, :, :CHANGES] = both[0, :, 0]
        loads[:, number, :, CHANGES:] = (both[1, :, 0] - both[0, :, 0]) / LIFT_STEP

    with ThreadPoolExecutor(WORKERS) as pool:
        list(pool.map(part, range(ALONGS)))
    return RotorMap(loads, rotor.radius_m, unit, speed_rad_s, drag_growth(rotor, section, air, speed_rad_s, thrust_n))


def drag_growth(rotor: Rotor, section: Section, air: Air, speed_rad_s: float, thrust_n: float) -> float:
    """Return by what share the torque of drag over speed squared grows for the share of speed lost, no unit.

    Valid: read between the speed and SLOW_SHARE of it, at the pitch of this thrust in hover.
    Source: `rotor.axial_loads`.
    """
    pitch, _ = collective_for_thrust(rotor, section, air, speed_rad_s, thrust_n, 0.0)
    fast = axial_loads(rotor, section, air, speed_rad_s, pitch, 0.0)
    slow = axial_loads(rotor, section, air, SLOW_SHARE * speed_rad_s, pitch, 0.0)
    ratio = slow.profile_power_w / (fast.profile_power_w * SLOW_SHARE**3)
    return (ratio - 1.0) / (1.0 - SLOW_SHARE)
