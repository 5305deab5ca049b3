"""The interval of a recovery time holds the time that a sensor without noise would have shown."""

import numpy as np
import pytest

from steadyhead.judge.transient import recovery_interval_s, recovery_time_s, row_noise

SET, BAND, ROW_S = 2000.0, 20.0, 0.02


def head_speed(depth_rpm: float, settle_s: float) -> tuple[np.ndarray, np.ndarray]:
    """A head that falls at 1 s and comes back by e in `settle_s`: within the band after settle_s ln(depth / band)."""
    time_s = np.arange(0.0, 5.0, ROW_S)
    since = np.maximum(time_s - 1.0, 0.0)
    return time_s, SET - np.where(time_s < 1.0, 0.0, depth_rpm * np.exp(-since / settle_s))


def test_noise_moves_a_recovery_and_the_interval_says_so():
    random, held, bare = np.random.default_rng(5), 0, 0
    for _ in range(200):
        settle_s, depth = random.uniform(0.3, 0.8), random.uniform(60.0, 120.0)
        time_s, speed = head_speed(depth, settle_s)
        true_s, _ = recovery_time_s(time_s, speed, SET, BAND)
        assert true_s == pytest.approx(settle_s * np.log(depth / BAND), abs=1.5 * ROW_S)
        seen = speed + random.normal(0.0, 4.0, speed.size)
        told_s, _ = recovery_time_s(time_s, seen, SET, BAND)
        low, high = recovery_interval_s(time_s, seen, SET, BAND, row_noise(seen))
        held += low - ROW_S <= true_s <= high + ROW_S
        bare += abs(told_s - true_s) <= ROW_S
    assert held >= 180
    assert bare < 120, "without the noise the interval would have held it too: this test shows nothing"


def test_without_noise_the_interval_is_the_reading():
    time_s, speed = head_speed(80.0, 0.5)
    told_s, _ = recovery_time_s(time_s, speed, SET, BAND)
    assert recovery_interval_s(time_s, speed, SET, BAND, 0.0) == (told_s, told_s)


def test_a_head_that_noise_alone_holds_within_the_band_may_take_to_the_end_of_the_rows():
    time_s, speed = head_speed(80.0, 0.5)
    speed = np.where(time_s > 3.0, SET - 18.0, speed)
    low, high = recovery_interval_s(time_s, speed, SET, BAND, 4.0)
    assert high == pytest.approx(time_s[-1] - time_s[0])
    assert low < recovery_time_s(time_s, speed, SET, BAND)[0]
