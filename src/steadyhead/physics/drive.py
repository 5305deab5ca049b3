"""The whole drive at one steady point: pack, controller and motor together.

Every kernel takes a `Source`: `pack.pack_source(pack, charge, temperature, held)` for a pack with its sag, or
`Source(volts, 0)` for a bench supply.
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
from steadyhead.physics.heat import ControllerHeat, MotorHeat, WindingHeat, node_after, winding_after
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import (
    Motor,
    current_for_torque,
    no_load_current,
    shaft_torque,
    terminal_voltage,
    winding_resistance,
)
from steadyhead.physics.pack import Source

HALVINGS = 60
"""Halvings of a bracket: more than a double can tell apart."""

HOTTEST_K = 573.15
"""Winding temperature, 300 C, above which resistance is held: every motor has burnt by then."""

SCAN = 32
"""Steps in which a hidden root of the pack voltage is looked for from the top."""


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


class Heats(NamedTuple):
    """The heat nodes of motor and controller."""

    motor: MotorHeat
    controller: ControllerHeat


class HeldPoint(NamedTuple):
    """A drive point at the end of a held load, with the temperatures it led to. SI."""

    point: DrivePoint
    winding: WindingHeat
    controller_k: float


@kernel
def load_torque(load: Load, speed_rad_s: float) -> float:
    """Torque that the load takes from the motor at a speed, N m.

    q = q_steady + q0 (w / w0)^n
    Valid: w >= 0, w0 > 0; n = 2 for a rotor at fixed pitch.
    Source: rotor torque at fixed blade angle goes with speed squared; any propeller textbook.
    """
    growth = pow(max(speed_rad_s, 0.0) / load.speed_rad_s, load.exponent)
    return load.steady_nm + load.torque_nm * growth


@kernel
def duty_for(controller: Controller, wanted_v: float, pack_voltage_v: float) -> float:
    """Duty that gives a mean voltage behind the controller's resistance, from 0 up.

    d v - (1 - d) v_freewheel = wanted
    Valid: motor current above zero the whole period, v > 0.
    Source: step-down chopper, mean voltage; any power electronics textbook.
    """
    return (wanted_v + controller.freewheel_v) / (pack_voltage_v + controller.freewheel_v)


@kernel
def pack_current(
    controller: Controller, motor: Motor, motor_current_a: float, pack_voltage_v: float, duty: float
) -> float:
    """Current drawn from the pack, A.

    i = d i_motor + i_switching + i_ripple
    Valid: 0 <= d <= 1, capacitors of the controller smooth the chopped current.
    Source: power balance of a step-down chopper; any power electronics textbook.
    """
    switching = switching_current(controller, motor_current_a, duty)
    return duty * motor_current_a + switching + ripple_current(controller, motor, pack_voltage_v, duty)


@kernel
def sag_gap(
    motor: Motor, controller: Controller, source: Source, motor_current_a: float, wanted_v: float, pack_voltage_v: float
) -> float:
    """How far a tried pack voltage lies under what the source would give at it, V; zero at the answer.

    gap = v_open - r * i_pack(v) - v
    Valid: pack_voltage_v > 0.
    Source: Kirchhoff's voltage law.
    """
    duty = duty_for(controller, wanted_v, pack_voltage_v)
    current = pack_current(controller, motor, motor_current_a, pack_voltage_v, duty)
    return source.open_circuit_v - source.resistance_ohm * current - pack_voltage_v


@kernel
def sagged_voltage(
    motor: Motor, controller: Controller, source: Source, motor_current_a: float, wanted_v: float
) -> float:
    """Highest pack voltage that feeds the motor current at the wanted mean voltage, V; -1 if there is none.

    v_open - r * i_pack(v) - v = 0 by halving on wanted <= v <= v_open
    Valid: wanted_v > 0; a load of steady power has two answers, the upper is the one a drive comes to.
    Source: Kirchhoff's voltage law.
    """
    top, low = source.open_circuit_v, max(wanted_v, 1e-6)
    if low > top:
        return -1.0
    if sag_gap(motor, controller, source, motor_current_a, wanted_v, low) < 0.0:
        step, found = (top - wanted_v) / SCAN, False
        for _ in range(SCAN - 1):
            low = top - step
            if sag_gap(motor, controller, source, motor_current_a, wanted_v, low) >= 0.0:
                found = True
                break
            top = low
        if not found:
            return -1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (top + low)
        if sag_gap(motor, controller, source, motor_current_a, wanted_v, middle) >= 0.0:
            low = middle
        else:
            top = middle
    return low


@kernel
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

    pack current from the losses at the pack voltage; pack voltage from the sag, by repeated substitution
    Valid: motor current at or above zero.
    Source: power balance; Kirchhoff's laws.
    """
    voltage = fed_voltage(motor, controller, source, motor_current_a, duty)
    drawn = pack_current(controller, motor, motor_current_a, voltage, duty)
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
        voltage * ripple_current(controller, motor, voltage, duty),
        conduction_loss(controller, motor_current_a),
        voltage * switching_current(controller, motor_current_a, duty),
        freewheel_loss(controller, motor_current_a, duty),
        drawn * drawn * source.resistance_ohm,
    )


