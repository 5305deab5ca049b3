"""Motor: first-order machine with a no-load current that grows with speed and a winding that warms."""

from math import sqrt
from typing import NamedTuple

from steadyhead.physics.kernel import kernel

COPPER_PER_K = 0.00393
"""Rise of copper resistance per kelvin from 20 C. Source: IEC 60028, annealed copper standard."""

COPPER_REFERENCE_K = 293.15
"""The 20 C that the rise counts from. Source: IEC 60028."""


class Motor(NamedTuple):
    """What a kernel needs to know of a motor. SI.

    No-load current at speed w: no_load_a * ((1 - no_load_speed_share) + no_load_speed_share * w / no_load_speed_rad_s).
    """

    kv_rad_s_v: float
    resistance_20c_ohm: float
    no_load_a: float
    no_load_speed_rad_s: float
    no_load_speed_share: float


@kernel
def winding_resistance(resistance_20c_ohm: float, winding_temperature_k: float) -> float:
    """Winding resistance at its temperature, ohm.

    r = r20 * (1 + 0.00393 * (t - 293.15))
    Valid: copper, -50 to 200 C.
    Source: IEC 60028, annealed copper standard.
    """
    return resistance_20c_ohm * (1.0 + COPPER_PER_K * (winding_temperature_k - COPPER_REFERENCE_K))


@kernel
def no_load_current(motor: Motor, speed_rad_s: float) -> float:
    """Current that friction and iron take at a speed, A.

    i0 = no_load_a * ((1 - share) + share * w / w0)
    Valid: w >= 0, 0 <= share <= 1; share 0 is the three-constant motor. The square term of the note is left out.
    Source: M. Drela, Second-Order DC Electric Motor Model, MIT, March 2006 (from memory): i0 = i00 + i01 w + i02 w2.
    """
    share = motor.no_load_speed_share
    if share == 0.0:
        return motor.no_load_a
    return motor.no_load_a * ((1.0 - share) + share * speed_rad_s / motor.no_load_speed_rad_s)


@kernel
def current_for_torque(motor: Motor, torque_nm: float, speed_rad_s: float) -> float:
    """Motor current for a shaft torque at a speed, A.

    i = q * kv + i0(w)
    Valid: iron not saturated; holds at zero torque and zero speed.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    return torque_nm * motor.kv_rad_s_v + no_load_current(motor, speed_rad_s)


@kernel
def shaft_torque(motor: Motor, current_a: float, speed_rad_s: float) -> float:
    """Shaft torque from a motor current at a speed, N m; negative below the no-load current: the motor is a brake.

    q = (i - i0(w)) / kv
    Valid: iron not saturated.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    return (current_a - no_load_current(motor, speed_rad_s)) / motor.kv_rad_s_v


@kernel
def terminal_voltage(motor: Motor, current_a: float, speed_rad_s: float, winding_temperature_k: float) -> float:
    """Mean voltage at the motor terminals, V.

    v = w / kv + i * r(t)
    Valid: controller commutating; any sign of current.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k)
    return speed_rad_s / motor.kv_rad_s_v + current_a * resistance


@kernel
def speed_at(motor: Motor, voltage_v: float, current_a: float, winding_temperature_k: float) -> float:
    """Motor speed at a terminal voltage and current, rad/s.

    w = kv * (v - i * r(t))
    Valid: controller commutating.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k)
    return motor.kv_rad_s_v * (voltage_v - current_a * resistance)


@kernel
def no_load_speed(motor: Motor, voltage_v: float, winding_temperature_k: float) -> float:
    """Speed with nothing on the shaft, rad/s; 0 when the voltage cannot overcome the friction.

    w = kv * (v - i0(w) * r), which is linear in w
    Valid: v >= 0.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    resistance = winding_resistance(motor.resistance_20c_ohm, winding_temperature_k)
    at_rest = motor.no_load_a * (1.0 - motor.no_load_speed_share)
    growth = 0.0
    if motor.no_load_speed_share != 0.0:
        growth = motor.no_load_a * motor.no_load_speed_share / motor.no_load_speed_rad_s
    speed = motor.kv_rad_s_v * (voltage_v - at_rest * resistance) / (1.0 + motor.kv_rad_s_v * growth * resistance)
    return max(speed, 0.0)


@kernel
def stall_current(motor: Motor, voltage_v: float, winding_temperature_k: float) -> float:
    """Current with the shaft held, A.

    i = v / r(t)
    Valid: resistance of the motor alone; controller and pack lower it.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    return voltage_v / winding_resistance(motor.resistance_20c_ohm, winding_temperature_k)


@kernel
def best_efficiency_current(motor: Motor, voltage_v: float, winding_temperature_k: float) -> float:
    """Current at which the motor alone is most efficient at a voltage, A.

    i = sqrt(i0 * v / r)
    Valid: no-load current that does not grow with speed (share 0); with a share it is an estimate.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    return sqrt(motor.no_load_a * stall_current(motor, voltage_v, winding_temperature_k))


@kernel
def best_efficiency(motor: Motor, voltage_v: float, winding_temperature_k: float) -> float:
    """Greatest efficiency of the motor alone at a voltage, 0 to 1.

    eta = (1 - sqrt(i0 * r / v))^2
    Valid: no-load current that does not grow with speed (share 0), v above i0 * r.
    Source: M. Drela, First-Order DC Electric Motor Model, MIT, February 2007 (from memory).
    """
    root = sqrt(motor.no_load_a / stall_current(motor, voltage_v, winding_temperature_k))
    return (1.0 - root) * (1.0 - root)


@kernel
def kv_from_no_load(voltage_v: float, current_a: float, speed_rad_s: float, resistance_ohm: float) -> float:
    """Kv from one no-load reading, rad/s per V.

    kv = w / (v - i0 r)
    Valid: full duty, v above i0 * r, nothing on the shaft.
    Source: A. E. Fitzgerald, C. Kingsley, S. D. Umans, Electric Machinery, 6th ed., 2003, Example 7.9 (from memory).
    """
    return speed_rad_s / (voltage_v - current_a * resistance_ohm)
