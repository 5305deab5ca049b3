"""Set speeds from plateaus."""

import numpy as np
import pytest

from steadyhead.judge.commands import Command
from steadyhead.judge.set_speed import plateau, set_speeds
from tests.unit.judge.made_signals import made

TIME = np.arange(0.0, 60.0, 0.02)
ASKED = (Command(start_s=0.0, arrive_s=0.0, end_s=60.0, percent=70.0),)


def test_rows_at_full_duty_do_not_pull_the_set_speed_down() -> None:
    full = TIME > 20.0
    speed = np.where(full, 1900.0, 2000.0) + np.sin(40.0 * TIME)
    duty = np.where(full, 1.0, 0.9)
    assert set_speeds(made(TIME, head_speed_rpm=speed, duty=duty), ASKED, (True,))[0] == pytest.approx(2000.0, abs=1.0)
    assert set_speeds(made(TIME, head_speed_rpm=speed), ASKED, (True,))[0] == pytest.approx(1900.0, abs=10.0)


def test_a_hunting_head_dwells_at_both_ends_and_is_set_to_the_middle() -> None:
    speed = 2000.0 + 50.0 * np.sin(2.0 * np.pi * 3.7 * TIME)
    assert plateau(speed, 50) == pytest.approx(2000.0, abs=5.0)


def test_a_ramp_has_no_plateau() -> None:
    assert plateau(np.linspace(100.0, 2000.0, 500), 50) is None


def test_a_position_that_does_not_run_has_no_set_speed() -> None:
    speed = np.full(TIME.size, 2000.0)
    assert set_speeds(made(TIME, head_speed_rpm=speed), ASKED, (False,)) == (None,)


def test_at_full_duty_throughout_the_flight_mode_of_the_machine_file_is_taken() -> None:
    speed = np.full(TIME.size, 1900.0) + np.sin(40.0 * TIME)
    signals = made(TIME, head_speed_rpm=speed, duty=np.full(TIME.size, 1.0))
    assert set_speeds(signals, ASKED, (True,), ((70.0, 2000.0),))[0] == 2000.0
    assert set_speeds(signals, ASKED, (True,), ((80.0, 2000.0),))[0] == pytest.approx(1900.0, abs=1.0)
    ruled = made(TIME, head_speed_rpm=speed, duty=np.full(TIME.size, 0.8))
    assert set_speeds(ruled, ASKED, (True,), ((70.0, 2000.0),))[0] == pytest.approx(1900.0, abs=1.0)
