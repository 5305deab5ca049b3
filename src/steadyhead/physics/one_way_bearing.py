"""The one-way bearing at work: free, carrying, and the moment in which the train catches the head."""

import math

from steadyhead.physics.kernel import kernel


@kernel
def common_speed(head_rad_s: float, head_kg_m2: float, train_rad_s: float, train_kg_m2: float) -> float:
    """Speed of head and train after the bearing bites without slip, rad/s at the head.

    w = (J_h w_h + J_t w_t) / (J_h + J_t)
    Valid: inelastic catch-up; the train's inertia is the motor's as the head feels it.
    Source: angular momentum kept; any mechanics textbook.
    """
    return (head_kg_m2 * head_rad_s + train_kg_m2 * train_rad_s) / (head_kg_m2 + train_kg_m2)


@kernel
def catch_up_loss(head_rad_s: float, head_kg_m2: float, train_rad_s: float, train_kg_m2: float) -> float:
    """Energy lost when the bearing bites without slip, J.

    E = 1/2 J_h J_t / (J_h + J_t) (w_t - w_h)^2
    Valid: inelastic catch-up.
    Source: angular momentum kept; any mechanics textbook.
    """
    gap = train_rad_s - head_rad_s
    return 0.5 * head_kg_m2 * train_kg_m2 / (head_kg_m2 + train_kg_m2) * gap * gap


@kernel
def speed_gap_after_play(relative_acceleration_rad_s2: float, play_rad: float) -> float:
    """Speed by which the train is faster when the rollers bite, rad/s at the head.

    dw = sqrt(2 a x), the train still gaining on the head while it crosses the play
    Valid: speeds equal where the play begins, acceleration steady across it.
    Source: motion at steady acceleration.
    """
    return math.sqrt(2.0 * max(relative_acceleration_rad_s2, 0.0) * max(play_rad, 0.0))


@kernel
def catch_up_torque(
    carried_nm: float, gap_rad_s: float, head_kg_m2: float, train_kg_m2: float, stiffness_nm_rad: float
) -> float:
    """Peak torque in the one-way bearing as the train catches the head, N m.

    q = q_c + sqrt(q_c^2 + k J dw^2), J = J_h J_t / (J_h + J_t)
    The torque carried after the catch-up comes on all at once, so the first swing reaches twice its size even without
    a gap in speed.
    Valid: undamped spring between two inertias; damping lowers it. Stiffness 0 leaves twice the torque carried.
    Source: two masses and a spring under a step of force; any vibration textbook.
    """
    reduced = head_kg_m2 * train_kg_m2 / (head_kg_m2 + train_kg_m2)
    carried = max(carried_nm, 0.0)
    return carried + math.sqrt(carried * carried + max(stiffness_nm_rad, 0.0) * reduced * gap_rad_s * gap_rad_s)
