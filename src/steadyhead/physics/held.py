"""A load held for a time: the drive point with the temperatures that it leads to."""

from typing import NamedTuple

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DrivePoint, controller_loss, drive_at
from steadyhead.physics.heat import ControllerHeat, MotorHeat, WindingHeat, node_after, winding_after
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source

HOTTEST_K = 573.15
"""Winding temperature, 300 C, above which resistance is held: every motor has burnt by then."""


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
