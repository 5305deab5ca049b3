"""What rows of a log must add up to: motor current, voltage and current left over, winding, coast-down, pack run."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.controller import PULSE_SKIP, Controller, ripple_current
from steadyhead.physics.feed import pack_current
from steadyhead.physics.heat import MotorHeat, Warmth, motor_warmed
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor, current_for_torque, no_load_current, terminal_voltage
from steadyhead.physics.pack import (
    cell_open_circuit,
    charge_after,
    charge_factor,
    slow_charge_factor,
    slow_voltage_after,
)

SHORTEST_STEP_S = 0.02
"""Longest step of the coast-down's own time: far below the time in which a head slows down."""

LEAST_DUTY = 0.02
"""Below this duty a motor that turns takes no current; common practice, no source."""

Rows = NDArray[np.float64]


class DriveRows(NamedTuple):
    """Rows of a log that the drive is worked out from. SI; the speed is the motor's.

    Shapes: duty, voltage_v, current_a, speed_rad_s (n,).
    """

    duty: Rows
    voltage_v: Rows
    current_a: Rows
    speed_rad_s: Rows


class Slowing(NamedTuple):
    """How a head slows down by itself: a drag that grows with a power of speed, and a steady one. SI, at the head."""

    drag_nm: float
    reference_rad_s: float
    exponent: float
    steady_nm: float
    inertia_kg_m2: float


class PackRun(NamedTuple):
    """A pack as a log shows it; resistances as flown, at half charge. SI.

    `lag_s` is by how much the logged current lags the logged voltage; `offset_v` and `tilt_v` shift the open-circuit
    voltage and its slope over the charge used, since makes differ. `early_ohm` comes back within `early_time_s`, a few
    seconds, beside the slow part.
    """

    cells: float
    capacity_as: float
    quick_ohm: float
    slow_ohm: float
    slow_time_s: float
    early_ohm: float
    early_time_s: float
    charge: float
    offset_v: float
    tilt_v: float
    lag_s: float


@kernel
def motor_current_from(
    controller: Controller, motor: Motor, pack_current_a: float, pack_voltage_v: float, duty: float
) -> float:
    """Motor current that a logged pack current, pack voltage and duty tell, A; never below zero.

    i = (i_pack - i_ripple) / (d + f t min((1 - d) / 0.05, 1)), the inverse of `feed.pack_current`
    Valid: duty above zero; steady over the rows that are averaged.
    Source: `feed.pack_current`.
    """
    chopping = min(max(1.0 - duty, 0.0) / PULSE_SKIP, 1.0)
    per_ampere = duty + controller.switching_hz * controller.switching_loss_s * chopping
    ripple = ripple_current(controller, motor, pack_voltage_v, duty)
    return max((pack_current_a - ripple) / max(per_ampere, 1e-6), 0.0)


@kernel
def voltage_gaps(controller: Controller, motor: Motor, rows: DriveRows, winding_k: Rows, out: Rows) -> None:
    """Fill, row by row, the voltage that is left over, V.

    v_left = d v - (1 - d) v_freewheel - i r_controller - i r(t) - w / kv
    Shapes: winding_k, out (n,).
    Valid: motor current flows the whole period; rows are means over times longer than the sensors' lags.
    Source: step-down chopper, mean voltage; M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from
    memory).
    """
    for row in range(rows.duty.size):
        duty, voltage, speed = rows.duty[row], rows.voltage_v[row], rows.speed_rad_s[row]
        current = motor_current_from(controller, motor, rows.current_a[row], voltage, duty)
        behind = terminal_voltage(motor, current, speed, winding_k[row]) + current * controller.resistance_ohm
        out[row] = duty * voltage - (1.0 - duty) * controller.freewheel_v - behind


@kernel
def current_gaps(controller: Controller, motor: Motor, rows: DriveRows, torque_nm: Rows, out: Rows) -> None:
    """Fill, row by row, the pack current that is left over beside what a shaft torque asks, A.

    i_left = i_pack - (d i + i_switching + i_ripple), i = q kv + i0(w)
    Shapes: torque_nm, out (n,).
    Valid: as `voltage_gaps`; left over in amperes, so that noise of its sensor pulls no scale down.
    Source: `feed.pack_current`, `motor.current_for_torque`.
    """
    for row in range(rows.duty.size):
        current = max(current_for_torque(motor, torque_nm[row], rows.speed_rad_s[row]), 0.0)
        asked = pack_current(controller, motor, current, rows.voltage_v[row], rows.duty[row])
        out[row] = rows.current_a[row] - asked


