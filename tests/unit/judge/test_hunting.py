"""The hunting line against a plain twin, and what must not be taken for hunting."""

import numpy as np
import pytest

from steadyhead.judge.hunting import hunts_under_load, swing, without_trend
from tests.naive.slow_line import strongest_line

SET = 2000.0


def record(
    hertz: float, percent: float, *, rate: float = 50.0, seconds: float = 10.0, noise: float = 0.02, seed: int = 7
) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    time_s = np.sort(np.arange(0.0, seconds, 1.0 / rate) + rng.uniform(-0.1, 0.1, int(seconds * rate)) / rate)
    wave = percent * np.sin(2.0 * np.pi * hertz * time_s) + noise * rng.standard_normal(time_s.size)
    return time_s, SET * (1.0 + wave / 100.0)


@pytest.mark.parametrize("hertz", [0.8, 2.3, 4.0, 9.0])
@pytest.mark.parametrize("percent", [0.5, 2.0])
def test_a_line_is_found_with_its_frequency_and_size(hertz: float, percent: float) -> None:
    time_s, speed = record(hertz, percent)
    got = swing(time_s, speed, SET)
    assert got is not None
    assert got.frequency_hz == pytest.approx(hertz, abs=0.1)
    assert got.amplitude_percent == pytest.approx(percent, rel=0.06)
    assert got.regular is not None
    assert got.regular > 0.8


@pytest.mark.parametrize("hertz", [1.1, 3.7])
def test_the_line_is_the_one_a_plain_search_finds(hertz: float) -> None:
    time_s, speed = record(hertz, 1.0, rate=20.0, seconds=8.0)
    got = swing(time_s, speed, SET)
    assert got is not None
    plain_hz, plain_rpm = strongest_line(list(time_s), list(speed), 0.5, 9.0)
    assert got.frequency_hz == pytest.approx(plain_hz, abs=0.1)
    assert got.amplitude_percent == pytest.approx(plain_rpm / SET * 100.0, rel=0.06)


@pytest.mark.parametrize("hertz", [0.25, 0.31, 0.36, 0.42])
def test_the_flank_of_a_slower_line_is_no_hunting(hertz: float) -> None:
    time_s, speed = record(hertz, 0.8, seconds=15.0)
    got = swing(time_s, speed, SET)
    assert got is not None
    assert got.amplitude_percent < 0.1
    assert got.slower is not None
    assert got.slower.frequency_hz == pytest.approx(hertz, abs=0.1)
    assert got.slower.amplitude_percent == pytest.approx(0.8, rel=0.12)
    assert got.slower.regular is not None
    assert got.slower.regular > 0.5


@pytest.mark.parametrize("hertz", [0.5, 0.55, 0.8, 3.0])
def test_a_line_in_the_band_beside_a_slower_one_is_still_found(hertz: float) -> None:
    time_s, speed = record(hertz, 0.8, seconds=15.0)
    got = swing(time_s, speed + SET * 0.004 * np.sin(2.0 * np.pi * 0.15 * time_s), SET)
    assert got is not None
    assert got.frequency_hz == pytest.approx(hertz, abs=0.1)
    assert got.amplitude_percent == pytest.approx(0.8, rel=0.12)


def test_drift_of_the_set_speed_is_no_swing() -> None:
    time_s, speed = record(1.0, 0.0)
    got = swing(time_s, speed + 3.0 * time_s, SET)
    assert got is not None
    assert got.amplitude_percent < 0.05


def test_gusts_are_irregular() -> None:
    rng = np.random.default_rng(9)
    time_s = np.arange(0.0, 15.0, 0.02)
    gust = np.zeros(time_s.size)
    for k in range(1, time_s.size):
        gust[k] = gust[k - 1] * (1.0 - 0.02 / 0.4) + rng.standard_normal() * 0.1
    got = swing(time_s, SET * (1.0 + gust / 100.0), SET)
    assert got is not None
    assert got.regular is None or got.regular < 0.5


def test_a_slow_logger_doubts_a_quick_line_upward() -> None:
    time_s, speed = record(3.5, 0.4, rate=10.0)
    got = swing(time_s, speed, SET)
    assert got is not None
    assert got.amplitude_percent_high > 2.0 * got.amplitude_percent


def test_the_noise_of_the_sensor_is_read_from_the_floor() -> None:
    read = []
    for seed in range(16):
        got = swing(*record(2.0, 1.0, noise=0.3, seconds=15.0, seed=seed), SET)
        assert got is not None
        read.append(got.noise_percent)
    # One window tells it within a tenth. Irregular stamps are bridged by straight lines, which smooth some of it away.
    assert 0.25 < float(np.mean(read)) < 0.3
    assert float(np.std(read)) < 0.04


def test_a_swing_that_dies_away_under_load_is_no_hunting() -> None:
    time_s = np.arange(0.0, 2.0, 0.01)
    lasting = SET * (1.0 + 0.012 * np.sin(2.0 * np.pi * 4.0 * time_s))
    dying = SET * (1.0 + 0.03 * np.exp(-2.5 * time_s) * np.sin(2.0 * np.pi * 4.0 * time_s))
    assert hunts_under_load(time_s, lasting, SET, 0.5) is not None
    assert hunts_under_load(time_s, dying, SET, 0.5) is None


def test_a_parabola_has_no_trend_left() -> None:
    u = np.linspace(0.0, 9.0, 300)
    assert np.abs(without_trend(3.0 - 2.0 * u + 0.5 * u * u)).max() < 1e-9


def test_noise_alone_makes_a_line_as_strong_about_as_often_as_is_said() -> None:
    rng = np.random.default_rng(21)
    time_s = np.arange(0.0, 12.0, 0.02)
    chances = []
    for _ in range(400):
        got = swing(time_s, SET * (1.0 + 0.0005 * rng.standard_normal(time_s.size)), SET)
        assert got is not None
        chances.append(got.chance)
    # Sums of neighbouring bins overlap and the floor is read from the record itself, so the chance is no exact one.
    assert 0.02 <= float(np.mean(np.array(chances) < 0.1)) <= 0.15
    assert float(np.mean(np.array(chances) < 1e-4)) < 0.01


def test_a_line_three_times_the_noise_is_no_chance() -> None:
    time_s, speed = record(3.1, 0.15, noise=0.05)
    got = swing(time_s, speed, SET)
    assert got is not None
    assert got.chance < 1e-6
