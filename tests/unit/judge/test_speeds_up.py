"""A motor that speeds up in throttle hold is driven: nothing else turns it up so fast; a faulty sensor is told."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.speeds_up import SpeedsUp, lowest_before, speeds_up
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.recorded import bench, trace_of
from tests.unit.judge.made_signals import made
from tests.unit.judge.test_conformance import check, machine
from tests.unit.judge.test_conformance_ramp_and_hold import BENCH, HELD_S, MOTOR_SIDE, ran

TIME_S = np.arange(0.0, 30.0, 0.02)
COAST = np.interp(TIME_S, [0.0, 5.0, 12.0], [1800.0, 1800.0, 400.0])


def seen(motor: np.ndarray) -> SpeedsUp | None:
    signals = made(TIME_S, motor_side_speed_rpm=motor, throttle_percent=np.where(TIME_S < 5.0, 60.0, 0.0))
    return speeds_up(signals, signals.within(5.5, 29.0))


def between(start_s: float, end_s: float, to: np.ndarray) -> np.ndarray:
    return np.where((start_s <= TIME_S) & (end_s > TIME_S), to, COAST)


@pytest.mark.parametrize("back", [1, 2, 5, 7, 40])
def test_the_lowest_value_before_is_that_of_the_rows_before(back: int) -> None:
    values = np.random.default_rng(back).normal(size=60)
    plain = [values[max(k - back, 0) : k + 1].min() for k in range(60)]
    assert lowest_before(values, back).tolist() == plain


def test_a_motor_that_only_slows_down_does_not_speed_up() -> None:
    assert seen(COAST) is None


@pytest.mark.parametrize("top_rpm", [600.0, 1000.0])
def test_a_motor_that_leaps_and_coasts_down_again_was_driven(top_rpm: float) -> None:
    up = np.interp(TIME_S, [11.0, 11.1, 12.2, 14.0], [600.0, top_rpm, top_rpm, 300.0])
    found = seen(np.where(TIME_S < 11.0, COAST, np.maximum(COAST, up)) if top_rpm > 600.0 else COAST)
    assert (found is not None and found.is_sure and found.at_s == pytest.approx(11.06, abs=0.05)) == (top_rpm > 600.0)


def test_a_reading_that_is_counted_twice_or_lost_is_not_sure() -> None:
    twice, lost = seen(between(9.0, 10.0, 2.0 * COAST)), seen(between(8.0, 9.0, np.zeros_like(COAST)))
    assert twice is None or not twice.is_sure
    assert lost is None or not lost.is_sure


def test_a_lone_row_is_nothing() -> None:
    assert seen(between(9.0, 9.03, np.full_like(COAST, 1700.0))) is None


def test_without_the_duty_a_motor_that_comes_back_in_hold_fails() -> None:
    trace = ran(keep=MOTOR_SIDE)
    motor = trace.channels["motor_side_speed_rpm"]
    later = trace.time_s - HELD_S
    driven = np.interp(later, [5.0, 5.1, 6.3, 8.0], [0.0, 600.0, 600.0, 0.0])
    channels = trace.channels | {"motor_side_speed_rpm": np.maximum(motor, driven)}
    found = check(machine(BENCH), dataclasses.replace(trace, channels=channels))
    assert found.verdict is Outcome.FAIL, found.reason
    assert "was still driven" in found.reason


def test_what_lies_in_a_hole_of_the_motor_speed_in_hold_is_not_passed() -> None:
    trace = trace_of(fly(Drive(blades=False), bench((4.0, 57.0), (30.0, 0.0), length_s=60.0)), keep=MOTOR_SIDE)
    motor = trace.channels["motor_side_speed_rpm"].copy()
    motor[(trace.time_s > HELD_S + 0.8) & (trace.time_s < HELD_S + 2.8)] = np.nan
    found = check(machine(BENCH), dataclasses.replace(trace, channels=trace.channels | {"motor_side_speed_rpm": motor}))
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "the speed is missing" in found.reason


def test_a_head_alone_does_not_show_that_the_motor_stayed_off() -> None:
    found = check(machine(BENCH), ran(keep=("head", "throttle")))
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "neither duty nor motor speed shows" in found.reason


def test_a_motor_side_that_keeps_its_speed_after_hold_is_not_passed() -> None:
    trace = ran(keep=MOTOR_SIDE)
    motor, later = trace.channels["motor_side_speed_rpm"], trace.time_s - HELD_S
    at_hold = float(motor[np.searchsorted(later, 0.0) - 1])
    delayed = np.where(later < 0.0, motor, np.where(later < 0.8, at_hold, np.interp(later - 0.8, later, motor)))
    found = check(
        machine(BENCH), dataclasses.replace(trace, channels=trace.channels | {"motor_side_speed_rpm": delayed})
    )
    assert found.verdict is Outcome.UNKNOWN, found.reason
    assert "side kept its speed for " in found.reason
