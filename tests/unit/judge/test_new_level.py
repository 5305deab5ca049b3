"""A governor with droop holds a lower speed under load: that is droop, and no failed recovery."""

import numpy as np
import pytest

from steadyhead.judge.events import event
from steadyhead.judge.loads import Load
from steadyhead.judge.result import LoadEvent
from tests.unit.judge.made_signals import governed, made

TIME = np.arange(0.0, 20.0, 0.02)
SET, BEGIN_S, END_S = 2000.0, 8.0, 11.0


def climbed(low_rpm: np.ndarray | float, *, noise_rpm: float = 3.0, duty: float | None = 0.8) -> LoadEvent:
    """An invented climb under which the head, in 0.15 s, falls to `low_rpm` below its set speed and is back after."""
    loaded = (TIME >= BEGIN_S) & (TIME < END_S)
    away = np.where(loaded, low_rpm, 0.0)
    smooth = np.convolve(away, np.ones(8) / 8.0, "full")[: TIME.size]
    speed = SET - smooth + np.random.default_rng(3).normal(0.0, noise_rpm, TIME.size)
    more = {} if duty is None else {"duty": np.where(loaded, duty, 0.7)}
    signals = made(TIME, head_speed_rpm=speed, collective_deg=np.where(loaded, 10.0, 3.0), **more)
    got = event(signals, speed, governed(0, 20, SET), Load(kind="climb", start_s=BEGIN_S, end_s=END_S), 20.0, 0.01)
    assert got is not None
    return got


def creeping(back_s: float, lost_rpm: float) -> np.ndarray:
    """A loop that loses so much at once and makes it good by e in `back_s`."""
    return lost_rpm * np.exp(-np.maximum(TIME - BEGIN_S, 0.0) / back_s)


def test_a_head_that_stands_lower_under_load_is_back_when_it_stands_there() -> None:
    got = climbed(50.0)
    assert got.settled_droop_percent == pytest.approx(2.5, abs=0.15)
    assert got.droop_percent == pytest.approx(2.5, abs=0.15)
    assert got.recovered is True
    assert got.load_recovery_s is not None
    assert got.load_recovery_s < 0.3


@pytest.mark.parametrize("back_s", [2.0, 3.0])
def test_a_slow_loop_that_creeps_back_has_not_recovered(back_s: float) -> None:
    got = climbed(creeping(back_s, 140.0))
    assert got.recovered is False
    assert got.settled_droop_percent is None


def test_a_head_that_sinks_on_under_load_has_not_recovered() -> None:
    assert climbed(30.0 + 20.0 * (TIME - BEGIN_S)).recovered is False


def test_a_head_that_stands_lower_with_the_duty_at_its_stop_has_not_recovered() -> None:
    assert climbed(50.0, duty=1.0).recovered is False


def test_without_a_duty_a_head_that_stands_lower_is_not_told() -> None:
    got = climbed(50.0, duty=None)
    assert got.recovered is None
    assert got.load_recovery_s is None
    assert got.settled_droop_percent is not None


def test_a_head_that_comes_back_to_the_speed_before_is_measured_about_that() -> None:
    got = climbed(creeping(0.4, 60.0))
    assert got.settled_droop_percent is None
    assert got.recovered is True
    assert got.load_recovery_s == pytest.approx(0.4 * np.log(3.0), abs=0.15)
