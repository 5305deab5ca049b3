"""The throttle channel cut into positions."""

import numpy as np
import pytest

from steadyhead.judge.commands import commands, runs
from tests.unit.judge.made_signals import made

TIME = np.arange(0.0, 40.0, 0.02)
STEPS = np.select([TIME < 5.0, TIME < 20.0, TIME < 30.0], [0.0, 57.0, 70.0], 15.0)


def test_each_switch_is_one_command_placed_at_its_edge() -> None:
    got = commands(made(TIME, throttle_percent=STEPS))
    assert got is not None
    assert [round(c.percent) for c in got] == [0, 57, 70, 15]
    assert [c.start_s for c in got] == pytest.approx([0.0, 5.0, 20.0, 30.0], abs=0.02)


def test_jitter_of_the_channel_is_no_command() -> None:
    jitter = np.random.default_rng(4).uniform(-0.8, 0.8, TIME.size)
    got = commands(made(TIME, throttle_percent=STEPS + jitter))
    assert got is not None
    assert [c.percent for c in got] == pytest.approx([0.0, 57.0, 70.0, 15.0], abs=0.2)
    assert [c.start_s for c in got] == pytest.approx([0.0, 5.0, 20.0, 30.0], abs=0.35)


def test_a_creeping_channel_departs_and_arrives() -> None:
    slow = np.interp(TIME, [0.0, 10.0, 14.0, 40.0], [0.0, 0.0, 60.0, 60.0])
    got = commands(made(TIME, throttle_percent=slow))
    assert got is not None
    assert got[-1].start_s == pytest.approx(10.0, abs=0.15)
    assert got[-1].arrive_s == pytest.approx(14.0, abs=0.15)


def test_a_low_position_runs_only_when_the_motor_was_seen_driving_there() -> None:
    low = np.where(TIME < 20.0, 0.0, 24.0)
    idle, driving = np.where(TIME < 20.0, 0.0, 0.09), np.where(TIME < 20.0, 0.0, 0.45)
    for duty, answer in ((idle, False), (driving, True)):
        signals = made(TIME, throttle_percent=low, duty=duty)
        asked = commands(signals)
        assert asked is not None
        assert runs(signals, asked, None, None) == (False, answer)
        assert runs(signals, asked, 22.0, None) == (False, True)


def test_a_motor_that_drives_where_it_was_off_before_was_not_asked_to() -> None:
    back_low = np.select([TIME < 5.0, TIME < 20.0], [0.4, 57.0], 0.0)
    driven_on = np.where(TIME < 5.0, 0.0, 0.45)
    signals = made(TIME, throttle_percent=back_low, duty=driven_on)
    asked = commands(signals)
    assert asked is not None
    assert runs(signals, asked, None, None) == (False, True, False)


def test_what_the_owner_calls_throttle_hold_never_asks_for_running() -> None:
    down = np.where(TIME < 20.0, 57.0, 5.0)
    signals = made(TIME, throttle_percent=down, duty=np.full(TIME.size, 0.45))
    asked = commands(signals)
    assert asked is not None
    assert runs(signals, asked, None, None) == (True, True)
    assert runs(signals, asked, None, 5.0) == (True, False)
