from steadyhead.physics.gears import (
    Gears,
    back_driven_torque,
    bearing_torque,
    gear_loss,
    head_torque,
    motor_torque,
)
from tests.agrees import agrees

GEARS = Gears(10.0, 0.95, 0.06)
EXACT = "exact arithmetic on one line"


def test_the_motor_gives_head_torque_drag_and_mesh_loss():
    assert agrees(motor_torque(GEARS, 9.44), 1.0, percent=1e-9, because=EXACT)


def test_head_torque_undoes_motor_torque():
    assert agrees(head_torque(GEARS, motor_torque(GEARS, 7.3)), 7.3, percent=1e-9, because=EXACT)


def test_a_head_driven_by_the_air_leaves_the_motor_only_the_drag():
    assert motor_torque(GEARS, -5.0) == motor_torque(GEARS, 0.0)
    assert agrees(motor_torque(GEARS, -5.0), 0.06 / 9.5, percent=1e-9, because=EXACT)


def test_no_negative_torque_reaches_the_head():
    assert head_torque(GEARS, -1.0) == 0.0
    assert head_torque(GEARS, 0.001) == 0.0


def test_the_bearing_runs_free_while_the_head_overruns():
    assert bearing_torque(4.0, 180.0, 200.0) == 0.0
    assert bearing_torque(4.0, 200.0, 200.0) == 4.0
    assert bearing_torque(-4.0, 200.0, 200.0) == 0.0


def test_driven_backwards_the_meshes_take_their_share_from_the_other_side():
    assert agrees(back_driven_torque(GEARS, 1.06), 0.095, percent=1e-9, because=EXACT)
    assert back_driven_torque(GEARS, 0.05) == 0.0


def test_gear_loss_is_what_goes_in_less_what_comes_out():
    q_motor, speed = motor_torque(GEARS, 8.0), 1800.0
    assert agrees(gear_loss(GEARS, q_motor, speed), q_motor * 1800.0 - 8.0 * 180.0, percent=1e-9, because=EXACT)
