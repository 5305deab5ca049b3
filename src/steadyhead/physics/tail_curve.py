"""The tail rotor's torque over the torque it has to hold, worked out once for a whole flight."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import inlined_kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.tail import Tail, tail_loads

POINTS = 33
DONE = 0


class TailCurve(NamedTuple):
    """Torque at the main shaft over torque to be held, both over the square of the main rotor's speed. SI.

    Shapes: torque_nms2 (2, 33) at half and full speed, over evenly spaced held torques from 0 to `held_end_nms2`.
    """

    torque_nms2: NDArray[np.float64]
    held_end_nms2: float
    full_rad_s: float


def tail_curve(tail: Tail, section: Section, air: Air, main_speed_rad_s: float, most_held_nm: float) -> TailCurve:
    """Return the curve of a tail rotor up to a held torque; beyond what it can hold the last value stays.

    Valid: between half and full speed within 3 % of the tail's own torque (Reynolds number); loads by similarity.
    Source: `tail.tail_loads`; similarity of rotors.
    """
    rows = [curve_at(tail, section, air, part * main_speed_rad_s, part * part * most_held_nm) for part in (0.5, 1.0)]
    return TailCurve(np.array(rows), most_held_nm / main_speed_rad_s**2, main_speed_rad_s)


def curve_at(
    tail: Tail, section: Section, air: Air, main_speed_rad_s: float, most_held_nm: float
) -> NDArray[np.float64]:  # fmt: skip
    """Return the torque at the main shaft over the square of speed, for evenly spaced held torques at one speed.

    Shapes: -> (33,)
    """
    square = main_speed_rad_s * main_speed_rad_s
    torques = np.empty(POINTS)
    for number, held in enumerate(np.linspace(0.0, most_held_nm, POINTS)):
        loads = tail_loads(tail, section, air, main_speed_rad_s, float(held))
        if loads.code != DONE and number:
            torques[number:] = torques[number - 1]
            break
        torques[number] = loads.torque_at_main_shaft_nm / square
    return torques


@inlined_kernel
def tail_torque(curve: TailCurve, main_speed_rad_s: float, held_nm: float) -> float:
    """Torque that the tail rotor takes at the main shaft, N m, while it holds a torque of either sense.

    q = w^2 f(Q / w^2, w)
    Valid: as `tail_curve`; beyond the end of the curve its last value, below half speed that of half speed by
    similarity, at a standing rotor zero.
    Source: linear interpolation in `tail_curve`.
    """
    square = main_speed_rad_s * main_speed_rad_s
    last = curve.torque_nms2.shape[1] - 1
    place = min(abs(held_nm) / max(square * curve.held_end_nms2, 1e-12), 1.0) * last
    left = min(math.floor(place), last - 1)
    part = place - left
    fast = min(max(2.0 * main_speed_rad_s / curve.full_rad_s - 1.0, 0.0), 1.5)
    table = curve.torque_nms2
    slow_value = table[0, left] + part * (table[0, left + 1] - table[0, left])
    full_value = table[1, left] + part * (table[1, left + 1] - table[1, left])
    return float(square * (slow_value + fast * (full_value - slow_value)))
