"""Quick or soft, by the rate at which the head comes up: from where the motor really was, and unknown in between."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE

TIME_S = np.arange(0.0, 130.0, 0.05)
SET_RPM, SOFT_S, START_S, CUT_S, BACK_S, LOW_RPM = 1800.0, 14.0, 5.0, 80.0, 84.0, 1350.0
SOFT_RATE = SET_RPM / SOFT_S


def flown(times: float, *, catching_s: float = 0.1, more_duty: float = 0.0, below: float = 15.0) -> Judgement:
    """An invented flight with a head sensor and a duty, and one restart at `times` the rate of its soft start.

    The duty takes `catching_s` to come up to the turning head, and lies `more_duty` above what its speed asks for.
    `below` is the channel while the motor is off: 15 % the autorotation position, 0 throttle hold.
    """
    carries_s = BACK_S + catching_s
    there_s = carries_s + (SET_RPM - LOW_RPM) / (times * SOFT_RATE)
    head = np.interp(
        TIME_S,
        [START_S, START_S + SOFT_S, CUT_S, carries_s, there_s],
        [0.0, SET_RPM, SET_RPM, LOW_RPM, SET_RPM],
    )
    off = (TIME_S >= CUT_S) & (TIME_S < BACK_S)
    duty = 0.65 * head / SET_RPM * np.clip((TIME_S - BACK_S) / catching_s, 0.0, 1.0)
    duty = np.where(TIME_S < CUT_S, 0.65 * head / SET_RPM, np.where(off, 0.0, duty))
    duty += np.where((carries_s <= TIME_S) & (there_s > TIME_S), more_duty, 0.0)
    channels = {
        "head_speed_rpm": head + np.random.default_rng(3).normal(0.0, 1.0, TIME_S.size) * (head > 0.0),
        "duty": duty,
        "throttle_percent": np.select([TIME_S < START_S, off], [0.0, below], 70.0),
        "height_m": np.interp(TIME_S, [25.0, 30.0, CUT_S, BACK_S, 95.0], [0.0, 60.0, 60.0, 35.0, 60.0]),
        "pack_current_a": np.where(duty > 0.0, 15.0, 0.3),
    }
    return judge(MACHINE, Trace(source="invented", time_s=TIME_S, channels=channels, rows_read=TIME_S.size))


def check(judgement: Judgement, name: str) -> Verdict:
    return next(one for one in judgement.checks if one.check == name)


def test_a_motor_at_work_takes_more_duty_than_its_speed_asks_for_and_is_quick_all_the_same() -> None:
    got = check(flown(5.0, more_duty=0.1), "quick_restart_granted")
    assert got.verdict is Outcome.PASS, got.reason


@pytest.mark.parametrize(("times", "expected"), [(1.0, Outcome.FAIL), (1.4, Outcome.UNKNOWN), (5.0, Outcome.PASS)])
def test_a_rate_between_a_soft_and_a_quick_start_is_not_told(times: float, expected: Outcome) -> None:
    got = check(flown(times), "quick_restart_granted")
    assert got.verdict is expected, got.reason


def test_a_ramp_that_is_not_told_but_too_long_for_a_bail_out_fails_its_time() -> None:
    judgement = flown(0.7, catching_s=2.0)
    assert check(judgement, "quick_restart_granted").verdict is not Outcome.PASS
    judgement = flown(1.0, catching_s=1.0)
    assert check(judgement, "quick_restart_granted").verdict is Outcome.UNKNOWN
    assert check(judgement, "quick_restart_time").verdict is Outcome.FAIL
    assert any("whether the controller granted the quick restart" in line for line in judgement.advice)
    assert not any("quick spool-up shorter" in line for line in judgement.advice)


def test_a_soft_ramp_that_begins_at_the_speed_of_the_head_fails_no_hold() -> None:
    got = check(flown(1.0, catching_s=1.0, below=0.0), "hold_clears_quick_restart")
    assert got.verdict is Outcome.UNKNOWN, got.reason
    assert "turns at less than half" in got.needs[0]


def test_a_quick_start_out_of_hold_fails() -> None:
    got = check(flown(6.0, below=0.0), "hold_clears_quick_restart")
    assert got.verdict is Outcome.FAIL, got.reason


def test_a_quick_start_out_of_hold_that_a_soft_ramp_from_the_head_explains_is_unknown_with_both_causes() -> None:
    # Back in 1.9 s; a soft ramp that begins at 0.75 of the set speed takes 3.5 s less what catching up hides.
    got = check(flown(3.0, catching_s=1.0, below=0.0), "hold_clears_quick_restart")
    assert got.verdict is Outcome.UNKNOWN, got.reason
    assert "or the soft ramp begins at the speed that the head still has" in got.reason
