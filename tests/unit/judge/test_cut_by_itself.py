"""A motor that stops in flight while the throttle channel asks for running is no bail-out, and is told."""

from collections.abc import Sequence

import numpy as np
import pytest

from steadyhead.judge.commands import Command
from steadyhead.judge.cut_by_itself import cut_by_itself
from steadyhead.judge.result import Judgement
from tests.unit.judge.made_signals import made
from tests.unit.judge.test_bail_outs import CUT_S, END_S, SET, check, flown

HELD = [(END_S, 80.0)]
DUTY, HEAD_ALONE = ("head_speed_rpm", "duty"), ("head_speed_rpm",)
Knots = Sequence[tuple[float, float]]


def cut(
    seconds: float, took_s: float, *, throttle: Knots = HELD, keep: Sequence[str] = DUTY, low: float = 0.5
) -> Judgement:
    back_s = CUT_S + seconds
    ramp = [(back_s, 0.0), (back_s + 0.02, low * SET), (back_s + took_s, SET), (END_S, SET)]
    head = [(back_s, low * SET), (back_s + took_s, SET), (END_S, SET)]
    return flown(throttle=throttle, motor=[(CUT_S + 0.02, 0.0), *ramp], head=head, keep=keep)


@pytest.mark.parametrize("took_s", [1.5, 8.0])
def test_a_cut_in_flight_fails_and_is_no_bail_out_however_it_came_back(took_s: float) -> None:
    got = cut(2.5, took_s)
    told = check(got, "run_logic_conformance")
    assert told.verdict == "fail"
    assert "the motor stopped at 60.0 s though the channel asked for running, and came back 2.5 s later" in told.reason
    assert not got.bail_outs
    for name in ("quick_restart_granted", "quick_restart_time", "quick_restart_prompt"):
        assert check(got, name).verdict == "unknown"
    assert not any("autorotation position" in line for line in got.advice)


def test_a_motor_that_stays_off_fails_too() -> None:
    got = flown(throttle=HELD, motor=[(CUT_S + 0.02, 0.0), (END_S, 0.0)], head=[(70.0, 0.3 * SET), (END_S, 0.0)])
    told = check(got, "run_logic_conformance")
    assert (told.verdict, "did not come back" in told.reason) == ("fail", True)


@pytest.mark.parametrize(("written_s", "off_s", "sure"), [(0.02, 0.9, True), (1.0, 0.9, False), (1.0, 2.5, True)])
def test_a_stop_that_a_slow_channel_may_have_asked_for_is_in_doubt(written_s: float, off_s: float, sure: bool) -> None:
    t = np.arange(0.0, 60.0, 0.02)
    written = np.arange(t.size) % round(written_s / 0.02) == 0
    off = (t >= 30.01) & (t < 30.01 + off_s)
    channels = {
        "throttle_percent": np.where(written, 80.0, np.nan), "duty": np.where(off, 0.0, 0.7),
        "head_speed_rpm": np.interp(t, [30.0, 30.0 + off_s, 32.0 + off_s], [SET, 0.6 * SET, SET]),
    }  # fmt: skip
    asked = Command(start_s=0.0, arrive_s=0.0, end_s=60.0, percent=80.0)
    told = cut_by_itself(made(t, **channels), asked, SET, 30.0, 30.0 + off_s)
    assert told is not None
    assert (told.doubt == "") is sure


@pytest.mark.parametrize("touch_s", [0.1, 0.04])
def test_a_channel_that_was_touched_just_before_stopped_the_motor_itself(touch_s: float) -> None:
    t = np.arange(0.0, 60.0, 0.02)
    channels = {
        "throttle_percent": np.where((t > 29.91) & (t < 29.91 + touch_s), 0.0, 80.0),
        "duty": np.where((t >= 30.0) & (t < 31.5), 0.0, 0.7), "head_speed_rpm": np.full(t.size, SET),
    }  # fmt: skip
    asked = Command(start_s=0.0, arrive_s=0.0, end_s=60.0, percent=80.0)
    told = cut_by_itself(made(t, **channels), asked, SET, 30.0, 31.5)
    assert told is None if touch_s > 0.08 else told is not None and "moved" in told.doubt


def test_a_speed_that_leaps_away_and_back_is_the_reading_not_the_motor() -> None:
    head = [(CUT_S + 0.02, 0.0), (62.5, 0.0), (62.52, SET), (END_S, SET)]
    got = flown(throttle=HELD, motor=head, head=head)
    assert check(got, "run_logic_conformance").verdict == "unknown"
    assert not got.bail_outs


def test_without_duty_a_head_that_fell_so_far_is_not_passed() -> None:
    assert check(cut(2.5, 1.5, keep=HEAD_ALONE), "run_logic_conformance").verdict == "unknown"


def test_a_motor_that_was_called_off_is_no_cut() -> None:
    called = [(CUT_S + 0.01, 14.0), (62.5, 14.0), (62.51, 80.0), (END_S, 80.0)]
    got = cut(2.5, 1.5, throttle=called)
    assert len(got.bail_outs) == 1
    assert "though the channel" not in check(got, "run_logic_conformance").reason
