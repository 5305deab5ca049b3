"""A log of little else than the head's speed does not call a flight rest."""

import numpy as np

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import Trace
from tests.property.test_judge_any_trace import MACHINE

TIME_S = np.arange(0.0, 60.0, 0.05)
STARTS_S, GOVERNED_S = 6.0, 21.0


def flown(**channels: np.ndarray) -> Judgement:
    return judge(MACHINE, Trace(source="invented", time_s=TIME_S, channels=channels, rows_read=TIME_S.size))


def kinds(judgement: Judgement) -> list[str]:
    return [segment.kind for segment in judgement.segments]


def head(idles_rpm: float = 0.0) -> np.ndarray:
    """Invented: a soft start to 2000 rpm, 2 rpm of noise; before it the head may idle from 3 s on."""
    noise = np.random.default_rng(8).normal(0.0, 2.0, TIME_S.size)
    rises = np.interp(TIME_S, [STARTS_S, GOVERNED_S], [0.0, 2000.0])
    return np.where(rises > 0.0, np.maximum(rises + noise, idles_rpm), np.where(TIME_S > 3.0, idles_rpm, 0.0))


def test_the_first_turns_of_a_soft_start_take_little_current_and_are_driven_all_the_same() -> None:
    turns = head()
    current = np.where(turns > 1990.0, 12.0, 0.4 + 8.0 * turns / 2000.0)
    current = np.where((TIME_S > 35.0) & (TIME_S < 38.0), 30.0, current)
    found = flown(head_speed_rpm=turns, pack_current_a=current)
    assert kinds(found) == ["rest", "soft_spool", "governed"]
    assert abs(found.segments[1].start_s - STARTS_S) < 0.3


def test_a_head_that_idles_before_the_start_is_followed_to_its_set_speed() -> None:
    channel = np.where(TIME_S < 3.0, 0.0, np.where(TIME_S < STARTS_S, 12.0, 70.0))
    found = flown(head_speed_rpm=head(190.0), throttle_percent=channel)
    assert kinds(found) == ["rest", "soft_spool", "governed"]
    assert found.segments[2].set_rpm is not None


def test_a_short_run_in_a_long_log_whose_start_is_not_found_is_unknown_and_no_rest() -> None:
    """Four seconds on the bench without a level, of 160."""
    time_s = np.arange(0.0, 160.0, 0.05)
    turns = np.interp(time_s, [80.0, 82.0, 84.5], [0.0, 1800.0, 0.0])
    trace = Trace(source="invented", time_s=time_s, channels={"head_speed_rpm": turns}, rows_read=time_s.size)
    assert kinds(judge(MACHINE, trace)) == ["unknown"]


def test_a_breeze_or_a_hand_leaves_it_rest() -> None:
    assert kinds(flown(head_speed_rpm=90.0 * (np.sin(0.5 * TIME_S) < -0.2))) == ["rest"]
