"""A throttle channel that is written twice a second in quick rows: its edges come late, and it is read on its way."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.own_rates import SLOW_CHANNEL_S, slowest_beat_s
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import bench, flight, trace_of


def twice_a_second(trace: Trace, first: int) -> Trace:
    """Return the trace with a throttle channel of which every 25th row from `first` on is read and held."""
    row = np.maximum(25 * ((np.arange(trace.time_s.size) - first) // 25) + first, 0)
    return dataclasses.replace(
        trace, channels={**trace.channels, "throttle_percent": trace.channels["throttle_percent"][row]}
    )


def verdict(trace: Trace, check: str) -> tuple[Outcome, str]:
    found = next(one for one in judge(MACHINE, trace).checks if one.check == check)
    return found.verdict, found.reason


def test_a_mode_change_that_is_logged_late_is_no_overspeed() -> None:
    trace = trace_of(fly(Drive(), flight(mode_percent=74.0)))
    before = verdict(trace, "overspeed")
    after = verdict(twice_a_second(trace, 24), "overspeed")
    assert before[0] is Outcome.PASS, before[1]
    assert after[0] is not Outcome.FAIL, after[1]


@pytest.mark.parametrize("first", [2, 8, 14, 20])
def test_a_channel_read_on_its_way_is_no_position(first: int) -> None:
    story = bench((4.0, 15.0), (9.0, 0.0), (11.1, 57.0), (40.0, 0.0), length_s=60.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004, channel_rate=100.0), story))
    found, why = verdict(twice_a_second(trace, first), "no_start_in_autorotation_position")
    assert found is Outcome.PASS, why


def test_a_motor_that_starts_where_a_slow_channel_stands_still_fails() -> None:
    story = bench((4.0, 15.0), (9.0, 0.0), (11.1, 57.0), (40.0, 0.0), length_s=60.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004, start_percent=10.0), story))
    found, why = verdict(twice_a_second(trace, 8), "no_start_in_autorotation_position")
    assert found is Outcome.FAIL, why


def test_a_channel_seen_on_its_way_row_after_row_is_quick() -> None:
    assert slowest_beat_s(np.array([0.0, 0.0, 8.0, 16.0, 24.0, 30.0, 30.0])) == 0.0
    assert slowest_beat_s(np.array([0.0, 0.0, 58.0, 58.0, 58.0])) == SLOW_CHANNEL_S
    assert slowest_beat_s(None) == 0.0
