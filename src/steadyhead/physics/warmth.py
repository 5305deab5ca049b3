"""Motor and controller warmed by a load that starts on a machine already warm."""

from typing import NamedTuple

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DrivePoint, controller_loss, drive_at, full_duty
from steadyhead.physics.drive import Load as DriveLoad
from steadyhead.physics.heat import Warmth, motor_warmed, node_warmed
from steadyhead.physics.held import HOTTEST_K, Heats
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source

WARM_ROUNDS = 20
SETTLED_K = 1e-3


class WarmPoint(NamedTuple):
    """A drive point with the temperatures at the end of its hold, and the full-duty point of the same load."""

    point: DrivePoint
    ceiling: DrivePoint
    warmth: Warmth


@kernel
def warmed(motor: Motor, heats: Heats, point: DrivePoint, air_k: float, start: Warmth, held_s: float) -> Warmth:
    """Temperatures after a drive point is held from given temperatures.

    iron and ripple loss warm the case, copper the winding, the controller's own losses the controller
    Valid: load and cooling steady over held_s; the point's currents are kept.
    Source: lumped capacities; any heat transfer textbook.
    """
    case_loss = point.iron_loss_w + point.ripple_loss_w
    winding, case = motor_warmed(
        heats.motor, point.motor_current_a, motor.resistance_20c_ohm, case_loss, air_k, start, held_s
    )
    return Warmth(
        winding, case, node_warmed(heats.controller, controller_loss(point), air_k, start.controller_k, held_s)
    )


@kernel
def warmed_point(
    motor: Motor,
    controller: Controller,
    source: Source,
    heats: Heats,
    load: DriveLoad,
    air_k: float,
    start: Warmth,
    held_s: float,
) -> tuple[DrivePoint, Warmth]:
    """The point that holds a load at its own speed to the end of a hold, and the temperatures there.

    Winding resistance follows the temperature at the end of the hold. Where full duty is not enough (code above 1) the
    temperatures are those of the full-duty point.
    Valid: load and cooling steady over held_s; repeated until the winding settles within 0.001 K, 20 times at most.
    Source: lumped capacities; `drive_at`, `full_duty`.
    """
    torque = load.torque_nm + load.steady_nm
    point = drive_at(motor, controller, source, torque, load.speed_rad_s, start.winding_k)
    warmth = start
    for _ in range(WARM_ROUNDS):
        before_k = warmth.winding_k
        winding_k = min(before_k, HOTTEST_K)
        held = point if point.code <= 1 else full_duty(motor, controller, source, load, winding_k)
        warmth = warmed(motor, heats, held, air_k, start, held_s)
        point = drive_at(motor, controller, source, torque, load.speed_rad_s, min(warmth.winding_k, HOTTEST_K))
        if abs(warmth.winding_k - before_k) < SETTLED_K:
            break
    return point, warmth


@kernel
def warm_point(
    motor: Motor,
    controller: Controller,
    source: Source,
    heats: Heats,
    load: DriveLoad,
    air_k: float,
    start: Warmth,
    held_s: float,
) -> WarmPoint:
    """As `warmed_point`, and the full-duty point of the same load with the winding as warm.

    Valid: as `warmed_point`.
    Source: `warmed_point`, `full_duty`.
    """
    point, warmth = warmed_point(motor, controller, source, heats, load, air_k, start, held_s)
    ceiling = full_duty(motor, controller, source, load, min(warmth.winding_k, HOTTEST_K))
    return WarmPoint(point, ceiling, warmth)


@inlined_kernel
def warming(
    heats: Heats, winding_k: float, case_k: float, controller_k: float, point: DrivePoint, air_k: float
) -> tuple[float, float, float]:
    """How fast winding, case and controller warm, K/s.

    cw dw/dt = i^2 r(w) - (w - c) / rw; cc dc/dt = p + (w - c) / rw - (c - air) / rc; ck dk/dt = p_k - (k - air) / rk
    Valid: cooling steady; the copper loss of the point is taken as it is.
    Source: three lumped capacities; any heat transfer textbook. `motor_warmed` is the same in closed form.
    """
    to_case = (winding_k - case_k) / heats.motor.winding_to_case_k_w
    to_air = (case_k - air_k) / heats.motor.case_to_air_k_w
    winding = (point.copper_loss_w - to_case) / heats.motor.winding_j_k
    case = (point.iron_loss_w + point.ripple_loss_w + to_case - to_air) / heats.motor.case_j_k
    away = (controller_k - air_k) / heats.controller.body_to_air_k_w
    return winding, case, (controller_loss(point) - away) / heats.controller.body_j_k
