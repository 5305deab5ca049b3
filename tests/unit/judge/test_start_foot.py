"""When the motor came in: a head that jumps to its least speed and waits there makes the foot of its ramp early."""

import numpy as np
import pytest

from steadyhead.judge.motor_state import motor_start
from tests.unit.judge.made_signals import made

ASKED_S, CAME_S = 3.0, 3.6
TIME_S = np.arange(0.0, 20.0, 0.02)
JUMP_RPM = np.interp(TIME_S, [0.0, CAME_S, CAME_S + 0.1, CAME_S + 1.2, 18.0], [0.0, 0.0, 115.0, 120.0, 2000.0])
DUTY = np.interp(TIME_S, [0.0, CAME_S - 0.02, CAME_S, 18.0], [0.0, 0.0, 0.015, 0.65])


def test_the_duty_tells_that_the_motor_was_still_off() -> None:
    found = motor_start(made(TIME_S, head_speed_rpm=JUMP_RPM, duty=DUTY), ASKED_S, 20.0)
    assert found == pytest.approx(CAME_S, abs=0.05)


def test_an_even_ramp_behind_a_sensor_that_is_blind_at_low_speed_keeps_its_foot() -> None:
    """The duty of a slow ramp takes a while to rise by half a percent: the speed reads the foot better."""
    even = np.interp(TIME_S, [0.0, CAME_S, 18.0], [0.0, 0.0, 2000.0])
    seen = np.where(even < 150.0, 0.0, even)
    rising = np.interp(TIME_S, [0.0, CAME_S, 18.0], [0.0, 0.0, 0.65])
    found = motor_start(made(TIME_S, head_speed_rpm=seen, duty=np.round(rising, 2)), ASKED_S, 20.0)
    assert found == pytest.approx(CAME_S, abs=0.15)
