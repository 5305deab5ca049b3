"""When the controller began a start: a ramp from below an idling or coasting motor takes the duty down first."""

import numpy as np
import pytest

from steadyhead.judge.start_begun import begun_s, off_until_s
from tests.unit.judge.made_signals import made

TIME_S = np.arange(0.0, 12.0, 0.02)
ASKED_S, BEGAN_S, CAME_S = 5.0, 5.3, 7.2


@pytest.mark.parametrize("waits_at", [0.0, 0.01])
def test_a_ramp_that_begins_below_idling_is_dated_by_its_first_step(waits_at: float) -> None:
    """Idling at 6 %, then nothing or the first step at once, then a slow ramp that passes 6 % two seconds later."""
    duty = np.select(
        [TIME_S < ASKED_S, TIME_S < BEGAN_S, TIME_S < 6.0], [0.06, waits_at, 0.01], 0.01 + 0.05 * (TIME_S - 6.0)
    )
    began = begun_s(made(TIME_S, duty=duty, head_speed_rpm=1000.0 + 0.0 * TIME_S), ASKED_S, CAME_S)
    assert began == pytest.approx(BEGAN_S if waits_at == 0.0 else ASKED_S, abs=0.05)


def test_a_motor_that_is_still_off_after_the_foot_of_its_ramp_is_not_early() -> None:
    duty = np.where(TIME_S < BEGAN_S, 0.0, 0.03 + 0.02 * (TIME_S - BEGAN_S))
    signals = made(TIME_S, duty=duty, head_speed_rpm=1000.0 + 0.0 * TIME_S)
    assert off_until_s(signals, ASKED_S, CAME_S) == pytest.approx(BEGAN_S, abs=0.05)
    assert off_until_s(signals, BEGAN_S + 0.1, CAME_S) == BEGAN_S + 0.1


def test_a_motor_that_is_late_is_dated_late() -> None:
    duty = np.where(TIME_S < CAME_S, 0.06, 0.06 + 0.3 * (TIME_S - CAME_S))
    signals = made(TIME_S, duty=duty, head_speed_rpm=1000.0 + 0.0 * TIME_S)
    assert begun_s(signals, ASKED_S, CAME_S) == pytest.approx(CAME_S, abs=0.05)


@pytest.mark.parametrize("rows_s", [0.005, 0.01, 0.02])
def test_an_idling_duty_that_jitters_did_not_begin_a_ramp(rows_s: float) -> None:
    time_s = np.arange(0.0, 12.0, rows_s)
    jitter = 0.003 * np.random.default_rng(4).standard_normal(time_s.size)
    duty = np.round(np.where(time_s < CAME_S, 0.05, 0.3 + 0.3 * (time_s - CAME_S)) + jitter, 3)
    signals = made(time_s, duty=duty, head_speed_rpm=1500.0 + 0.0 * time_s)
    for asked_s in (6.2, 6.45, 6.7):
        assert begun_s(signals, asked_s, CAME_S) == pytest.approx(CAME_S, abs=0.25)


def test_without_a_duty_the_motor_is_dated_from_where_it_turns_round() -> None:
    motor = np.interp(TIME_S, [4.0, 5.6, 8.0], [400.0, 40.0, 400.0])
    began = begun_s(made(TIME_S, motor_side_speed_rpm=motor), ASKED_S, CAME_S)
    assert began == pytest.approx(5.6, abs=0.1)
