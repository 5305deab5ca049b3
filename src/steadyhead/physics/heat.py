"""Heat: lumped nodes of winding, motor case and controller, with copper that warms and so loses more."""

from enum import IntEnum
from math import expm1, inf, sqrt
from typing import NamedTuple

from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import COPPER_PER_K, COPPER_REFERENCE_K


class Warmth(NamedTuple):
    """Temperatures of the three heat nodes. SI."""

    winding_k: float
    case_k: float
    controller_k: float


class HeatStop(IntEnum):
    """How a heat question ended."""

    DONE = 0
    RUNAWAY = 1


HEAT_STOP_SAYS = {
    HeatStop.DONE: "the temperature settles if the load is held for ever",
    HeatStop.RUNAWAY: "the winding warms faster than it can cool: held for ever, this load burns the motor",
}


class MotorHeat(NamedTuple):
    """Two lumped nodes: winding to case to air. SI."""

    winding_j_k: float
    winding_to_case_k_w: float
    case_j_k: float
    case_to_air_k_w: float


class ControllerHeat(NamedTuple):
    """One lumped node: controller to air. SI."""

    body_j_k: float
    body_to_air_k_w: float


class WindingHeat(NamedTuple):
    """Winding and case after a time, and the winding if the load were held for ever (inf in a runaway). SI."""

    winding_k: float
    case_k: float
    settled_winding_k: float
    code: int


class OneNodeHeat(NamedTuple):
    """One node after a time, settled (inf in a runaway), its time constant (inf in a runaway) and feedback. SI."""

    temperature_k: float
    settled_k: float
    time_constant_s: float
    feedback: float
    code: int


@kernel
def growth_integral(rate_per_s: float, held_s: float) -> float:
    """Integral of exp(rate * t) from 0 to `held_s`, s.

    (exp(rate * held) - 1) / rate, and held where rate is 0
    Valid: any sign of rate, zero included.
    Source: calculus.
    """
    if abs(rate_per_s * held_s) < 1e-12:
        return held_s
    return expm1(rate_per_s * held_s) / rate_per_s


@kernel
def node_warmed(heat: ControllerHeat, loss_w: float, air_k: float, start_k: float, held_s: float) -> float:
    """Temperature of one node, K, after a steady loss held from a given temperature.

    t = t0 + (t_air + p r - t0) (1 - exp(-held / (r c)))
    Valid: loss that does not change with temperature; cooling steady.
    Source: lumped capacity, first order; any heat transfer textbook.
    """
    rate = 1.0 / (heat.body_to_air_k_w * heat.body_j_k)
    settled = air_k + loss_w * heat.body_to_air_k_w
    return start_k + (settled - start_k) * rate * growth_integral(-rate, held_s)


@kernel
def node_after(heat: ControllerHeat, loss_w: float, air_temperature_k: float, held_s: float) -> float:
    """Temperature of one node after a steady loss held from air temperature, K.

    t = t_air + p r (1 - exp(-held / (r c)))
    Valid: loss that does not change with temperature; cooling steady, node of one temperature.
    Source: lumped capacity, first order; any heat transfer textbook.
    """
    return node_warmed(heat, loss_w, air_temperature_k, air_temperature_k, held_s)


@kernel
def copper_node_after(
    heat: ControllerHeat,
    current_a: float,
    resistance_20c_ohm: float,
    steady_loss_w: float,
    air_temperature_k: float,
    held_s: float,
) -> OneNodeHeat:
    """Temperature of one copper node after a steady current held from air temperature, K, and where it settles.

    c dt/dt = p + i^2 r20 (1 + a (t - 293.15)) - (t - t_air) / r_air; g = a r_air i^2 r20
    Time constant r_air c / (1 - g).
    Valid: steady current and cooling; g >= 1 is a runaway, whose temperature after a time is still exact.
    Source: lumped capacity with copper of IEC 60028; any heat transfer textbook.
    """
    copper_w = current_a * current_a * resistance_20c_ohm
    feedback = COPPER_PER_K * heat.body_to_air_k_w * copper_w
    rate = (feedback - 1.0) / (heat.body_to_air_k_w * heat.body_j_k)
    at_air_w = steady_loss_w + copper_w * (1.0 + COPPER_PER_K * (air_temperature_k - COPPER_REFERENCE_K))
    temperature = air_temperature_k + at_air_w / heat.body_j_k * growth_integral(rate, held_s)
    if feedback >= 1.0:
        return OneNodeHeat(temperature, inf, inf, feedback, 1)
    settled = air_temperature_k + at_air_w * heat.body_to_air_k_w / (1.0 - feedback)
    return OneNodeHeat(temperature, settled, -1.0 / rate, feedback, 0)


