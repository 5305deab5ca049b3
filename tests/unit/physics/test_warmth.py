import math

import pytest

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import Load, drive_at
from steadyhead.physics.heat import (
    ControllerHeat,
    MotorHeat,
    Warmth,
    motor_warmed,
    node_after,
    node_warmed,
    winding_after,
)
from steadyhead.physics.held import Heats
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Source
from steadyhead.physics.warmth import warm_point, warmed_point

HEAT = MotorHeat(winding_j_k=26.0, winding_to_case_k_w=0.8, case_j_k=100.0, case_to_air_k_w=0.3)
BODY = ControllerHeat(body_j_k=90.0, body_to_air_k_w=1.2)
AIR_K = 291.15
COLD = Warmth(AIR_K, AIR_K, AIR_K)
MOTOR = Motor(58.6, 0.015, 2.0, 1170.0, 0.5)
CONTROLLER = Controller(0.0015, 8000.0, 1e-6, 1.0)


@pytest.mark.parametrize("held_s", [0.0, 1.0, 30.0, 2000.0])
@pytest.mark.parametrize("current_a", [0.0, 40.0, 120.0])
def test_from_air_temperature_the_motor_warms_as_the_kernel_of_heat_says(current_a, held_s):
    known = winding_after(HEAT, current_a, 0.015, 60.0, AIR_K, held_s)
    got = motor_warmed(HEAT, current_a, 0.015, 60.0, AIR_K, COLD, held_s)
    assert got == pytest.approx((known.winding_k, known.case_k), rel=1e-12)


def test_a_hold_in_two_parts_ends_where_one_hold_ends():
    whole = motor_warmed(HEAT, 80.0, 0.015, 60.0, AIR_K, COLD, 50.0)
    winding, case = motor_warmed(HEAT, 80.0, 0.015, 60.0, AIR_K, COLD, 17.0)
    parts = motor_warmed(HEAT, 80.0, 0.015, 60.0, AIR_K, Warmth(winding, case, AIR_K), 33.0)
    assert parts == pytest.approx(whole, rel=1e-12)


def test_without_load_a_warm_motor_cools_to_the_air():
    winding, case = motor_warmed(HEAT, 0.0, 0.015, 0.0, AIR_K, Warmth(400.0, 350.0, AIR_K), 1e4)
    assert winding == pytest.approx(AIR_K, abs=1e-6)
    assert case == pytest.approx(AIR_K, abs=1e-6)


def test_a_node_follows_the_closed_form_from_any_start():
    tau = BODY.body_j_k * BODY.body_to_air_k_w
    settled = AIR_K + 20.0 * BODY.body_to_air_k_w
    wanted = settled + (330.0 - settled) * math.exp(-40.0 / tau)
    assert node_warmed(BODY, 20.0, AIR_K, 330.0, 40.0) == pytest.approx(wanted, rel=1e-12)
    assert node_warmed(BODY, 20.0, AIR_K, AIR_K, 40.0) == pytest.approx(node_after(BODY, 20.0, AIR_K, 40.0), rel=1e-12)


def test_the_point_is_the_one_at_the_winding_temperature_it_leads_to():
    load, source, heats = Load(0.9, 1900.0, 2.0, 0.01), Source(46.0, 0.04), Heats(HEAT, BODY)
    point, warmth = warmed_point(MOTOR, CONTROLLER, source, heats, load, AIR_K, COLD, 60.0)
    again = drive_at(MOTOR, CONTROLLER, source, 0.91, 1900.0, warmth.winding_k)
    assert point.duty == pytest.approx(again.duty, rel=1e-12)
    assert warmth.winding_k > warmth.case_k > AIR_K


def test_where_full_duty_is_not_enough_the_motor_is_as_warm_as_full_duty_makes_it():
    load, source, heats = Load(1.8, 2100.0), Source(40.0, 0.06), Heats(HEAT, BODY)
    warm = warm_point(MOTOR, CONTROLLER, source, heats, load, AIR_K, COLD, 8.0)
    assert warm.point.code > 1
    assert warm.point.duty > 1.0
    assert warm.ceiling.motor_speed_rad_s < 2100.0
    iron = warm.ceiling.iron_loss_w + warm.ceiling.ripple_loss_w
    winding, _ = motor_warmed(HEAT, warm.ceiling.motor_current_a, 0.015, iron, AIR_K, COLD, 8.0)
    assert warm.warmth.winding_k == pytest.approx(winding, abs=0.01)
