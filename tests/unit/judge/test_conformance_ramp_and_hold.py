"""The run logic beside a quick start from rest and a throttle hold that did not do what the file says."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.recorded import ALL, bench, trace_of
from tests.unit.judge.test_conformance import check, machine

BENCH = "bench_three_modes.csv"
STORY = bench((4.0, 57.0), (30.0, 0.0), length_s=60.0)
HELD_S = 30.0
MOTOR_SIDE = ("motor", "throttle")


def ran(*, keep: tuple[str, ...] = ALL, **changed: float) -> Trace:
    return trace_of(fly(Drive(blades=False, inertia=0.004, **changed), STORY), keep=keep)


def after_hold(trace: Trace, start_s: float, end_s: float, **to: float) -> Trace:
    rows = (trace.time_s >= HELD_S + start_s) & (trace.time_s < HELD_S + end_s)
    channels = {name: np.where(rows, to[name], each) if name in to else each for name, each in trace.channels.items()}
    return dataclasses.replace(trace, channels=channels)


def test_a_bench_run_agrees() -> None:
    found = check(machine(BENCH), ran())
    assert found.verdict is Outcome.PASS, found.reason


def test_a_start_from_rest_as_quick_as_a_quick_one_is_dangerous() -> None:
    found = check(machine(BENCH), ran(soft_s=1.5))
    assert found.verdict is Outcome.FAIL
    assert found.reason.startswith("dangerous: the start from rest at 4.")
    assert "as a quick one does, where the run logic says slow" in found.reason


def test_a_hold_in_which_the_motor_may_have_come_back_never_passes() -> None:
    found = check(machine(BENCH), after_hold(ran(), 3.0, 8.0, duty=0.2))
    assert found.verdict is Outcome.UNKNOWN
    assert "may have come back at 33.0 s" in found.reason


def test_a_motor_that_turns_on_in_hold_is_not_passed_without_its_duty() -> None:
    trace = ran(keep=MOTOR_SIDE)
    assert check(machine(BENCH), trace).verdict is Outcome.PASS
    found = check(machine(BENCH), after_hold(trace, 1.0, 40.0, motor_side_speed_rpm=900.0))
    assert found.verdict is Outcome.UNKNOWN
    assert "kept turning" in found.reason


def test_a_hold_that_stops_later_than_the_file_says_fails_though_by_less_than_a_start_is_read() -> None:
    found = check(machine(BENCH), after_hold(ran(), 0.0, 0.24, duty=0.5))
    assert found.verdict is Outcome.FAIL
    assert "was driven for 0.2" in found.reason
    assert check(machine(BENCH, stop_delay='"0.2 s"'), after_hold(ran(), 0.0, 0.24, duty=0.5)).verdict is Outcome.PASS


@pytest.mark.parametrize("percent", [2.0, 5.0])
def test_a_motor_that_idles_on_below_the_cut_off_fails_though_the_log_began_lower(percent: float) -> None:
    story = bench((4.0, 57.0), (30.0, percent), length_s=60.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004, off_percent=1.0), story))
    found = check(machine(BENCH), trace)
    assert found.verdict is Outcome.FAIL, found.reason
    assert "was still driven" in found.reason
    stops = next(c for c in judge(machine(BENCH), trace).checks if c.check == "hold_stops_motor")
    assert stops.verdict is Outcome.FAIL, stops.reason
    sound = trace_of(fly(Drive(blades=False, inertia=0.004), story))
    assert check(machine(BENCH), sound).verdict is Outcome.PASS


def test_a_motor_that_idles_on_where_the_run_logic_lets_none_idle_fails() -> None:
    story = bench((4.0, 57.0), (30.0, 15.0), (40.0, 0.0), length_s=60.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004), story))
    assert check(machine(BENCH), trace).verdict is Outcome.PASS
    found = check(machine(BENCH, idles_after_running="false"), trace)
    assert found.verdict is Outcome.FAIL, found.reason
    assert "with the channel at 15.0 %" in found.reason


def test_a_motor_side_that_turns_evenly_late_in_hold_is_passed_by_neither_check() -> None:
    trace = ran(keep=MOTOR_SIDE)
    speed = trace.channels["motor_side_speed_rpm"]
    turns_on = np.where(trace.time_s > HELD_S, np.maximum(1730.0 - 160.0 * (trace.time_s - HELD_S), 200.0), speed)
    trace = dataclasses.replace(trace, channels={**trace.channels, "motor_side_speed_rpm": turns_on})
    found = [c for c in judge(machine(BENCH), trace).checks if c.check in ("hold_stops_motor", "run_logic_conformance")]
    assert [c.verdict for c in found] == [Outcome.UNKNOWN, Outcome.UNKNOWN], [c.reason for c in found]
    assert all("turns evenly at 200 rpm" in c.reason for c in found)


def test_a_head_that_leaps_in_hold_before_one_value_of_a_slow_duty_is_passed_by_neither_check() -> None:
    trace = ran(keep=("head", "duty", "throttle"))
    of_value = np.maximum(25 * ((np.arange(trace.time_s.size) - 5) // 25) + 5, 0)
    slow = dataclasses.replace(trace, channels={**trace.channels, "duty": trace.channels["duty"][of_value]})
    leapt = after_hold(slow, 20.3, 21.1, head_speed_rpm=250.0)
    found = check(machine(BENCH), after_hold(leapt, 20.6, 20.76, duty=0.12))
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "may have come back at 50.6 s" in found.reason
    assert check(machine(BENCH), slow).verdict is Outcome.PASS
