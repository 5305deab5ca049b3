"""Throttle hold that is touched for a moment in a glide clears the quick restart as a long one does."""

import pytest

from steadyhead.judge.result import Judgement
from tests.unit.judge.test_bail_outs import CUT_S, END_S, SET, check, flown


def touched(hold_s: float, *, rest_s: float = 0.0, to_percent: float = 0.0) -> Judgement:
    """Glide at 14 % from 60 s, the touch at 64 s, 14 % again for `rest_s`, the flight mode, and a soft start of 8 s."""
    left_s = 64.01 + hold_s
    asked_s = left_s + rest_s
    back = [(left_s, to_percent), (left_s + 0.01, 14.0), (asked_s, 14.0)] if rest_s else [(left_s, to_percent)]
    throttle = [(CUT_S + 0.01, 14.0), (64.0, 14.0), (64.01, to_percent), *back, (asked_s + 0.1, 80.0), (END_S, 80.0)]
    motor = [(CUT_S + 1.0, 0.0), (asked_s + 0.2, 0.0), (asked_s + 0.22, 0.6 * SET), (asked_s + 8.0, SET), (END_S, SET)]
    head = [(CUT_S + 1.0, 0.9 * SET), (asked_s + 0.2, 0.6 * SET), (asked_s + 8.0, SET), (END_S, SET)]
    return flown(throttle=throttle, motor=motor, head=head, keep=("head_speed_rpm", "duty", "height_m"))


@pytest.mark.parametrize("rest_s", [0.0, 1.5])
@pytest.mark.parametrize("hold_s", [0.08, 0.12, 0.2, 0.3, 0.5])
def test_a_soft_start_after_a_touch_of_hold_is_right(hold_s: float, rest_s: float) -> None:
    got = touched(hold_s, rest_s=rest_s)
    granted = check(got, "quick_restart_granted")
    assert (granted.verdict, "out of throttle hold" in granted.reason) == ("unknown", True)
    assert got.bail_outs[0].start_s == pytest.approx(64.01 + hold_s + rest_s, abs=0.03)
    assert not any("autorotation position" in line for line in got.advice)


def test_a_faulty_row_is_no_touch() -> None:
    assert check(touched(0.01), "quick_restart_granted").verdict == "fail"


def test_a_move_that_does_not_come_down_to_hold_is_none() -> None:
    assert check(touched(0.2, to_percent=9.0), "quick_restart_granted").verdict == "fail"
