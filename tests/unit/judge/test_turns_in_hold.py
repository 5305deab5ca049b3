"""A motor that turns on in throttle hold with next to no duty is not off, whatever the threshold of the duty says."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE

HELD_S = 40.0


def held(duty: float, motor_rpm: float, *, at_rest: float = 0.0, until_s: float = 60.0, keep: str = "motor") -> Verdict:
    """Invented bench log: soft start, governed, throttle hold from 40 s on in which the motor never comes to rest.

    `motor_rpm` in rpm of the head, `duty` what stays in hold until `until_s`, `at_rest` what the log begins with.
    """
    t = np.arange(0.0, 60.0, 0.05)
    runs = np.interp(t, [5.0, 20.0], [0.0, 2000.0])
    falls = 2000.0 * np.exp(-(t - HELD_S) / 0.8)
    after = np.where(t < until_s, np.maximum(falls, motor_rpm), 0.0)
    duties = np.where(t < 5.0, at_rest, 0.7 * runs / 2000.0)
    channels = {
        "throttle_percent": np.where((t > 4.8) & (t < HELD_S), 70.0, 0.0),
        "duty": np.where(t < HELD_S, duties, np.where(t < until_s, duty, at_rest)),
    }
    if keep == "motor":
        channels["motor_side_speed_rpm"] = np.where(t < HELD_S, runs, after)
    else:
        channels["head_speed_rpm"] = np.where(t < HELD_S, runs, np.maximum(2000.0 - 150.0 * (t - HELD_S), 0.0))
    trace = Trace(source="invented", time_s=t, channels=channels, rows_read=t.size)
    return next(check for check in judge(MACHINE, trace).checks if check.check == "hold_stops_motor")


@pytest.mark.parametrize("until_s", [60.0, 52.0, 47.0])
def test_a_motor_that_idles_on_in_hold_with_two_percent_fails(until_s: float) -> None:
    found = held(0.025, 78.0, until_s=until_s)
    assert found.verdict == "fail", found.reason
    assert "turns evenly at 78 rpm" in found.reason


def test_a_motor_that_comes_to_rest_passes_and_the_threshold_is_said() -> None:
    found = held(0.0, 0.0)
    assert found.verdict == "pass", found.reason
    assert "until the duty is 3 % or less" in found.reason


def test_a_duty_that_the_controller_writes_at_rest_too_is_none() -> None:
    assert held(0.02, 0.0, at_rest=0.02).verdict == "pass"


def test_a_small_duty_that_stays_beside_a_head_that_runs_down_is_not_known() -> None:
    found = held(0.025, 0.0, keep="head")
    assert found.verdict == "unknown"
    assert "2.5 %" in found.reason


def test_a_motor_side_that_turns_evenly_beside_no_duty_is_not_known() -> None:
    assert held(0.0, 300.0).verdict == "unknown"
