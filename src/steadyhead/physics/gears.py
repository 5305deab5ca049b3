"""Gears and one-way bearing: torque from the motor to the head, and none the other way."""

from typing import NamedTuple

from steadyhead.physics.kernel import kernel


class Gears(NamedTuple):
    """Motor turns per head turn, efficiency of all meshes together, constant drag torque at the main shaft. SI."""

    ratio: float
    efficiency: float
    drag_torque_nm: float


@kernel
def bearing_torque(wanted_nm: float, train_speed_rad_s: float, head_speed_rad_s: float) -> float:
    """Torque that the one-way bearing passes to the main shaft, N m; never negative, none while the head overruns.

    q = max(wanted, 0) while the train is as fast as the head, else 0
    Valid: bearing without drag of its own; locked or free, the catch-up between them is not modelled.
    Source: definition of an overrunning clutch; common practice, no source.
    """
    if head_speed_rad_s > train_speed_rad_s:
        return 0.0
    return max(wanted_nm, 0.0)


@kernel
def motor_torque(gears: Gears, head_torque_nm: float) -> float:
    """Torque that the motor gives to drive the head, N m; with the head driven by the air, the gear drag alone.

    q_motor = (max(q_head, 0) + q_drag) / (ratio * efficiency)
    Valid: ratio > 0, 0 < efficiency <= 1; the drag sits on the motor's side of the one-way bearing.
    Source: power balance over the meshes; any machine elements textbook (spur gear efficiency).
    """
    return (max(head_torque_nm, 0.0) + gears.drag_torque_nm) / (gears.ratio * gears.efficiency)


@kernel
def head_torque(gears: Gears, motor_torque_nm: float) -> float:
    """Torque that reaches the head through gears and one-way bearing, N m; never negative.

    q_head = max(q_motor * ratio * efficiency - q_drag, 0)
    Valid: ratio > 0, 0 < efficiency <= 1; inverse of `motor_torque` wherever the head takes torque.
    Source: power balance over the meshes; any machine elements textbook (spur gear efficiency).
    """
    return max(motor_torque_nm * gears.ratio * gears.efficiency - gears.drag_torque_nm, 0.0)


@kernel
def back_driven_torque(gears: Gears, main_gear_torque_nm: float) -> float:
    """Torque at the motor when the main gear drives it, N m; what a locked bearing or a braking motor would see.

    q_motor = max(q_gear - q_drag, 0) * efficiency / ratio
    Valid: power flows from main gear to motor; the same mesh efficiency both ways, which holds near 1.
    Source: power balance over the meshes; any machine elements textbook (spur gear efficiency).
    """
    return max(main_gear_torque_nm - gears.drag_torque_nm, 0.0) * gears.efficiency / gears.ratio


@kernel
def gear_loss(gears: Gears, motor_torque_nm: float, motor_speed_rad_s: float) -> float:
    """Power that meshes and drag turn to heat, W.

    p = q_motor * w_motor - q_head * w_motor / ratio
    Valid: motor driving, q_motor at or above what the drag needs.
    Source: power balance over the meshes; any machine elements textbook (spur gear efficiency).
    """
    passed = head_torque(gears, motor_torque_nm) * motor_speed_rad_s / gears.ratio
    return motor_torque_nm * motor_speed_rad_s - passed
