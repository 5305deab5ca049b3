"""The kernels against a plain twin that knows nothing of the package, for random drives."""

import pytest
from hypothesis import assume, given, settings

from steadyhead.physics.drive import DriveStop, Load, drive_at, full_duty
from steadyhead.physics.heat import MotorHeat, winding_after
from steadyhead.physics.motor import winding_resistance
from tests.naive.drive_twin import TwinDrive, two_nodes_by_steps
from tests.property.drive_draws import between, controllers, motors, shares, sources, speed_of, torque_of

CHECKED = settings(max_examples=60, deadline=None, derandomize=True)
WINDING_K = 340.0


def twin_of(motor, controller, source) -> TwinDrive:
    warm = winding_resistance(motor.resistance_20c_ohm, WINDING_K)
    return TwinDrive(motor.kv_rad_s_v, warm, *motor[2:], *controller, *source)


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares())
def test_a_held_point_is_that_of_the_twin(motor, controller, source, fast, heavy):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, fast)
    point = drive_at(motor, controller, source, torque, speed, WINDING_K)
    assume(point.code == DriveStop.DONE)
    assume(point.pack_voltage_v > 0.7 * source.open_circuit_v)
    twin = twin_of(motor, controller, source).hold(torque, speed)
    assert point.duty == pytest.approx(twin["duty"], rel=1e-9)
    assert point.motor_current_a == pytest.approx(twin["amps"], rel=1e-9)
    assert point.pack_voltage_v == pytest.approx(twin["pack_v"], rel=1e-9)
    assert point.pack_current_a == pytest.approx(twin["pack_a"], rel=1e-9)


@CHECKED
@given(motors(), controllers(), sources(), shares(), between(0.5, 3.0))
def test_the_ceiling_is_that_of_the_twin(motor, controller, source, heavy, exponent):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, 0.8)
    point = full_duty(motor, controller, source, Load(torque, speed, exponent), WINDING_K)
    assume(point.code == DriveStop.DONE)
    twin = twin_of(motor, controller, source).ceiling(torque, speed, exponent)
    assert point.motor_speed_rad_s == pytest.approx(twin, rel=1e-8)


@pytest.mark.parametrize("amps", [0.0, 40.0, 120.0, 260.0])
@pytest.mark.parametrize("held_s", [5.0, 60.0, 300.0])
def test_two_heat_nodes_follow_small_steps(amps, held_s):
    nodes = (25.0, 0.6, 110.0, 0.9)
    winding, case = two_nodes_by_steps(nodes, amps, 0.012, 60.0, 300.0, held_s)
    got = winding_after(MotorHeat(*nodes), amps, 0.012, 60.0, 300.0, held_s)
    assert got.winding_k - 300.0 == pytest.approx(winding - 300.0, rel=1e-4)
    assert got.case_k - 300.0 == pytest.approx(case - 300.0, rel=1e-4)
