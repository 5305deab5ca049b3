"""The whole drive at one steady point: pack, controller and motor together.

Every kernel takes a `Source`: `pack.pack_source(pack, charge, temperature, held)` for a pack with its sag, or
`Source(volts, 0)` for a bench supply. A given duty is in `at_duty.py`, a load held for a time in `held.py`.
"""

from enum import IntEnum
from math import pow
from typing import NamedTuple

from steadyhead.physics.controller import (
    Controller,
    conduction_loss,
    freewheel_loss,
    ripple_current,
    switching_current,
)
from steadyhead.physics.feed import HALVINGS, duty_for, fed_voltage, pack_current, sagged_voltage
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.motor import (
    Motor,
    current_for_torque,
    no_load_current,
    shaft_torque,
    terminal_voltage,
    winding_resistance,
)
from steadyhead.physics.pack import Source


class DriveStop(IntEnum):
    """How a drive question ended."""

    DONE = 0
    IDLING = 1
    OVER_FULL_DUTY = 2
    PACK_CANNOT = 3


DRIVE_STOP_SAYS = {
    DriveStop.DONE: "solved",
    DriveStop.IDLING: "the head needs no torque: the motor only turns itself",
    DriveStop.OVER_FULL_DUTY: "full duty is not enough: the pack voltage is too low for this speed and torque",
    DriveStop.PACK_CANNOT: "the pack cannot give this power at any duty",
}


class Load(NamedTuple):
    """Load at the motor over speed: steady_nm + torque_nm * (w / speed_rad_s) ** exponent. SI."""

    torque_nm: float
    speed_rad_s: float
    exponent: float = 2.0
    steady_nm: float = 0.0


class DrivePoint(NamedTuple):
    """One steady point of the drive. SI.

    With code DONE or IDLING: pack_power_w = shaft_power_w + the six losses of motor and controller. With another code
    no such point exists: duty is what would be needed (above 1), the rest is what the wanted torque would draw at full
    duty, and the powers do not add up by what the pack lacks.
    """

    code: int
    duty: float
    motor_torque_nm: float
    motor_speed_rad_s: float
    motor_current_a: float
    motor_voltage_v: float
    pack_current_a: float
    pack_voltage_v: float
    pack_power_w: float
    shaft_power_w: float
    copper_loss_w: float
    iron_loss_w: float
    ripple_loss_w: float
    conduction_loss_w: float
    switching_loss_w: float
    freewheel_loss_w: float
    pack_loss_w: float


