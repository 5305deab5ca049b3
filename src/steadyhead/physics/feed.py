"""Pack and controller together: the pack voltage under a motor current, and the current drawn for it."""

from steadyhead.physics.controller import Controller, ripple_current, switching_current
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source

HALVINGS = 60
"""Halvings of a bracket: more than a double can tell apart."""

SCAN = 32
"""Steps in which a hidden root of the pack voltage is looked for from the top."""


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
