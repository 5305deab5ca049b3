import pytest

from steadyhead.physics.controller import (
    RIPPLE_RATIO,
    Controller,
    conduction_loss,
    freewheel_loss,
    ripple_current,
    switching_current,
)
from steadyhead.physics.motor import Motor

CONTROLLER = Controller(0.002, 16000.0, 1e-6, 1.0, 0.8)
MOTOR = Motor(50.0, 0.015, 2.0, 1000.0, 0.5)


def test_conduction_goes_with_current_squared():
    assert conduction_loss(CONTROLLER, 50.0) == pytest.approx(5.0, rel=1e-12)


def test_nothing_chops_at_full_duty():
    assert switching_current(CONTROLLER, 50.0, 1.0) == 0.0
    assert ripple_current(CONTROLLER, MOTOR, 44.0, 1.0) == 0.0
    assert freewheel_loss(CONTROLLER, 50.0, 1.0) == 0.0


def test_switching_is_full_below_its_fade_and_fades_within_it():
    assert switching_current(CONTROLLER, 50.0, 0.5) == pytest.approx(0.8, rel=1e-12)
    assert switching_current(CONTROLLER, 50.0, 0.975) == pytest.approx(0.4, rel=1e-9)


def test_ripple_loss_is_greatest_at_half_duty_and_tied_to_the_no_load_loss():
    at_half = ripple_current(CONTROLLER, MOTOR, 20.0, 0.5)
    assert at_half == pytest.approx(RIPPLE_RATIO * 2.0 * 0.25, rel=1e-12)
    assert at_half > ripple_current(CONTROLLER, MOTOR, 20.0, 0.45)
    assert at_half > ripple_current(CONTROLLER, MOTOR, 20.0, 0.55)


def test_a_freewheel_diode_loses_in_the_off_part_only():
    assert freewheel_loss(CONTROLLER, 40.0, 0.75) == pytest.approx(8.0, rel=1e-12)
