"""A head that sank with the pack: without a duty the speed at which it ran longest is not taken for the set speed."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import flight, trace_of

TOP_RPM = 2000.0


def flown(last_rpm: float, **more: float) -> Trace:
    """Soft start to 2000 rpm, a hover that sinks to another speed by 60 s, an autorotation, a restart in 1.5 s."""
    time_s = np.arange(0.0, 150.0, 0.02)
    corners = [0.0, 3.0, 18.0, 60.0, 100.0, 105.0, 106.5, 140.0, 150.0]
    head = np.interp(time_s, corners, [0, 0, TOP_RPM, last_rpm, last_rpm, 0.75 * last_rpm, last_rpm, last_rpm, 900.0])
    noise = 2.0 * np.random.default_rng(1).standard_normal(time_s.size) * (head > 100.0)
    undriven = (time_s > 100.0) & (time_s < 105.0)
    motor = np.where(undriven, np.maximum(last_rpm - 1000.0 * (time_s - 100.0), 0.0), head)
    motor = np.where((time_s >= 105.0) & (time_s < 105.4), head * (time_s - 105.0) / 0.4, motor)
    channels = {
        "head_speed_rpm": np.round(head + noise),
        "motor_side_speed_rpm": np.round(np.where(time_s > 140.0, 0.0, motor)),
        "throttle_percent": np.select(
            [time_s < 3.0, time_s < 100.0, time_s < 105.0, time_s < 140.0], [0, 70, 15, 70], 0
        ),
        "collective_deg": np.interp(
            time_s, [20.0, 21.0, 99.9, 100.0, 104.9, 105.0, 138.0], [0, 3.3, 3.3, -3, -3, 3.3, 0]
        ),
        "height_m": np.interp(time_s, [20.0, 30.0, 100.0, 105.0, 120.0, 138.0], [0, 40, 40, 20, 20, 0]),
        **{name: np.full(time_s.size, value) for name, value in more.items()},
    }
    whole = {name: np.asarray(values, dtype=np.float64) for name, values in channels.items()}
    return Trace(source="sinks", time_s=time_s, channels=whole, rows_read=time_s.size, row=np.arange(time_s.size))


def check(trace: Trace, name: str) -> Verdict:
    return next(found for found in judge(MACHINE, trace).checks if found.check == name)


@pytest.mark.parametrize("name", ["steady_band", "quick_restart_time"])
def test_a_head_that_sank_by_six_percent_passes_neither_band_nor_restart(name: str) -> None:
    held = check(flown(TOP_RPM), name)
    assert held.verdict is Outcome.PASS, held.reason
    sunk = check(flown(0.94 * TOP_RPM), name)
    assert sunk.verdict is Outcome.UNKNOWN, sunk.reason
    assert "may not be the set speed" in sunk.reason
    assert sunk.needs == ("duty",)


@pytest.mark.parametrize("name", ["steady_band", "quick_restart_time"])
def test_a_head_that_sank_by_half_a_percent_is_judged(name: str) -> None:
    found = check(flown(0.995 * TOP_RPM), name)
    assert found.verdict is Outcome.PASS, found.reason


def test_a_restart_under_a_governor_that_droops_is_not_known() -> None:
    """Without an integral part the head never stands at the speed that was set, so no log shows that speed."""
    drooping = check(trace_of(fly(Drive(ki=0.0, kp=3.0), flight())), "quick_restart_time")
    assert drooping.verdict is Outcome.UNKNOWN, drooping.reason
    assert "droop" in drooping.reason
    assert check(trace_of(fly(Drive(), flight())), "quick_restart_time").verdict is Outcome.PASS


def levels() -> Trace:
    """Soft start to 1990 rpm, a hover, a slow rise of the set speed to 2250 rpm within 9 s, a hover there."""
    time_s = np.arange(0.0, 150.0, 0.02)
    head = np.interp(time_s, [0.0, 3.0, 18.0, 80.0, 89.0, 140.0, 150.0], [0, 0, 1990, 1990, 2250, 2250, 900])
    noise = 2.0 * np.random.default_rng(2).standard_normal(time_s.size) * (head > 100.0)
    channels = {
        "head_speed_rpm": np.round(head + noise),
        "duty": np.where(time_s < 140.0, head / 3000.0, 0.0),
        "collective_deg": np.interp(
            time_s, [20.0, 21.0, 50.0, 50.2, 52.5, 52.7, 138.0, 139.0], [0, 3.3, 3.3, 9.0, 9.0, 3.3, 3.3, 0]
        ),
        "height_m": np.interp(time_s, [20.0, 30.0, 120.0, 138.0], [0.0, 40.0, 40.0, 0.0]),
    }
    whole = {name: np.asarray(values, dtype=np.float64) for name, values in channels.items()}
    return Trace(source="levels", time_s=time_s, channels=whole, rows_read=time_s.size, row=np.arange(time_s.size))


@pytest.mark.parametrize("name", ["steady_band", "overspeed", "recovery"])
def test_a_slow_change_of_set_speed_fails_nothing_without_the_channel(name: str) -> None:
    found = check(levels(), name)
    assert found.verdict is not Outcome.FAIL, found.reason
    if name != "recovery":
        assert "without the throttle channel" in found.reason


def test_without_the_channel_a_start_that_seems_too_long_is_not_known() -> None:
    time_s = np.arange(0.0, 120.0, 0.02)
    head = np.interp(time_s, [0.0, 3.0, 17.0, 20.0, 50.0, 110.0, 120.0], [0, 0, 1500, 1500, 2250, 2250, 900])
    channels = {"head_speed_rpm": np.round(head), "duty": np.where(time_s < 110.0, head / 3000.0, 0.0)}
    trace = Trace(source="two", time_s=time_s, channels=channels, rows_read=time_s.size, row=np.arange(time_s.size))
    found = check(trace, "soft_start_time")
    assert found.verdict is not Outcome.FAIL, found.reason
