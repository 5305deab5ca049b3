"""Energy closes, and the drive answers in the direction that a flyer would expect, for random drives."""

from hypothesis import assume, given, settings

from steadyhead.physics.at_duty import point_at_duty, settled_at_duty
from steadyhead.physics.drive import DrivePoint, DriveStop, Load, drive_at, full_duty, load_torque
from steadyhead.physics.pack import Source
from tests.property.drive_draws import (
    between,
    controllers,
    motors,
    shares,
    sources,
    speed_of,
    temperatures_k,
    torque_of,
)

CHECKED = settings(max_examples=200, deadline=None, derandomize=True)
SOLVED = (DriveStop.DONE, DriveStop.IDLING)
ROUNDING = 1e-9


def losses(point: DrivePoint) -> tuple[float, ...]:
    return (
        point.copper_loss_w,
        point.iron_loss_w,
        point.ripple_loss_w,
        point.conduction_loss_w,
        point.switching_loss_w,
        point.freewheel_loss_w,
    )


def gap(point: DrivePoint) -> float:
    """What is missing in the power balance, relative to the pack power."""
    return abs(point.pack_power_w - point.shaft_power_w - sum(losses(point))) / point.pack_power_w


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares(), temperatures_k())
def test_pack_power_is_shaft_power_and_losses(motor, controller, source, fast, heavy, winding_k):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, fast)
    point = drive_at(motor, controller, source, torque, speed, winding_k)
    assume(point.code == DriveStop.DONE)
    assert gap(point) < 1e-9
    assert min(losses(point)) >= 0.0
    from_cells = source.open_circuit_v * point.pack_current_a
    assert abs(from_cells - point.pack_power_w - point.pack_loss_w) < 1e-9 * from_cells


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares(), between(0.2, 1.0))
def test_energy_closes_at_a_given_duty_too(motor, controller, source, fast, heavy, duty):
    point = point_at_duty(motor, controller, source, duty, speed_of(motor, source, fast * duty), 320.0)
    assume(point.code == DriveStop.DONE)
    assert gap(point) < 1e-9
    load = Load(torque_of(motor, source, heavy), speed_of(motor, source, 1.0))
    ceiling = full_duty(motor, controller, source, load, 320.0)
    assume(ceiling.code == DriveStop.DONE)
    assert gap(ceiling) < 1e-9
    assert ceiling.ripple_loss_w == ceiling.switching_loss_w == ceiling.freewheel_loss_w == 0.0


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares(), between(1.0, 1.5))
def test_a_higher_pack_voltage_never_leaves_less_head_room(motor, controller, source, fast, heavy, raised):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, fast)
    low = drive_at(motor, controller, source, torque, speed, 320.0)
    better = Source(source.open_circuit_v * raised, source.resistance_ohm)
    high = drive_at(motor, controller, better, torque, speed, 320.0)
    assume(low.code != DriveStop.PACK_CANNOT)
    assert high.duty <= low.duty * (1.0 + ROUNDING)


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares(), between(1.0, 1.5))
def test_more_torque_never_needs_less_duty(motor, controller, source, fast, heavy, more):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, fast)
    light = drive_at(motor, controller, source, torque, speed, 320.0)
    laden = drive_at(motor, controller, source, torque * more, speed, 320.0)
    assume(laden.code != DriveStop.PACK_CANNOT)
    assert laden.duty >= light.duty * (1.0 - ROUNDING)
    assert laden.motor_current_a >= light.motor_current_a


@CHECKED
@given(motors(), controllers(), sources(), shares(), shares())
def test_duty_and_torque_are_inverse_to_each_other(motor, controller, source, fast, heavy):
    torque, speed = torque_of(motor, source, heavy), speed_of(motor, source, fast)
    asked = drive_at(motor, controller, source, torque, speed, 320.0)
    assume(asked.code == DriveStop.DONE)
    # Above the pack's greatest power two currents share one duty; the flying one is the lower.
    assume(asked.pack_voltage_v > 0.6 * source.open_circuit_v)
    given_duty = point_at_duty(motor, controller, source, asked.duty, speed, 320.0)
    assert abs(given_duty.motor_current_a - asked.motor_current_a) < 1e-6 * asked.motor_current_a


@CHECKED
@given(motors(), controllers(), sources(), shares(), between(0.0, 3.0))
def test_the_ceiling_is_where_full_duty_is_just_enough(motor, controller, source, heavy, exponent):
    load = Load(torque_of(motor, source, heavy), speed_of(motor, source, 1.0), exponent)
    ceiling = full_duty(motor, controller, source, load, 320.0)
    assume(ceiling.code == DriveStop.DONE)
    assume(ceiling.pack_voltage_v > 0.6 * source.open_circuit_v)
    speed = ceiling.motor_speed_rad_s
    below = drive_at(motor, controller, source, load_torque(load, 0.999 * speed), 0.999 * speed, 320.0)
    above = drive_at(motor, controller, source, load_torque(load, 1.001 * speed), 1.001 * speed, 320.0)
    assert above.code == DriveStop.OVER_FULL_DUTY
    assert above.duty > 1.0
    assert below.duty < above.duty
    settled = settled_at_duty(motor, controller, source, load, 1.0, 320.0)
    assert abs(settled.motor_speed_rad_s - speed) < 1e-6 * speed


@CHECKED
@given(motors(), controllers(), sources(), shares(), between(-5.0, 0.0))
def test_a_head_that_drives_itself_asks_no_torque_of_the_motor(motor, controller, source, fast, torque):
    point = drive_at(motor, controller, source, torque, speed_of(motor, source, 0.9 * fast), 320.0)
    assert point.motor_torque_nm > -1e-12
    assert abs(point.shaft_power_w) < 1e-9 * point.pack_power_w
    if point.code == DriveStop.IDLING:
        assert gap(point) < 1e-9
    else:
        assert point.duty > 1.0


@CHECKED
@given(motors(), controllers(), sources(), between(0.0, 1.0), between(0.0, 3.0))
def test_current_never_runs_back_into_the_pack(motor, controller, source, duty, fast):
    point = point_at_duty(motor, controller, source, duty, speed_of(motor, source, fast), 320.0)
    assert point.motor_current_a >= 0.0
    assert point.pack_current_a >= 0.0
