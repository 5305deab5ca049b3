"""Cleaning: what is taken out of a channel and what is left."""

import numpy as np
import pytest

from steadyhead.judge.signals import bridged, cleaned, signals
from steadyhead.trace.trace import Trace

TIME = np.arange(0.0, 20.0, 0.02)


def test_doubled_and_lost_readings_are_replaced_by_a_straight_line() -> None:
    speed = 2000.0 + 5.0 * np.sin(TIME)
    broken = speed.copy()
    broken[[100, 400, 401, 700]] = (4000.0, 0.0, 0.0, 4000.0)
    got, count = cleaned(TIME, broken, 0.15)
    assert got is not None
    assert count == 4
    assert np.abs(got - speed).max() < 1.0


def test_a_step_that_stays_is_no_glitch() -> None:
    speed = np.where(TIME < 10.0, 2000.0, 1000.0)
    got, count = cleaned(TIME, speed, 0.15)
    assert got is not None
    assert count == 0
    assert np.array_equal(got, speed)


def test_missing_values_are_bridged_and_a_channel_of_holes_is_none() -> None:
    speed = np.where((TIME > 5.0) & (TIME < 6.0), np.nan, 2000.0 + TIME)
    got, _ = cleaned(TIME, speed, 0.15)
    assert got is not None
    assert np.abs(got - (2000.0 + TIME)).max() < 1e-6
    assert cleaned(TIME, np.full(TIME.size, np.nan), 0.15) == (None, 0)


@pytest.mark.parametrize("seed", range(5))
def test_lost_samples_lie_on_the_line_between_their_neighbours(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values, lost = rng.normal(size=TIME.size), rng.random(TIME.size) < 0.3
    lost[: seed + 1] = lost[-seed - 1 :] = seed > 1
    broken = np.where(lost, np.nan, values)
    got = bridged(TIME, broken, lost)
    assert np.array_equal(got[~lost], values[~lost])
    assert got == pytest.approx(np.interp(TIME, TIME[~lost], values[~lost]), rel=1e-12, abs=1e-12)


def test_noise_from_end_to_end_is_left_alone() -> None:
    noise = np.random.default_rng(3).normal(2000.0, 900.0, TIME.size)
    got, count = cleaned(TIME, noise, 0.15)
    assert got is not None
    assert count == 0


def test_the_collective_stick_becomes_degrees_of_the_machine() -> None:
    trace = Trace(source="stick", time_s=TIME, channels={"collective_percent": np.full(TIME.size, 50.0)}, rows_read=1)
    got = signals(trace, 13.0)
    assert got is not None
    assert got.collective_deg is not None
    assert got.collective_deg[0] == 6.5
