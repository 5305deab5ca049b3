"""The drive at a given duty: what flows at a speed, and the speed that a load comes to."""

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DrivePoint, Load, load_torque, point_from
from steadyhead.physics.feed import HALVINGS, fed_voltage
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.motor import Motor, no_load_current, shaft_torque, winding_resistance
from steadyhead.physics.pack import Source


@inlined_kernel
def point_at_duty(
    motor: Motor,
    controller: Controller,
    source: Source,
    duty: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> DrivePoint:
    """Current, torque and losses at a given duty and speed. SI.

    Current never runs backwards (no braking): with the motor turned faster than the duty asks, code IDLING and torque
    is the drag of friction and iron, below zero.
    Valid: 0 <= duty <= 1, speed >= 0.
    Source: `current_at_duty`.
    """
    current = current_at_duty(motor, controller, source, duty, motor_speed_rad_s, winding_temperature_k)
    code = 0 if current > no_load_current(motor, motor_speed_rad_s) else 1
    return point_from(motor, controller, source, code, duty, current, motor_speed_rad_s, winding_temperature_k)


@inlined_kernel
def current_at_duty(
    motor: Motor,
    controller: Controller,
    source: Source,
    duty: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> float:
    """Motor current at a given duty and speed, A; never below zero.

    i = (d v - (1 - d) v_freewheel - w / kv) / (r(t) + r_controller), and v falls along a line with i
    Valid: 0 <= duty <= 1, speed >= 0; the controller does not brake.
    Source: step-down chopper, mean voltage; any power electronics textbook.
    """
    at_none = fed_voltage(motor, controller, source, 0.0, duty)
    per_ampere = at_none - fed_voltage(motor, controller, source, 1.0, duty)
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k) + controller.resistance_ohm
    back = motor_speed_rad_s / motor.kv_rad_s_v + (1.0 - duty) * controller.freewheel_v
    return max((duty * at_none - back) / (resistance + duty * per_ampere), 0.0)


@inlined_kernel
def torque_at_duty(
    motor: Motor,
    controller: Controller,
    source: Source,
    duty: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> float:
    """Shaft torque at a given duty and speed, N m; below zero the drag of friction and iron.

    Valid: as `current_at_duty`; a line in speed while current flows.
    Source: `current_at_duty`, `motor.shaft_torque`.
    """
    current = current_at_duty(motor, controller, source, duty, motor_speed_rad_s, winding_temperature_k)
    return shaft_torque(motor, current, motor_speed_rad_s)


@kernel
def settled_at_duty(
    motor: Motor, controller: Controller, source: Source, load: Load, duty: float, winding_temperature_k: float
) -> DrivePoint:
    """The point that a load comes to at a given duty. SI.

    motor torque(duty, w) = load torque(w), solved for speed by halving between 0 and kv * v_open
    Valid: 0 < duty <= 1, load torque not falling with speed; speed 0 where the motor cannot start.
    Source: step-down chopper, mean voltage; any power electronics textbook.
    """
    low, high = 0.0, motor.kv_rad_s_v * source.open_circuit_v
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        tried = point_at_duty(motor, controller, source, duty, middle, winding_temperature_k)
        if tried.motor_torque_nm >= load_torque(load, middle):
            low = middle
        else:
            high = middle
    return point_at_duty(motor, controller, source, duty, low, winding_temperature_k)
