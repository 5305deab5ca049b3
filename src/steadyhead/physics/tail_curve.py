"""The tail rotor's torque over the torque it has to hold, worked out once for a whole flight."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.tail import Tail, tail_loads

POINTS = 33
DONE = 0


class TailCurve(NamedTuple):
    """Torque at the main shaft over torque to be held, both over the square of the main rotor's speed. SI.

    Shapes: torque_nms2 (33,) over evenly spaced held torques from 0 to `held_end_nms2`.
    """

    torque_nms2: NDArray[np.float64]
    held_end_nms2: float


def tail_curve(tail: Tail, section: Section, air: Air, main_speed_rad_s: float, most_held_nm: float) -> TailCurve:
    """Return the curve of a tail rotor up to a held torque at one speed; beyond what it can hold the last value stays.

    Valid: other speeds by similarity: blade angle for a share of the load does not change with speed (Reynolds number
    does a little: below 1 % of the tail's power between half and full speed).
    Source: `tail.tail_loads`; similarity of rotors.
    """
    square = main_speed_rad_s * main_speed_rad_s
    torques = np.empty(POINTS)
    for number, held in enumerate(np.linspace(0.0, most_held_nm, POINTS)):
        loads = tail_loads(tail, section, air, main_speed_rad_s, float(held))
        if loads.code != DONE and number:
            torques[number:] = torques[number - 1]
            break
        torques[number] = loads.torque_at_main_shaft_nm / square
    return TailCurve(torques, most_held_nm / square)


@kernel
def tail_torque(curve: TailCurve, main_speed_rad_s: float, held_nm: float) -> float:
    """Torque that the tail rotor takes at the main shaft, N m, while it holds a torque of either sense.

    q = w^2 f(Q / w^2)
    Valid: as `tail_curve`; beyond the end of the curve its last value, at a standing rotor zero.
    Source: linear interpolation in `tail_curve`.
    """
    square = main_speed_rad_s * main_speed_rad_s
    last = curve.torque_nms2.shape[0] - 1
    place = min(abs(held_nm) / max(square * curve.held_end_nms2, 1e-12), 1.0) * last
    left = min(math.floor(place), last - 1)
    low = curve.torque_nms2[left]
    return float(square * (low + (place - left) * (curve.torque_nms2[left + 1] - low)))
