"""The tail rotor's torque over the torque it has to hold, worked out once for a whole flight."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.flow_trim import Sought, collective_settled
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import settled_loads, still_flow
from steadyhead.physics.tail import Tail
from steadyhead.physics.trim import DONE

POINTS = 33


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
    Source: `flow_trim.collective_settled`, moments as in `tail.tail_loads`; similarity of rotors.
    """
    rows, flow = np.empty((2, POINTS)), still_flow()
    for number, part in enumerate((0.5, 1.0)):
        write_curve(tail, section, air, part * main_speed_rad_s, part * part * most_held_nm, flow, rows[number])
    return TailCurve(rows, most_held_nm / main_speed_rad_s**2, main_speed_rad_s)


@kernel
def write_curve(
    tail: Tail, section: Section, air: Air, main_speed_rad_s: float, most_held_nm: float, flow: NDArray[np.float64],
    torque_nms2: NDArray[np.float64],
) -> None:  # fmt: skip
    """Write the torque at the main shaft over the square of speed, for evenly spaced held torques at one speed.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`; torque_nms2 (33,).
    Valid: as `tail_curve`.
    Source: `flow_trim.collective_settled`.
    """
    square, pitch_rad = main_speed_rad_s * main_speed_rad_s, 0.0
    speed, last = main_speed_rad_s * tail.ratio, torque_nms2.shape[0] - 1
    for number in range(last + 1):
        wanted_n = number * most_held_nm / last / tail.arm_m
        pitch_rad, code = collective_settled(tail.rotor, section, air, Sought(wanted_n, speed, pitch_rad), flow)
        if code != DONE and number > 0:
            for rest in range(number, last + 1):
                torque_nms2[rest] = torque_nms2[number - 1]
            return
        loads = settled_loads(tail.rotor, section, air, Motion(speed, pitch_rad, 0.0, 0.0, 0.0), flow)
        torque_nms2[number] = loads.torque_nm * tail.ratio / square


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
    left = min(int(place), last - 1)
    part = place - left
    fast = min(max(2.0 * main_speed_rad_s / curve.full_rad_s - 1.0, 0.0), 1.5)
    table = curve.torque_nms2
    slow_value = table[0, left] + part * (table[0, left + 1] - table[0, left])
    full_value = table[1, left] + part * (table[1, left + 1] - table[1, left])
    return float(square * (slow_value + fast * (full_value - slow_value)))


@kernel
def held_torques(
    curve: TailCurve, main_speed_rad_s: NDArray[np.float64], held_nm: NDArray[np.float64], out: NDArray[np.float64]
) -> None:
    """Fill, row by row, what the tail takes at the main shaft beyond its idle torque while it holds a torque, N m.

    Shapes: main_speed_rad_s, held_nm, out (n,).
    Valid: as `tail_torque`.
    Source: `tail_torque`.
    """
    for row in range(held_nm.size):
        speed = main_speed_rad_s[row]
        out[row] = tail_torque(curve, speed, held_nm[row]) - tail_torque(curve, speed, 0.0)
