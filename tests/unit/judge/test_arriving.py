"""When a head has come to its set speed: at rest there, or swinging about it."""

import numpy as np

from steadyhead.judge.motor_state import settled, swinging_from
from tests.unit.judge.made_signals import made

TIME_S = np.arange(0.0, 30.0, 0.02)


def ramp_then(wave: np.ndarray):
    """Ten seconds up to 2000 rpm, then the wave on top of it."""
    speed = np.where(TIME_S < 10.0, 200.0 * TIME_S, 2000.0 + wave)
    return made(TIME_S, head_speed_rpm=speed, throttle_percent=np.full(TIME_S.size, 70.0))


def test_a_head_that_swings_about_its_set_speed_has_arrived_at_the_first_passage() -> None:
    dying = 100.0 * np.sin(2.0 * np.pi * 0.35 * (TIME_S - 10.0)) * np.exp(-np.maximum(TIME_S - 10.0, 0.0) / 12.0)
    signals = ramp_then(dying)
    late = settled(signals, 2000.0, 0.0, 30.0)
    assert late is None or late > 14.0
    assert abs(swinging_from(signals, 2000.0, 0.0, late or 30.0) - 10.0) < 0.1


def test_a_head_that_overshoots_and_settles_has_arrived_when_it_is_at_rest() -> None:
    once = 80.0 * np.sin(2.0 * np.pi * 0.35 * (TIME_S - 10.0)) * np.exp(-np.maximum(TIME_S - 10.0, 0.0) / 1.5)
    signals = ramp_then(once)
    ready = settled(signals, 2000.0, 0.0, 30.0)
    assert 11.0 < ready < 15.0
    assert swinging_from(signals, 2000.0, 0.0, ready) is None
