"""The resistance of a pack from load steps: a current sensor slower than the voltage makes it too large."""

import numpy as np
import pytest

from steadyhead.judge.pack_figures import resistance_from_steps
from steadyhead.trace.trace import Series

TRUE_OHM, SLOW_OHM, SLOW_S, STEP_S = 0.030, 0.008, 15.0, 0.01


def smoothed(values: Series, lag_s: float) -> Series:
    out, value = np.empty_like(values), values[0]
    for k, one in enumerate(values):
        value += (one - value) * (1.0 - np.exp(-STEP_S / lag_s))
        out[k] = value
    return out


def seen(average_s: float, row_s: float = 0.2) -> tuple[float, float, float]:
    """Return what a log tells of an invented pack whose current swings for seconds; its sensor averages so long."""
    time_s = np.arange(0.0, 120.0, STEP_S)
    flying = (time_s > 10.0) & (time_s < 100.0)
    swings = (time_s % 40.0 > 20.0) & (time_s % 40.0 < 28.0) & flying
    current = np.where(flying, 30.0, 0.5) + np.where(swings, 25.0 * np.sign(np.sin(2.0 * np.pi * 1.1 * time_s)), 0.0)
    voltage = 49.0 - TRUE_OHM * current - SLOW_OHM * smoothed(current, SLOW_S)
    every = round(row_s / STEP_S)
    noise = np.random.default_rng(2).normal(0.0, 0.02, time_s[::every].size)
    rows = round(average_s / STEP_S)
    shown = np.convolve(current, np.full(rows, 1.0 / rows), "same")
    found = resistance_from_steps(time_s[::every], voltage[::every] + noise, shown[::every], row_s)
    assert found is not None
    return found


def test_a_current_sensor_slower_than_the_voltage_reaches_low_enough_to_hold_the_truth() -> None:
    told, low, high = seen(0.6)
    assert told > 1.25 * TRUE_OHM, "the sensor has not lied: this test shows nothing"
    assert low < TRUE_OHM < high


def test_a_quick_sensor_is_told_as_narrowly_as_before() -> None:
    told, low, high = seen(0.01)
    assert told == pytest.approx(TRUE_OHM, rel=0.08)
    assert low < TRUE_OHM * 1.05 < high
    assert high - low < 0.25 * TRUE_OHM
