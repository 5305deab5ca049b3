"""What is kept of a bail-out while it is flown: the worst of every load, and the rows of its record."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_columns import (
    BEARING_NM,
    DUTY,
    ENERGY,
    FULL,
    HEAD_HIGH,
    HEAD_LOW,
    LOAD,
    MOTOR_A,
    PACK_A,
    PACK_V,
    PINION,
    PINION_SPEED,
    START_M,
    WINDING_K,
)
from steadyhead.flight.loop import Now
from steadyhead.physics.craft import Craft, State
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.kernel import inlined_kernel
from steadyhead.physics.one_way_bearing import catch_up_torque, speed_gap_after_play
from steadyhead.physics.shaft import train_inertia


class Limits(NamedTuple):
    """What the one-way bearing's peak is worked out from, no number where unknown; longest time looked at, s."""

    play_rad: float
    stiffness_nm_rad: float
    longest_s: float


@inlined_kernel
def caught_peak(
    craft: Craft, limits: Limits, before: Now, after: State, carried_nm: float, rate_rad_s2: float
) -> float:
    """Peak torque on the one-way bearing as the train catches the head, N m; no number without play and stiffness.

    Valid: as `one_way_bearing.catch_up_torque`.
    Source: `one_way_bearing.catch_up_torque`, `one_way_bearing.speed_gap_after_play`.
    """
    if math.isnan(limits.play_rad) or math.isnan(limits.stiffness_nm_rad):
        return math.nan
    gain = rate_rad_s2 / craft.gears.ratio + carried_nm / craft.body.head_kg_m2
    gap = speed_gap_after_play(gain, limits.play_rad)
    return catch_up_torque(carried_nm, gap, craft.body.head_kg_m2, train_inertia(craft), limits.stiffness_nm_rad)


@inlined_kernel
def write_worst(
    craft: Craft, now: Now, point: DrivePoint, motor_rate_rad_s2: float, load_factor: float, told: NDArray[np.float64],
    step_s: float,
) -> None:  # fmt: skip
    """Keep the worst of every load so far.

    Shapes: told (19,) as TOLD.
    Valid: `now` after the step, `point` at its middle.
    Source: definition; at the tooth the motor's own inertia is left out.
    """
    told[HEAD_LOW], told[HEAD_HIGH] = (
        min(told[HEAD_LOW], now.state.head_rad_s), max(told[HEAD_HIGH], now.state.head_rad_s),
    )  # fmt: skip
    told[LOAD] = max(told[LOAD], load_factor)
    told[FULL] += step_s if point.duty >= 0.999 else 0.0
    told[MOTOR_A], told[PACK_A] = max(told[MOTOR_A], point.motor_current_a), max(told[PACK_A], point.pack_current_a)
    told[PACK_V], told[DUTY] = min(told[PACK_V], point.pack_voltage_v), max(told[DUTY], point.duty)
    told[WINDING_K] = max(told[WINDING_K], now.state.winding_k)
    told[BEARING_NM] = max(told[BEARING_NM], now.carried[1].bearing_nm)
    told[ENERGY] += step_s * point.pack_power_w
    pinion = point.motor_torque_nm - craft.body.motor_kg_m2 * motor_rate_rad_s2
    if pinion > told[PINION]:
        told[PINION], told[PINION_SPEED] = pinion, now.state.motor_rad_s


@inlined_kernel
def write_row(record: NDArray[np.float64], row: int, time_s: float, now: Now, asked_rad: float) -> None:
    """Write one row of the record.

    Shapes: record (n, 8) as ROWS.
    Valid: row below n.
    Source: definition.
    """
    state, out = now.state, record[row]
    out[0], out[1], out[2], out[3] = time_s, state.height_m - START_M, state.climb_m_s, state.head_rad_s
    out[4], out[5], out[6], out[7] = state.motor_rad_s, asked_rad, now.carried[1].pack_current_a, now.run.run
