"""A quick ramp of a standing head, where the owner's logic grants none, and where nothing says that it may be so."""

import pytest

from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.recorded import ALL, bench, flight, trace_of
from tests.unit.judge.test_conformance import check, machine

BENCH = "bench_three_modes.csv"
BAND = {"start_delay": '"0 s"', "quick_restart_window": '"300 s"', "idles_after_running": "false"}


def stood(*keep: str) -> Trace:
    """Return a bench run in which the head comes to rest in the autorotation position, and then gets the quick ramp."""
    story = bench((4.0, 57.0), (30.0, 15.0), (75.0, 57.0), (95.0, 0.0), length_s=120.0)
    return trace_of(
        fly(Drive(blades=False, inertia=0.004, idle_duty=0.0, arm_s=300.0, start_delay_s=0.01), story), keep=keep or ALL
    )


@pytest.mark.parametrize("turning", ["true", ""])
def test_a_quick_ramp_of_a_standing_head_is_dangerous_unless_the_file_says_that_it_may_be(turning: str) -> None:
    found = check(machine(BENCH, needs_turning_head=turning, **BAND), stood())
    assert found.verdict is Outcome.FAIL, found.reason
    assert found.reason.startswith("dangerous: the start at 75.")
    assert "was quick from rest" in found.reason


def test_a_quick_ramp_of_a_standing_head_agrees_with_a_file_that_allows_it() -> None:
    found = check(machine(BENCH, needs_turning_head="false", **BAND), stood())
    assert found.verdict is Outcome.PASS, found.reason


def test_a_motor_side_alone_does_not_show_whether_the_head_stood() -> None:
    found = check(machine(BENCH, needs_turning_head="true", **BAND), stood("motor", "throttle", "duty"))
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "whether the head still turned" in found.reason


def test_a_bail_out_that_does_not_wait_for_the_start_delay_is_told_as_such() -> None:
    """The drive waits two seconds from rest and none with a turning head; the file says two."""
    trace = trace_of(fly(Drive(start_delay_s=2.0, idle_duty=0.0), flight()))
    found = check(machine(BENCH, start_delay='"2 s"', idles_after_running="false"), trace)
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "waits 2 s by the machine file" in found.reason
    assert "stays off" not in found.reason
