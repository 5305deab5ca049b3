"""A motor that leaps to the turning head and then takes it along at the rate of a soft start shows no quick restart."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE

TIME_S = np.arange(0.0, 140.0, 0.02)
SET_RPM, SOFT_S, START_S, CUT_S, BACK_S, AT_BACK_RPM = 1800.0, 14.0, 5.0, 80.0, 85.0, 1400.0


def restarted(rate_rpm_s: float) -> Trace:
    """Return a flight with a soft start of 14 s and one bail-out, in which the head comes back at this rate."""
    there_s = BACK_S + 0.2 + (SET_RPM - AT_BACK_RPM) / rate_rpm_s
    head = np.interp(
        TIME_S,
        [START_S, START_S + SOFT_S, CUT_S, BACK_S, BACK_S + 0.2, there_s],
        [0.0, SET_RPM, SET_RPM, AT_BACK_RPM, AT_BACK_RPM, SET_RPM],
    )
    motor = np.where((TIME_S > CUT_S) & (TIME_S < BACK_S), 0.0, head)
    motor *= np.clip((TIME_S - BACK_S) / 0.1, 0.0, 1.0) * (TIME_S >= BACK_S) + (TIME_S < BACK_S)
    noise = np.random.default_rng(3).normal(0.0, 1.0, TIME_S.size)
    channels = {
        "head_speed_rpm": head + noise * (head > 0.0),
        "motor_side_speed_rpm": motor,
        "duty": 0.65 * motor / SET_RPM,
        "throttle_percent": np.select([TIME_S < START_S, (TIME_S >= CUT_S) & (TIME_S < BACK_S)], [0.0, 15.0], 70.0),
        "height_m": np.interp(TIME_S, [25.0, 30.0, CUT_S, BACK_S, 90.0], [0.0, 60.0, 60.0, 35.0, 60.0]),
        "pack_current_a": np.where(motor > 0.0, 15.0, 0.3),
    }
    return Trace(source="restart", time_s=TIME_S, channels=channels, rows_read=TIME_S.size)


@pytest.mark.parametrize(("times", "expected"), [(1.0, Outcome.UNKNOWN), (1.15, Outcome.UNKNOWN), (4.0, Outcome.PASS)])
def test_only_a_restart_clearly_quicker_than_the_soft_start_is_granted(times: float, expected: Outcome) -> None:
    checks = judge(MACHINE, restarted(times * SET_RPM / SOFT_S)).checks
    granted = next(check for check in checks if check.check == "quick_restart_granted")
    assert granted.verdict is expected, granted.reason
