"""A head that swings slowly in a short log does not pass "no hunting"; a still one and one that drifts do."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN


def hunting_of(percent, seconds: float):
    """`percent` gives the speed's way off, percent, for times in seconds; a channel that stands still."""
    time_s = np.arange(0.0, seconds, 0.025)
    noise = 0.04 * np.random.default_rng(3).standard_normal(time_s.size)
    speed = 2000.0 * (1.0 + 0.01 * (percent(time_s) + noise))
    channels = {"head_speed_rpm": speed, "throttle_percent": np.full(time_s.size, 60.0)}
    trace = Trace(source="a.csv", time_s=time_s, channels=channels, rows_read=time_s.size)
    answer = judge(machine_from_text(machine_text(GIVEN), "made.toml"), trace)
    return next(check for check in answer.checks if check.check == "no_hunting")


def swing(*parts):
    return lambda time_s: sum(size * np.sin(2.0 * np.pi * hz * time_s + 1.0) for hz, size in parts)


@pytest.mark.parametrize("seconds", [7.0, 9.0, 13.0, 16.0])
@pytest.mark.parametrize("parts", [((0.14, 2.0), (0.43, 1.0)), ((0.25, 3.0),), ((0.4, 2.0),), ((0.55, 1.0),)])
def test_a_slow_swing_in_a_short_log_does_not_pass(parts, seconds) -> None:
    assert hunting_of(swing(*parts), seconds).verdict is not Outcome.PASS


@pytest.mark.parametrize("seconds", [7.0, 13.0, 40.0])
def test_a_still_head_and_one_that_drifts_a_little_pass(seconds) -> None:
    assert hunting_of(lambda time_s: 0.0 * time_s, seconds).verdict is Outcome.PASS
    assert hunting_of(lambda time_s: -0.3 * time_s / seconds, seconds).verdict is Outcome.PASS