@kernel
def fed_voltage(motor: Motor, controller: Controller, source: Source, motor_current_a: float, duty: float) -> float:
    """Pack voltage under a given motor current and duty, V.

    v = v_open - r * (d i + i_switching + i_ripple(v)), and i_ripple is linear in v
    Valid: any duty and current; the ripple's no-load current grows linearly with voltage.
    Source: Kirchhoff's voltage law.
    """
    at_zero = pack_current(controller, motor, motor_current_a, 0.0, duty)
    per_volt = ripple_current(controller, motor, 1.0, duty) - ripple_current(controller, motor, 0.0, duty)
    return (source.open_circuit_v - source.resistance_ohm * at_zero) / (1.0 + source.resistance_ohm * per_volt)


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
        return point_from(motor, controller, source, code, duty, current, motor_speed_rad_s, winding_temperature_k)
    code = 2 if wanted > 0.5 * source.open_circuit_v else 3
    full = point_from(motor, controller, source, code, 1.0, current, motor_speed_rad_s, winding_temperature_k)
    return with_duty(full, wanted / max(full.pack_voltage_v, 0.05 * source.open_circuit_v))


@kernel
def with_duty(point: DrivePoint, duty: float) -> DrivePoint:
    """The same figures with another duty beside them, for a point that full duty does not reach.

    Valid: as a statement of what is missing, not as a point that exists.
    Source: definition.
    """
    return DrivePoint(
        point.code,
        duty,
        point.motor_torque_nm,
        point.motor_speed_rad_s,
        point.motor_current_a,
        point.motor_voltage_v,
        point.pack_current_a,
        point.pack_voltage_v,
        point.pack_power_w,
        point.shaft_power_w,
        point.copper_loss_w,
        point.iron_loss_w,
        point.ripple_loss_w,
        point.conduction_loss_w,
        point.switching_loss_w,
        point.freewheel_loss_w,
        point.pack_loss_w,
    )


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
def point_at_duty(
    motor: Motor,
    controller: Controller,
    source: Source,
    duty: float,
    motor_speed_rad_s: float,
    winding_temperature_k: float,
) -> DrivePoint:
    """Current, torque and losses at a given duty and speed. SI.

    i = (d v - (1 - d) v_freewheel - w / kv) / (r(t) + r_controller), not below zero; v from its own sag
    Current never runs backwards (no braking): with the motor turned faster than the duty asks, code IDLING and torque
    is the drag of friction and iron, below zero.
    Valid: 0 <= duty <= 1, speed >= 0.
    Source: step-down chopper, mean voltage; any power electronics textbook.
    """
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k) + controller.resistance_ohm
    back = motor_speed_rad_s / motor.kv_rad_s_v + (1.0 - duty) * controller.freewheel_v
    low, high = 0.0, max(duty * source.open_circuit_v - back, 0.0) / resistance
    for _ in range(HALVINGS):
        current = 0.5 * (low + high)
        voltage = fed_voltage(motor, controller, source, current, duty)
        if duty * voltage - back - current * resistance >= 0.0:
            low = current
        else:
            high = current
    code = 0 if low > no_load_current(motor, motor_speed_rad_s) else 1
    return point_from(motor, controller, source, code, duty, low, motor_speed_rad_s, winding_temperature_k)


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


@kernel
def controller_loss(point: DrivePoint) -> float:
    """Loss that warms the controller, W: conduction, switching and freewheel.

    p = p_conduction + p_switching + p_freewheel
    Valid: the ripple loss is taken to fall in the motor's iron, magnets and wire, none of it in the controller.
    Source: power balance; the split of the ripple loss is our judgement.
    """
    return point.conduction_loss_w + point.switching_loss_w + point.freewheel_loss_w


@kernel
def held_temperatures(
    motor: Motor, heats: Heats, point: DrivePoint, air_temperature_k: float, held_s: float
) -> tuple[WindingHeat, float]:
    """Winding and case, and controller temperature, K, after a point is held from air temperature.

    iron and ripple loss warm the case, copper the winding, the controller's own losses the controller
    Valid: load and cooling steady over held_s; the point's currents are kept.
    Source: lumped capacities; any heat transfer textbook.
    """
    iron = point.iron_loss_w + point.ripple_loss_w
    winding = winding_after(
        heats.motor, point.motor_current_a, motor.resistance_20c_ohm, iron, air_temperature_k, held_s
    )
    return winding, node_after(heats.controller, controller_loss(point), air_temperature_k, held_s)


@kernel
def drive_held(
    motor: Motor,
    controller: Controller,
    source: Source,
    heats: Heats,
    motor_torque_nm: float,
    motor_speed_rad_s: float,
    air_temperature_k: float,
    held_s: float,
) -> HeldPoint:
    """The point that holds a torque at a speed, with the winding as warm as that load makes it after a time. SI.

    point(winding) -> losses -> winding, repeated; torque fixes the current, so three rounds settle it
    Valid: load and cooling steady over held_s, everything at air temperature before.
    Source: lumped capacities; any heat transfer textbook.
    """
    point = drive_at(motor, controller, source, motor_torque_nm, motor_speed_rad_s, air_temperature_k)
    winding, controller_k = held_temperatures(motor, heats, point, air_temperature_k, held_s)
    for _ in range(2):
        warm_k = min(winding.winding_k, HOTTEST_K)
        point = drive_at(motor, controller, source, motor_torque_nm, motor_speed_rad_s, warm_k)
        winding, controller_k = held_temperatures(motor, heats, point, air_temperature_k, held_s)
    return HeldPoint(point, winding, controller_k)