@kernel
def motor_warmed(
    heat: MotorHeat,
    current_a: float,
    resistance_20c_ohm: float,
    case_loss_w: float,
    air_k: float,
    start: Warmth,
    held_s: float,
) -> tuple[float, float]:
    """Winding and case temperature, K, after a steady load held from given temperatures.

    cw dw/dt = i^2 r20 (1 + a (w - 293.15)) - (w - c) / rw; cc dc/dt = p + (w - c) / rw - (c - air) / rc
    Linear: x(t) = x0 + (integral of exp(A t)) (A x0 + b), by the two rates of A.
    Valid: steady current and cooling, every constant above zero, held_s >= 0.
    Source: two lumped capacities with copper of IEC 60028; any heat transfer textbook.
    """
    copper_w = current_a * current_a * resistance_20c_ohm
    to_case = 1.0 / heat.winding_to_case_k_w
    a11 = (COPPER_PER_K * copper_w - to_case) / heat.winding_j_k
    a12 = to_case / heat.winding_j_k
    a21 = to_case / heat.case_j_k
    a22 = -(to_case + 1.0 / heat.case_to_air_k_w) / heat.case_j_k
    mean = 0.5 * (a11 + a22)
    half = sqrt(0.25 * (a11 - a22) * (a11 - a22) + a12 * a21)
    fast, slow = growth_integral(mean - half, held_s), growth_integral(mean + half, held_s)
    q = (slow - fast) / (2.0 * half)
    p = 0.5 * (slow + fast) - q * mean
    at_air_w = copper_w * (1.0 + COPPER_PER_K * (air_k - COPPER_REFERENCE_K))
    winding, case = start.winding_k - air_k, start.case_k - air_k
    rate_w = a11 * winding + a12 * case + at_air_w / heat.winding_j_k
    rate_c = a21 * winding + a22 * case + case_loss_w / heat.case_j_k
    return (
        start.winding_k + p * rate_w + q * (a11 * rate_w + a12 * rate_c),
        start.case_k + p * rate_c + q * (a21 * rate_w + a22 * rate_c),
    )


@kernel
def winding_after(
    heat: MotorHeat,
    current_a: float,
    resistance_20c_ohm: float,
    iron_loss_w: float,
    air_temperature_k: float,
    held_s: float,
) -> WindingHeat:
    """Winding and case temperature after a steady load held from air temperature, K.

    cw dw/dt = i^2 r20 (1 + a (w - 293.15)) - (w - c) / rw; cc dc/dt = p_iron + (w - c) / rw - (c - air) / rc
    As `motor_warmed` has it; runaway when a i^2 r20 (rw + rc) >= 1.
    Valid: steady current and cooling, every constant above zero; iron loss warms the case node.
    Source: two lumped capacities with copper of IEC 60028; any heat transfer textbook.
    """
    start = Warmth(air_temperature_k, air_temperature_k, air_temperature_k)
    winding, case = motor_warmed(heat, current_a, resistance_20c_ohm, iron_loss_w, air_temperature_k, start, held_s)
    copper_w = current_a * current_a * resistance_20c_ohm
    at_air_w = copper_w * (1.0 + COPPER_PER_K * (air_temperature_k - COPPER_REFERENCE_K))
    feedback = COPPER_PER_K * copper_w * (heat.winding_to_case_k_w + heat.case_to_air_k_w)
    if feedback >= 1.0:
        return WindingHeat(winding, case, inf, 1)
    through = at_air_w * (heat.winding_to_case_k_w + heat.case_to_air_k_w) + iron_loss_w * heat.case_to_air_k_w
    return WindingHeat(winding, case, air_temperature_k + through / (1.0 - feedback), 0)
