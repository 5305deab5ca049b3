"""A head that falls and comes back left its speed: no held speed and no governed running through it."""

import numpy as np
import pytest

from steadyhead.judge.held_heard import held_speeds
from steadyhead.judge.left_speed import less_falls
from steadyhead.judge.result import Segment

HOP_S = 0.025
TIME_S = np.arange(0.0, 24.0, HOP_S)
WHOLE = Segment(kind="governed", start_s=0.0, end_s=24.0, set_rpm=2000.0, hunting_percent=0.1)
PARTS = (
    Segment(kind="governed", start_s=0.0, end_s=8.0, set_rpm=2000.0),
    Segment(kind="governed", start_s=8.0, end_s=16.0),
    Segment(kind="governed", start_s=16.0, end_s=24.0, set_rpm=2000.0),
)


def dip(share: float, start_s: float = 8.5, end_s: float = 15.0):
    return np.where((start_s < TIME_S) & (end_s > TIME_S), 2000.0 * (1.0 - share), 2000.0)


@pytest.mark.parametrize("segments", [(WHOLE,), PARTS])
@pytest.mark.parametrize("speed", [dip(0.3), dip(0.07, 9.0, 12.0), np.where(abs(TIME_S - 11.0) < 2.0, np.nan, 2000.0)])
def test_no_held_speed_runs_through_a_fall_a_long_droop_or_silence(segments, speed) -> None:
    found = held_speeds(segments, TIME_S, speed, ())
    assert len(found) == 2
    assert all(one.end_s < 9.5 or one.start_s > 11.5 for one in found)
    assert [one.head_speed_rpm for one in found] == pytest.approx([2000.0, 2000.0])


def test_a_short_droop_under_load_ends_no_held_speed() -> None:
    (one,) = held_speeds((WHOLE,), TIME_S, dip(0.06, 9.0, 9.6), ())
    assert one.end_s - one.start_s > 20.0


def test_a_fall_and_return_within_a_segment_is_unknown_and_its_ends_stay_governed() -> None:
    found, words = less_falls((WHOLE,), TIME_S, dip(0.3))
    assert [one.kind for one in found] == ["governed", "unknown", "governed"]
    assert (found[1].start_s, found[1].end_s) == pytest.approx((8.5, 15.0), abs=0.1)
    assert all(one.hunting_percent is None for one in found), "what was measured over all of it belongs to no piece"
    assert "down to 1400 rpm" in words[0]


def test_a_passage_that_falls_below_both_speeds_beside_it_is_unknown_and_a_change_of_mode_is_not() -> None:
    found, words = less_falls(PARTS, TIME_S, dip(0.3))
    assert [one.kind for one in found] == ["governed", "unknown", "governed"]
    assert len(words) == 1
    change = (PARTS[0], PARTS[1], Segment(kind="governed", start_s=16.0, end_s=24.0, set_rpm=1400.0))
    assert less_falls(change, TIME_S, np.where(TIME_S > 9.0, 1400.0, 2000.0)) == (change, ())


def test_a_droop_under_load_and_a_fall_to_the_end_stay_what_they_were() -> None:
    assert less_falls((WHOLE,), TIME_S, dip(0.07)) == ((WHOLE,), ())
    assert less_falls((WHOLE,), TIME_S, dip(0.3, 20.0, 30.0)) == ((WHOLE,), ())


def test_where_the_motor_is_silent_under_blades_nothing_is_governed() -> None:
    found, _ = less_falls((WHOLE,), TIME_S, dip(0.0), ((10.0, 14.0),))
    assert [(one.kind, one.start_s) for one in found] == [("governed", 0.0), ("unknown", 10.0), ("governed", 14.0)]
