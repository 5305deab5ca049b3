"""How head and motor speed up and slow down, through gears and one-way bearing."""

import math

from steadyhead.physics.at_duty import torque_at_duty
from steadyhead.physics.craft import Acting, Craft, Held, State
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.kernel import inlined_kernel
from steadyhead.physics.pack import Source

TRY_RAD_S = 1e-3
CLOSE_RAD_S = 1e-10
MOST_TURNS = 4


@inlined_kernel
def train_inertia(craft: Craft) -> float:
    """Inertia of the motor as the head feels it, kg m2.

    J = eta ratio^2 J_motor
    Valid: motor driving; gears' own inertia counted with the motor or the head.
    Source: power balance over the meshes; any machine elements textbook.
    """
    return craft.gears.efficiency * craft.gears.ratio * craft.gears.ratio * craft.body.motor_kg_m2


@inlined_kernel
def locked_rate(craft: Craft, source: Source, acting: Acting, held: Held, state: State, head_rad_s: float) -> float:
    """Acceleration of head and motor together, rad/s2 at the head.

    (J_h + eta n^2 J_m) dw/dt = eta n q_motor(n w) - q_drag - q_rotor - q_tail
    Valid: one-way bearing carrying; the efficiency of the meshes holds for what the motor's own inertia leaves.
    Source: Newton's law for rotation; power balance over the meshes.
    """
    gears = craft.gears
    torque = torque_at_duty(
        craft.motor, craft.controller, source, acting.duty, gears.ratio * head_rad_s, state.winding_k
    )
    drag = gears.drag_torque_nm + craft.body.head_drag_nm
    net = gears.efficiency * gears.ratio * torque - drag - held.torque_nm - held.tail_nm
    return net / (craft.body.head_kg_m2 + train_inertia(craft))


@inlined_kernel
def free_motor_rate(
    craft: Craft, source: Source, acting: Acting, held: Held, state: State, motor_rad_s: float
) -> float:
    """Acceleration of the motor and its gears while the head overruns, rad/s2 at the motor.

    J_m dw/dt = q_motor(w) - (q_drag + q_tail) / (n eta), the tail only where it hangs on the motor's side
    Valid: one-way bearing free, without drag of its own; friction does not turn a standing motor backwards.
    Source: Newton's law for rotation.
    """
    torque = torque_at_duty(craft.motor, craft.controller, source, acting.duty, motor_rad_s, state.winding_k)
    tail = held.tail_nm * (1.0 - craft.body.tail_on_head)
    return (torque - motor_torque(craft.gears, tail)) / craft.body.motor_kg_m2


@inlined_kernel
def free_head_rate(craft: Craft, held: Held) -> float:
    """Acceleration of the head while it overruns the motor, rad/s2.

    J_h dw/dt = -q_rotor - q_tail - q_drag, the tail only where it hangs on the head
    Valid: one-way bearing free, without drag of its own.
    Source: Newton's law for rotation.
    """
    return -head_load(craft, held) / craft.body.head_kg_m2


@inlined_kernel
def carried_torque(craft: Craft, held: Held, head_rate_rad_s2: float) -> float:
    """Torque that the one-way bearing carries while head and motor turn together, N m; below zero it lets go.

    q = J_h dw/dt + q_rotor + q_tail + q_drag
    Valid: tail counted only where it hangs on the head.
    Source: Newton's law for rotation.
    """
    return craft.body.head_kg_m2 * head_rate_rad_s2 + head_load(craft, held)


@inlined_kernel
def head_load(craft: Craft, held: Held) -> float:
    """Torque that slows the head on its own side of the one-way bearing, N m.

    Valid: head turning; the tail counted only where it hangs on the head.
    Source: sum of rotor, tail and bearing drag.
    """
    return held.torque_nm + held.tail_nm * craft.body.tail_on_head + craft.body.head_drag_nm


@inlined_kernel
def middle_of_locked(craft: Craft, source: Source, acting: Acting, held: Held, state: State, step_s: float) -> float:
    """Head speed at the middle of a step with the bearing carrying, rad/s, by the implicit midpoint rule.

    w' = w + dt/2 f(w'), by Newton; f is a line while current flows and another while none does
    Valid: any step: the motor's own time constant does not limit it. Friction does not turn the head backwards.
    Source: implicit midpoint rule; any numerical analysis textbook.
    """
    start = middle = state.head_rad_s
    for _ in range(MOST_TURNS):
        here = locked_rate(craft, source, acting, held, state, middle)
        miss = middle - start - 0.5 * step_s * here
        if abs(miss) <= CLOSE_RAD_S:
            break
        beside = middle - math.copysign(TRY_RAD_S, miss)
        slope = (locked_rate(craft, source, acting, held, state, beside) - here) / (beside - middle)
        middle -= miss / (1.0 - 0.5 * step_s * slope)
    return max(middle, 0.0)


@inlined_kernel
def middle_of_free(craft: Craft, source: Source, acting: Acting, held: Held, state: State, step_s: float) -> float:
    """Motor speed at the middle of a step with the bearing free, rad/s, by the implicit midpoint rule.

    Valid: as `middle_of_locked`.
    Source: as `middle_of_locked`.
    """
    start = middle = state.motor_rad_s
    for _ in range(MOST_TURNS):
        here = free_motor_rate(craft, source, acting, held, state, middle)
        miss = middle - start - 0.5 * step_s * here
        if abs(miss) <= CLOSE_RAD_S:
            break
        beside = middle - math.copysign(TRY_RAD_S, miss)
        slope = (free_motor_rate(craft, source, acting, held, state, beside) - here) / (beside - middle)
        middle -= miss / (1.0 - 0.5 * step_s * slope)
    return max(middle, 0.0)