@kernel
def winding_run(
    controller: Controller, motor: Motor, heat: MotorHeat, time_s: Rows, rows: DriveRows, air_k: float, out: Rows
) -> None:
    """Fill the winding temperature of a log that begins at air temperature, K; iron and ripple loss warm the case.

    Shapes: time_s, out (n,).
    Valid: as `heat.motor_warmed`, each row held since the one before.
    Source: `heat.motor_warmed`.
    """
    now = Warmth(air_k, air_k, air_k)
    out[0] = air_k
    for row in range(1, time_s.size):
        duty, speed, current = rows.duty[row], rows.speed_rad_s[row], 0.0
        if duty > LEAST_DUTY:
            current = motor_current_from(controller, motor, rows.current_a[row], rows.voltage_v[row], duty)
        iron_w = no_load_current(motor, speed) * speed / motor.kv_rad_s_v
        iron_w += rows.voltage_v[row] * ripple_current(controller, motor, rows.voltage_v[row], duty)
        held_s = time_s[row] - time_s[row - 1]
        winding, case = motor_warmed(heat, current, motor.resistance_20c_ohm, iron_w, air_k, now, held_s)
        now = Warmth(winding, case, air_k)
        out[row] = winding


@kernel
def slowing_rate(slowing: Slowing, speed_rad_s: float) -> float:
    """How fast a coasting head loses speed, rad/s2, as a number below zero.

    dw/dt = -(q (w / w0)^n + q_steady) / J
    Valid: no power, steady pitch and air; w >= 0.
    Source: Newton's law for rotation.
    """
    drag = slowing.drag_nm * math.pow(max(speed_rad_s, 0.0) / slowing.reference_rad_s, slowing.exponent)
    return -(drag + slowing.steady_nm) / slowing.inertia_kg_m2


@kernel
def coast_run(slowing: Slowing, speed_rad_s: float, time_s: Rows, out: Rows) -> None:
    """Fill the head speed of a coast-down from a speed at the first time, rad/s; 0 once it stands.

    Shapes: time_s, out (n,).
    Valid: as `slowing_rate`; fourth-order Runge-Kutta in steps of at most 0.02 s.
    Source: `slowing_rate`.
    """
    now = speed_rad_s
    out[0] = now
    for row in range(1, time_s.size):
        span_s = time_s[row] - time_s[row - 1]
        steps = max(1, math.ceil(span_s / SHORTEST_STEP_S))
        h = span_s / steps
        for _ in range(steps):
            a = slowing_rate(slowing, now)
            b = slowing_rate(slowing, now + 0.5 * h * a)
            c = slowing_rate(slowing, now + 0.5 * h * b)
            now = max(now + h * (a + 2.0 * b + 2.0 * c + slowing_rate(slowing, now + h * c)) / 6.0, 0.0)
        out[row] = now


@kernel
def pack_run(run: PackRun, time_s: Rows, current_a: Rows, rate_a_s: Rows, out: Rows) -> None:
    """Fill the pack voltage under a logged current, V.

    v = cells v_open(s) + offset + tilt (s0 - s) - r0 f(s) (i + lag di/dt) - u1 - u2
    u1 and u2, late and early, by an RC pair each; s by charge counting
    Shapes: time_s, current_a, rate_a_s (n,): current and how fast it changes; out (n,).
    Valid: each row's current held until the next; the lag is short beside the time over which rows are averaged.
    Source: `pack.slow_voltage_after`, `pack.charge_after`; first order in the lag.
    """
    charge, late, early = run.charge, 0.0, 0.0
    for row in range(time_s.size):
        if row > 0:
            held_s = time_s[row] - time_s[row - 1]
            mean_a = 0.5 * (current_a[row] + current_a[row - 1])
            grown = slow_charge_factor(charge)
            late = slow_voltage_after(late, mean_a, run.slow_ohm * grown, run.slow_time_s, held_s)
            early = slow_voltage_after(early, mean_a, run.early_ohm * grown, run.early_time_s, held_s)
            charge = charge_after(charge, mean_a, run.capacity_as, held_s)
        seen_a = current_a[row] + run.lag_s * rate_a_s[row]
        open_v = run.cells * cell_open_circuit(charge) + run.offset_v + run.tilt_v * (run.charge - charge)
        out[row] = open_v - run.quick_ohm * charge_factor(charge) * seen_a - late - early
