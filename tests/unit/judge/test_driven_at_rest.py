"""A motor that is driven in the autorotation position from rest is found, however soon it came up."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE

WAITS_S, LEAVES_S = 4.0, 8.0


def waited(hertz: float, idles_rpm: float, come_up_s: float, **more: float) -> Verdict:
    """Invented bench log, blades off: rest, 4 s in the autorotation position, hold, a soft start of 15 s.

    `idles_rpm` in rpm of the head; `more`: the duty, the current in that position, or which speed is logged.
    """
    t = np.arange(0.0, 45.0, 1.0 / hertz)
    waits = (t >= WAITS_S) & (t < LEAVES_S)
    throttle = np.select([waits, (t >= 12.0) & (t < 40.0)], [12.0, 70.0], 0.0)
    rises = np.clip((t - WAITS_S + 0.4 / hertz) / come_up_s, 0.0, 1.0)
    runs = np.interp(t, [12.3, 27.3, 40.0, 44.0], [0.0, 2000.0, 2000.0, 0.0])
    speed = np.where(waits, idles_rpm * rises, runs)
    channels = {"throttle_percent": throttle}
    if more.get("head", 1.0):
        channels["head_speed_rpm"] = speed * more.get("head", 1.0)
    if "motor" in more:
        channels["motor_side_speed_rpm"] = speed
    if "duty" in more:
        channels["duty"] = np.where(waits, more["duty"], runs / 2500.0)
    if "current_a" in more:
        noise = np.random.default_rng(5).normal(0.0, 0.1, t.size)
        channels["pack_current_a"] = np.where(waits, more["current_a"], 0.4 + runs / 400.0) + noise
    trace = Trace(source="invented", time_s=t, channels=channels, rows_read=t.size)
    found = judge(MACHINE, trace).checks
    return next(one for one in found if one.check == "no_start_in_autorotation_position")


@pytest.mark.parametrize("hertz", [2.0, 5.0, 20.0, 50.0])
@pytest.mark.parametrize("come_up_s", [0.02, 0.3, 2.0])
@pytest.mark.parametrize("more", [{}, {"motor": 1.0}, {"head": 0.0, "motor": 1.0}, {"duty": 0.06, "current_a": 3.4}])
def test_an_idling_motor_fails_however_soon_it_came_up(hertz: float, come_up_s: float, more: dict[str, float]) -> None:
    found = waited(hertz, 170.0, come_up_s, **more)
    assert found.verdict == "fail", found.reason


@pytest.mark.parametrize("hertz", [2.0, 20.0])
def test_a_motor_that_stays_off_there_passes(hertz: float) -> None:
    found = waited(hertz, 0.0, 1.0, motor=1.0, duty=0.0, current_a=0.4)
    assert found.verdict == "pass", found.reason


def test_a_breeze_that_turns_the_head_is_no_start() -> None:
    assert waited(20.0, 40.0, 1.0).verdict == "pass"


def test_a_motor_that_no_breeze_turns_was_started_even_if_it_turns_slowly() -> None:
    assert waited(20.0, 45.0, 0.02, head=0.0, motor=1.0).verdict == "fail"


def test_a_lasting_duty_there_fails_beside_a_head_sensor_that_is_blind_at_low_speed() -> None:
    found = waited(20.0, 0.0, 1.0, duty=0.06, current_a=0.4)
    assert found.verdict == "fail"
    assert "duty" in found.reason


def test_a_current_that_rises_there_beside_a_head_that_reads_zero_is_not_known() -> None:
    found = waited(20.0, 0.0, 1.0, current_a=3.4)
    assert found.verdict == "unknown"
    assert "current" in found.reason


def test_a_small_duty_that_stays_there_beside_a_head_that_reads_zero_is_not_known() -> None:
    found = waited(20.0, 0.0, 1.0, duty=0.025)
    assert found.verdict == "unknown", found.reason
    assert "2.5 %" in found.reason
