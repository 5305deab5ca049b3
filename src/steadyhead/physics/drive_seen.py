"""What a log's pack voltage, pack current and motor speed say of the motor."""

from steadyhead.physics.controller import Controller
from steadyhead.physics.feed import HALVINGS, duty_for, pack_current
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor, terminal_voltage


@kernel
def motor_current_seen(
    motor: Motor,
    controller: Controller,
    pack_voltage_v: float,
    pack_current_a: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> float:
    """Motor current that draws a pack current at a pack voltage and motor speed, A; 0 where even none draws more.

    i_pack(d(i), i, v) = i_pack, by halving on i between 0 and ten times the pack current
    Valid: steady or slowly changing, motor driving; at full duty the speed is taken as logged.
    Source: `feed.pack_current`, `feed.duty_for`.
    """
    low, high = 0.0, 10.0 * max(pack_current_a, 0.0)
    for _ in range(HALVINGS):
        current = 0.5 * (low + high)
        wanted = terminal_voltage(motor, current, motor_speed_rad_s, winding_temperature_k)
        wanted += current * controller.resistance_ohm
        duty = min(max(duty_for(controller, wanted, pack_voltage_v), 0.0), 1.0)
        if pack_current(controller, motor, current, pack_voltage_v, duty) < pack_current_a:
            low = current
        else:
            high = current
    return low
