"""What a log shows before anything flew, and what idles where the owner's logic keeps the motor off."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.recorded import bench, trace_of
from tests.unit.judge.test_conformance import check, machine

BENCH = "bench_three_modes.csv"
STORY = bench((5.0, 15.0), (12.0, 57.0), (40.0, 0.0), length_s=70.0)


def turned(start_s: float, end_s: float, rpm: float, duty: float) -> Trace:
    """Return a bench run without height and collective, in which the motor turns by itself before its first start."""
    trace = trace_of(fly(Drive(blades=False, inertia=0.004), STORY), keep=("motor", "throttle", "duty"))
    on = (trace.time_s >= start_s) & (trace.time_s < end_s)
    coast = np.interp(trace.time_s, [end_s, end_s + 6.0], [rpm, 0.0]) * (trace.time_s >= end_s)
    motor = np.maximum(trace.channels["motor_side_speed_rpm"], np.where(on, rpm, coast))
    more = {"motor_side_speed_rpm": motor, "duty": np.where(on, duty, trace.channels["duty"])}
    return dataclasses.replace(trace, channels=trace.channels | more)


def test_a_motor_that_turns_at_rest_before_the_first_start_is_no_autorotation() -> None:
    judged = judge(machine(BENCH), turned(1.5, 2.1, 500.0, 0.2))
    assert not judged.bail_outs
    assert "autorotation" not in {segment.kind for segment in judged.segments if segment.start_s < 12.0}
    verdicts = {one.check: one.verdict for one in judged.checks}
    assert verdicts["quick_restart_granted"] is Outcome.UNKNOWN
    assert verdicts["hold_stops_motor"] is Outcome.FAIL


@pytest.mark.parametrize("idles", [False, True])
def test_a_motor_that_idles_from_rest_agrees_only_with_a_file_that_says_so(idles: bool) -> None:
    found = check(machine(BENCH, idles_from_rest=str(idles).lower()), turned(6.0, 12.0, 150.0, 0.0))
    assert ("came from rest to 150 rpm" in found.reason) is not idles
    assert idles or found.verdict is Outcome.FAIL
