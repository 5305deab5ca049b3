"""A restart in which the motor is with the turning head at once: only the rise from there on tells its ramp."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE

TIME_S = np.arange(0.0, 130.0, 0.02)
SET_RPM, SOFT_S, START_S, CUT_S, BACK_S = 1800.0, 14.0, 5.0, 80.0, 84.0


def flown(low_share: float, times: float, *, motor_alone: bool = False) -> Judgement:
    """Return an invented flight whose bail-out takes the head from `low_share` at `times` the rate of its soft start.

    The motor is with the head after a tenth of a second.
    """
    carries_s = BACK_S + 0.1
    there_s = carries_s + (1.0 - low_share) * SOFT_S / times
    head = np.interp(
        TIME_S,
        [START_S, START_S + SOFT_S, CUT_S, CUT_S + 2.0, carries_s, there_s],
        [0.0, SET_RPM, SET_RPM, low_share * SET_RPM, low_share * SET_RPM, SET_RPM],
    )
    off = (TIME_S >= CUT_S) & (TIME_S < BACK_S)
    motor = np.where(TIME_S < CUT_S, head, head * np.clip((TIME_S - BACK_S) / (carries_s - BACK_S), 0.0, 1.0))
    speeds = {"motor_side_speed_rpm": motor} if motor_alone else {"head_speed_rpm": head}
    channels = {
        **{name: each + np.random.default_rng(3).normal(0.0, 1.0, TIME_S.size) for name, each in speeds.items()},
        "duty": 0.65 * motor / SET_RPM,
        "throttle_percent": np.select([TIME_S < START_S, off], [0.0, 15.0], 70.0),
        "height_m": np.interp(TIME_S, [25.0, 30.0, CUT_S, BACK_S, 95.0], [0.0, 60.0, 60.0, 35.0, 60.0]),
        "pack_current_a": np.where(motor > 0.0, 15.0, 0.3),
    }
    return judge(MACHINE, Trace(source="invented", time_s=TIME_S, channels=channels, rows_read=TIME_S.size))


def granted(judgement: Judgement) -> Outcome:
    return next(check.verdict for check in judgement.checks if check.check == "quick_restart_granted")


@pytest.mark.parametrize("motor_alone", [False, True])
@pytest.mark.parametrize("low_share", [0.88, 0.93, 0.95])
def test_a_soft_ramp_from_the_speed_of_the_head_is_not_granted_as_quick(low_share: float, motor_alone: bool) -> None:
    assert granted(flown(low_share, 1.0, motor_alone=motor_alone)) is not Outcome.PASS


def test_a_quick_ramp_from_the_speed_of_the_head_is_told_by_the_rise_from_there() -> None:
    assert granted(flown(0.85, 7.0)) is Outcome.PASS


def test_a_head_that_kept_its_speed_does_not_tell_the_ramp_of_a_motor_that_leapt_to_it() -> None:
    assert granted(flown(1.0, 7.0)) is Outcome.UNKNOWN