@kernel
def drive_at(
    motor: Motor,
    controller: Controller,
    source: Source,
    motor_torque_nm: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> DrivePoint:
    """Duty, currents, voltages and losses that hold a torque at a speed. SI.

    i = q kv + i0(w); v_motor = w / kv + i r(t); duty from the mean voltage; pack voltage from its own sag
    A torque below zero is taken as zero (one-way bearing): the motor idles. Where full duty is not enough, duty is
    wanted voltage over the voltage that full duty would leave: above 1, so head-room 1 - duty is negative.
    Valid: speed >= 0; steady.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory); Kirchhoff's laws.
    """
    torque = max(motor_torque_nm, 0.0)
    current = current_for_torque(motor, torque, motor_speed_rad_s)
    wanted = terminal_voltage(motor, current, motor_speed_rad_s, winding_temperature_k)
    wanted += current * controller.resistance_ohm
    voltage = sagged_voltage(motor, controller, source, current, wanted)
    code = 0 if motor_torque_nm > 0.0 else 1
    if voltage > 0.0:
        duty = min(duty_for(controller, wanted, voltage), 1.0)
    else:
        code = 2 if wanted > 0.5 * source.open_circuit_v else 3
        left = fed_voltage(motor, controller, source, current, 1.0)
        duty = wanted / max(left, 0.05 * source.open_circuit_v)
    return point_from(motor, controller, source, code, duty, current, motor_speed_rad_s, winding_temperature_k)


@kernel
def full_duty(
    motor: Motor, controller: Controller, source: Source, load: Load, winding_temperature_k: float
) -> DrivePoint:
    """The point at full duty under a load that grows with speed: its speed is the ceiling. SI.

    Kirchhoff round the loop at duty 1, solved for speed by halving between 0 and kv * v_open
    Valid: load torque >= 0 and not falling with speed; speed 0 with code PACK_CANNOT where the motor cannot start.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory); Kirchhoff's laws.
    """
    low, high = 0.0, motor.kv_rad_s_v * source.open_circuit_v
    code = 0 if full_duty_gap(motor, controller, source, load, 0.0, winding_temperature_k) > 0.0 else 3
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if full_duty_gap(motor, controller, source, load, middle, winding_temperature_k) >= 0.0:
            low = middle
        else:
            high = middle
    current = current_for_torque(motor, load_torque(load, low), low)
    return point_from(motor, controller, source, code, 1.0, current, low, winding_temperature_k)


@kernel
def full_duty_gap(
    motor: Motor, controller: Controller, source: Source, load: Load, speed_rad_s: float, winding_temperature_k: float
) -> float:
    """Voltage left over at full duty under a load at a tried speed, V; falls with speed, zero at the answer.

    gap = v_open - i (r_pack + r_controller + r(t)) - w / kv
    Valid: speed >= 0.
    Source: Kirchhoff's voltage law round pack, controller and motor.
    """
    current = current_for_torque(motor, load_torque(load, speed_rad_s), speed_rad_s)
    series = source.resistance_ohm + controller.resistance_ohm
    return (
        source.open_circuit_v - current * series - terminal_voltage(motor, current, speed_rad_s, winding_temperature_k)
    )


@kernel
def load_torque(load: Load, speed_rad_s: float) -> float:
    """Torque that the load takes from the motor at a speed, N m.

    q = q_steady + q0 (w / w0)^n
    Valid: w >= 0, w0 > 0; n = 2 for a rotor at fixed pitch.
    Source: rotor torque at fixed blade angle goes with speed squared; any propeller textbook.
    """
    growth = pow(max(speed_rad_s, 0.0) / load.speed_rad_s, load.exponent)
    return load.steady_nm + load.torque_nm * growth


@inlined_kernel
def point_from(
    motor: Motor,
    controller: Controller,
    source: Source,
    code: int,
    duty: float,
    motor_current_a: float,
    speed_rad_s: float,
    winding_temperature_k: float,
) -> DrivePoint:
    """All figures of a point whose duty, motor current and speed are known. SI.

    pack voltage from the sag at that duty, then every loss at that voltage
    Valid: motor current at or above zero; a duty above 1 is kept as the answer, all else is at full duty.
    Source: power balance; Kirchhoff's laws.
    """
    chopped = min(duty, 1.0)
    voltage = fed_voltage(motor, controller, source, motor_current_a, chopped)
    drawn = pack_current(controller, motor, motor_current_a, voltage, chopped)
    torque = shaft_torque(motor, motor_current_a, speed_rad_s)
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k)
    return DrivePoint(
        code,
        duty,
        torque,
        speed_rad_s,
        motor_current_a,
        terminal_voltage(motor, motor_current_a, speed_rad_s, winding_temperature_k),
        drawn,
        voltage,
        voltage * drawn,
        torque * speed_rad_s,
        motor_current_a * motor_current_a * resistance,
        no_load_current(motor, speed_rad_s) * speed_rad_s / motor.kv_rad_s_v,
        voltage * ripple_current(controller, motor, voltage, chopped),
        conduction_loss(controller, motor_current_a),
        voltage * switching_current(controller, motor_current_a, chopped),
        freewheel_loss(controller, motor_current_a, chopped),
        drawn * drawn * source.resistance_ohm,
    )


@kernel
def controller_loss(point: DrivePoint) -> float:
    """Loss that warms the controller, W: conduction, switching and freewheel.

    p = p_conduction + p_switching + p_freewheel
    Valid: the ripple loss is taken to fall in the motor's iron, magnets and wire, none of it in the controller.
    Source: power balance; the split of the ripple loss is our judgement.
    """
    return point.conduction_loss_w + point.switching_loss_w + point.freewheel_loss_w
