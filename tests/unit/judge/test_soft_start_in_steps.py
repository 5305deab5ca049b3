"""A soft start is doubted by the step in which the speed is written: one step low, the head may have arrived."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE

SET, STARTS_S = 1914.0, 5.0


def started(ramp_s: float, creeps_s: float, step_rpm: float) -> Verdict:
    """Invented bench start: a ramp to 0.4 % below the set speed, and the rest of the way in `creeps_s`."""
    t = np.arange(0.0, 50.0, 0.04)
    turns = [STARTS_S, STARTS_S + ramp_s, STARTS_S + ramp_s + creeps_s, 46.0, 49.0]
    speed = np.interp(t, turns, [0.0, 0.996 * SET, SET, SET, 0.0])
    channels = {
        "throttle_percent": np.where((t > STARTS_S - 0.3) & (t < 46.0), 70.0, 0.0),
        "head_speed_rpm": np.round(speed / step_rpm) * step_rpm,
        "duty": speed / 2400.0,
    }
    columns = tuple(ColumnRead(channel=name, heading=name, confidence="named") for name in channels)
    found = judge(MACHINE, Trace(source="invented", time_s=t, channels=channels, rows_read=t.size, columns=columns))
    return next(check for check in found.checks if check.check == "soft_start_time")


def test_a_quick_ramp_that_ends_a_step_below_does_not_pass() -> None:
    found = started(8.0, 6.0, 20.0)
    assert (found.figure or 0.0) > 10.0
    assert found.verdict == "unknown"
    assert "steps of 20 rpm" in found.reason


@pytest.mark.parametrize(("ramp_s", "said"), [(13.0, "pass"), (8.0, "fail")])
@pytest.mark.parametrize("step_rpm", [1.0, 20.0, 60.0])
def test_an_even_ramp_in_steps_is_judged_as_before(ramp_s: float, said: str, step_rpm: float) -> None:
    assert started(ramp_s, 0.2, step_rpm).verdict == said
