"""A motor that comes back while throttle hold is still on is found, however late, and a faulty row is no motor."""

import dataclasses
from functools import cache

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import ALL, bench, flight, trace_of

HELD_S = 160.0
BENCH_HELD_S = 30.0


@cache
def flown(keep: tuple[str, ...] = ALL, hertz: float = 50.0) -> Trace:
    return trace_of(fly(Drive(), flight()), keep=keep, hertz=hertz)


@cache
def on_bench(keep: tuple[str, ...]) -> Trace:
    """Blades off: governed from about 20 s, throttle hold at 30 s, at rest long before the log ends."""
    story = bench((4.0, 57.0), (BENCH_HELD_S, 0.0), length_s=80.0)
    return trace_of(fly(Drive(blades=False, inertia=0.004), story), keep=keep)


def changed(trace: Trace, start_s: float, end_s: float, **to: float) -> Trace:
    """Return the trace with other values in a span."""
    rows = (trace.time_s >= start_s) & (trace.time_s < end_s)
    channels = {
        name: np.where(rows, to[name], values) if name in to else values for name, values in trace.channels.items()
    }
    return dataclasses.replace(trace, channels=channels)


def stops(trace: Trace) -> Verdict:
    return next(found for found in judge(MACHINE, trace).checks if found.check == "hold_stops_motor")


def test_a_motor_that_stays_off_passes() -> None:
    found = stops(flown())
    assert found.verdict is Outcome.PASS, found.reason


@pytest.mark.parametrize("after_s", [1.0, 5.0, 20.0])
@pytest.mark.parametrize("duty", [0.07, 0.3])
def test_a_motor_that_comes_back_fails(after_s: float, duty: float) -> None:
    begin_s = HELD_S + after_s
    found = stops(changed(flown(), begin_s, begin_s + 1.5, duty=duty, pack_current_a=6.0))
    assert found.verdict is Outcome.FAIL, found.reason
    assert "came back" in found.reason
    if after_s > 1.0:
        assert f"at {begin_s:.1f} s" in found.reason


def test_a_small_duty_alone_for_a_second_fails() -> None:
    """A few percent draw less than the current sensor's noise tells."""
    trace = flown(("head", "throttle", "duty", "volt"))
    assert stops(changed(trace, HELD_S + 8.0, HELD_S + 9.5, duty=0.07)).verdict is Outcome.FAIL


def test_much_duty_that_no_current_bears_out_is_not_known() -> None:
    found = stops(changed(flown(), HELD_S + 8.0, HELD_S + 9.5, duty=0.5))
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "may have come back" in found.reason


def test_one_faulty_row_of_the_duty_is_no_motor() -> None:
    found = stops(changed(flown(), HELD_S + 8.0, HELD_S + 8.02, duty=0.6))
    assert found.verdict is Outcome.PASS, found.reason


def test_without_duty_a_head_that_turns_up_from_rest_in_hold_fails() -> None:
    trace = on_bench(("head", "throttle", "volt", "amp"))
    assert stops(trace).verdict is Outcome.UNKNOWN
    found = stops(changed(trace, 65.0, 68.0, head_speed_rpm=800.0))
    assert found.verdict is Outcome.FAIL, found.reason


def test_a_head_that_is_turned_by_hand_in_hold_is_no_motor() -> None:
    trace = on_bench(("head", "throttle", "volt", "amp"))
    assert stops(changed(trace, 65.0, 68.0, head_speed_rpm=90.0)).verdict is Outcome.UNKNOWN


def test_a_head_that_turns_beside_a_duty_of_zero_is_not_known() -> None:
    trace = on_bench(("head", "throttle", "duty", "volt", "amp"))
    assert stops(trace).verdict is Outcome.PASS
    found = stops(changed(trace, 65.0, 68.0, head_speed_rpm=800.0))
    assert found.verdict is Outcome.UNKNOWN, found.reason


@pytest.mark.parametrize(
    ("keep", "lost"),
    [
        (("head", "throttle", "duty", "volt", "amp"), ("duty",)),
        (("head", "throttle", "duty", "volt", "amp"), ("duty", "head_speed_rpm", "pack_current_a")),
        (("head", "throttle", "volt", "amp"), ("head_speed_rpm",)),
        (("motor", "throttle", "volt", "amp"), ("motor_side_speed_rpm",)),
    ],
)
def test_the_line_over_a_hole_that_ends_with_the_next_start_is_no_motor(
    keep: tuple[str, ...], lost: tuple[str, ...]
) -> None:
    """Sensors that fall silent in throttle hold and come back when the motor runs again; all of them show nothing."""
    story = bench((4.0, 57.0), (BENCH_HELD_S, 0.0), (60.0, 57.0), (85.0, 0.0), length_s=110.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004), story), keep=keep)
    before = stops(trace)
    found = stops(changed(trace, 45.0, 75.0, **dict.fromkeys(lost, float("nan"))))
    assert before.verdict is not Outcome.FAIL, before.reason
    nothing_left = "duty" in lost and "head_speed_rpm" in lost
    assert found.verdict is (Outcome.UNKNOWN if nothing_left else before.verdict), found.reason


def test_a_burst_that_is_over_before_hold_is_let_go_is_no_start() -> None:
    story = bench((4.0, 57.0), (BENCH_HELD_S, 0.0), (45.0, 57.0), length_s=70.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004), story))
    assert stops(trace).verdict is Outcome.PASS
    found = stops(changed(trace, 44.72, 44.9, duty=0.3, pack_current_a=6.0))
    assert found.verdict is Outcome.FAIL, found.reason
    assert "came back at 44.7 s" in found.reason


@pytest.mark.parametrize(("leads_s", "said"), [(0.16, Outcome.UNKNOWN), (0.04, Outcome.PASS)])
def test_a_burst_that_lasts_until_hold_is_let_go_is_not_known(leads_s: float, said: Outcome) -> None:
    """The switch may be logged late, but rows so quick show that no motor leads it by so much."""
    story = bench((4.0, 57.0), (BENCH_HELD_S, 0.0), (45.0, 57.0), length_s=70.0)
    trace = trace_of(fly(Drive(blades=False, inertia=0.004), story))
    found = stops(changed(trace, 45.0 - leads_s, 45.02, duty=0.3, pack_current_a=6.0))
    assert found.verdict is said, found.reason


LOST = ("head_speed_rpm", "motor_side_speed_rpm", "duty", "pack_current_a")


@pytest.mark.parametrize("until_s", [4.5, 100.0])
@pytest.mark.parametrize("lost", [LOST, LOST[:2], LOST[2:]])
def test_a_hole_in_hold_while_the_head_turns_never_passes(until_s: float, lost: tuple[str, ...]) -> None:
    found = stops(changed(flown(), HELD_S + 2.0, HELD_S + until_s, **dict.fromkeys(lost, float("nan"))))
    assert found.verdict is Outcome.UNKNOWN, found.reason


def test_rows_lost_in_hold_never_pass_and_a_lone_row_hides_nothing() -> None:
    trace = flown()
    for lasts_s, expected in ((2.5, Outcome.UNKNOWN), (0.05, Outcome.PASS)):
        kept = (trace.time_s < HELD_S + 2.0) | (trace.time_s > HELD_S + 2.0 + lasts_s)
        channels = {name: values[kept] for name, values in trace.channels.items()}
        found = stops(dataclasses.replace(trace, time_s=trace.time_s[kept], channels=channels, row=trace.row[kept]))
        assert found.verdict is expected, found.reason
