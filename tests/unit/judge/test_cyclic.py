"""A hover in which the current shows loads that the collective does not fails no band; a hunting one does."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE

TIME_S = np.arange(0.0, 110.0, 0.04)
SET_RPM, SOFT_S, START_S = 1800.0, 14.0, 5.0
ROLLS_S = ((60.0, 1.2), (62.5, 1.0), (66.0, 1.3))


def band(depth_percent: float, *, hunts_percent: float = 0.0, collective: bool = True) -> Verdict:
    """Return the verdict on an invented hover with three rolls of a second each, and perhaps a loop that hunts."""
    rolls = sum(((at_s <= TIME_S) & (at_s + long_s > TIME_S)).astype(float) for at_s, long_s in ROLLS_S)
    head = np.interp(TIME_S, [START_S, START_S + SOFT_S, 100.0, 108.0], [0.0, SET_RPM, SET_RPM, 900.0])
    flying = (TIME_S > 25.0) & (TIME_S < 100.0)
    swing = np.where(flying, hunts_percent / 100.0 * np.sin(2.0 * np.pi * 2.2 * TIME_S), 0.0)
    noise = np.random.default_rng(4).normal(0.0, 1.0, TIME_S.size)
    speed = head * (1.0 - depth_percent / 100.0 * rolls + swing) + noise * (head > 0.0)
    channels = {
        "head_speed_rpm": speed,
        "throttle_percent": np.where((TIME_S < START_S) | (TIME_S > 100.0), 0.0, 70.0),
        "duty": np.where(TIME_S > 100.0, 0.0, 0.7 * head / SET_RPM) + 0.1 * rolls,
        "pack_current_a": 0.5 + 15.0 * head / SET_RPM * (TIME_S < 100.0) * (1.0 - 8.0 * swing) + 45.0 * rolls,
        "height_m": np.interp(TIME_S, [25.0, 30.0, 90.0, 98.0], [0.0, 50.0, 50.0, 0.0]),
    }
    if collective:
        channels["collective_deg"] = np.where(flying, 4.0, 0.0)
    trace = Trace(source="invented", time_s=TIME_S, channels=channels, rows_read=TIME_S.size)
    return next(check for check in judge(MACHINE, trace).checks if check.check == "steady_band")


def test_a_band_that_is_wide_only_under_loads_that_the_collective_does_not_show_is_unknown() -> None:
    got = band(4.5)
    assert got.verdict is Outcome.UNKNOWN, got.reason
    assert "with the collective still" in got.reason
    assert got.figure == pytest.approx(2.3, abs=0.3)


def test_a_loop_that_hunts_fails_its_band_whatever_the_cyclic_does() -> None:
    got = band(4.5, hunts_percent=4.0)
    assert got.verdict is Outcome.FAIL, got.reason


def test_a_hover_with_light_rolls_passes() -> None:
    assert band(0.3).verdict is Outcome.PASS
