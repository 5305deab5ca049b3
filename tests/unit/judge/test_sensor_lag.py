"""The lag of a speed sensor, read where the motor is cut, and what an overspeed was behind it."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead.judge.segments import Stretch
from steadyhead.judge.sensor_lag import Lag, sensor_lag
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import behind_lag
from tests.unit.judge.made_signals import governed, made

CUT_S = 20.0
SET = 2000.0


def behind(values: np.ndarray, lag_s: float, step_s: float) -> np.ndarray:
    """Return what a first-order sensor shows of the values, step by step."""
    shown, now = np.empty_like(values), values[0]
    for k, value in enumerate(values):
        now += (1.0 - np.exp(-step_s / lag_s)) * (value - now)
        shown[k] = now
    return shown


def coasting(lag_s: float, *, rows_s: float = 0.02, falls: float = 0.25, level: float = SET) -> Signals:
    """Return a head that is cut at 20 s and slows by a share of itself a second, by the square of its speed."""
    fine = np.arange(0.0, 30.0, 0.002)
    true = level / (1.0 + falls * np.maximum(fine - CUT_S, 0.0))
    time_s = np.arange(0.0, 30.0, rows_s)
    seen = np.interp(time_s, fine, behind(true, lag_s, 0.002)) + np.random.default_rng(3).normal(0.0, 1.5, time_s.size)
    got = made(time_s, head_speed_rpm=seen, duty=np.where(time_s < CUT_S, 0.75, 0.0))
    return replace(got, sensed=True)


def lag_of(signals: Signals, after: str = "coast") -> Lag | None:
    coast = Stretch(kind=after, start_s=CUT_S, end_s=30.0, asked_s=CUT_S)
    return sensor_lag(signals, (governed(5.0, CUT_S, SET), coast))


@pytest.mark.parametrize("rows_s", [0.01, 0.05, 0.1])
@pytest.mark.parametrize("lag_s", [0.015, 0.1, 0.2, 0.45])
def test_the_lag_of_a_speed_is_read_where_the_motor_is_cut(lag_s: float, rows_s: float) -> None:
    got = lag_of(coasting(lag_s, rows_s=rows_s))
    assert got is not None
    assert got.low_s <= lag_s + rows_s  # a cut between two rows counts as lag
    assert lag_s <= got.high_s
    assert got.high_s < 2.0 * lag_s + 2.0 * rows_s + 0.05


def test_a_head_that_does_not_slow_tells_no_lag() -> None:
    assert lag_of(coasting(0.1, falls=0.0)) is None


def test_a_head_that_was_not_level_before_the_cut_tells_no_lag() -> None:
    signals = coasting(0.1)
    speed = np.where(signals.time_s < CUT_S, SET - 60.0 * (signals.time_s - CUT_S), SET)
    assert lag_of(replace(signals, speed_rpm=speed * (signals.speed_rpm / SET))) is None


def test_a_simulation_has_no_sensor() -> None:
    assert lag_of(replace(coasting(0.2), sensed=False)) is None


@pytest.mark.parametrize("lag_s", [0.05, 0.15, 0.3])
def test_a_short_overspeed_is_found_again_behind_its_lag(lag_s: float) -> None:
    fine = np.arange(0.0, 10.0, 0.002)
    true = SET * (1.0 + 0.07 * np.exp(-(((fine - 5.0) / 0.2) ** 2)))
    time_s = np.arange(0.0, 10.0, 0.02)
    seen = np.interp(time_s, fine, behind(true, lag_s, 0.002))
    got = behind_lag(seen, int(seen.argmax()), 0.02, lag_s)
    assert got == pytest.approx(1.07 * SET, rel=0.008)
    assert seen.max() < got - 4.0
