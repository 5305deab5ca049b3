"""A motor that runs ahead of the head under load slips: that is said before any gain is touched."""

import dataclasses
from functools import cache

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of


@cache
def flown() -> Trace:
    return trace_of(fly(Drive(), flight()))


def slipping(percent: float, seconds: float) -> Judgement:
    """Return the judgement of a flight whose head lags the motor in the first climb-out."""
    trace = flown()
    here = (trace.time_s > 50.5) & (trace.time_s < 50.5 + seconds)
    head = np.where(here, 1.0 - percent / 100.0, 1.0) * trace.channels["head_speed_rpm"]
    return judge(MACHINE, dataclasses.replace(trace, channels={**trace.channels, "head_speed_rpm": head}))


def told(judgement: Judgement) -> bool:
    return any("ahead of the head" in warning for warning in judgement.warnings)


def test_head_and_motor_in_step_are_not_told() -> None:
    assert not told(judge(MACHINE, flown()))


def test_a_slip_of_eight_percent_is_told_and_no_gain_advised() -> None:
    judgement = slipping(8.0, 4.0)
    assert told(judgement)
    assert any("do not keep step" in line for line in judgement.advice), judgement.advice
    assert not any("gain by about" in line for line in judgement.advice), judgement.advice


@pytest.mark.parametrize(("percent", "seconds"), [(1.0, 4.0), (3.0, 0.3)])
def test_what_two_sensors_differ_by_is_no_slip(percent: float, seconds: float) -> None:
    assert not told(slipping(percent, seconds))
