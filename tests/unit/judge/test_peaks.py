"""What a peak may really have been behind a sensor that lags, errs and is read a few times a second."""

import numpy as np
import pytest

from steadyhead.judge.hunting import swing
from steadyhead.judge.transient import SLOW_SENSOR_S, behind_slow_sensor, peak_interval, row_noise
from tests.agrees import agrees
from tests.noisy_flight import low_passed

SET_RPM = 1900.0
FINE_S = 0.001


def flick(random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, float]:
    """Return a hidden moment of a head that runs over by some percent, and its true peak, percent; all invented."""
    time_s = np.arange(0.0, 6.0, FINE_S)
    height, rise_s, fall_s = random.uniform(0.5, 3.0), random.uniform(0.06, 0.3), random.uniform(0.06, 0.6)
    at_s = random.uniform(2.5, 3.5)
    away = np.where(time_s < at_s, (at_s - time_s) / rise_s, (time_s - at_s) / fall_s)
    shape = np.exp(-0.5 * (2.0 * away) ** 2)
    return time_s, SET_RPM * (1.0 + 0.01 * height * shape), height


@pytest.mark.parametrize("rate_hz", [20.0, 50.0, 200.0])
def test_the_interval_of_a_peak_holds_it(rate_hz):
    random = np.random.default_rng(31)
    held = 0
    for _ in range(200):
        time_s, true, height = flick(random)
        slow = low_passed(time_s, true, random.uniform(0.01, 0.06))
        rows = np.arange(random.uniform(0.0, 1.0 / rate_hz), 5.9, 1.0 / rate_hz)
        read = np.round(np.interp(rows, time_s, slow) + random.normal(0.0, 1.5, rows.size))
        peak = int(read.argmax())
        shown = (read[peak] / SET_RPM - 1.0) * 100.0
        low, high = peak_interval(read, peak, SET_RPM, 1.0 / rate_hz, shown, row_noise(read))
        held += low <= height <= high
    assert held >= 0.86 * 200


def test_the_noise_of_rows_is_told_from_what_moves():
    random = np.random.default_rng(32)
    time_s = np.arange(0.0, 40.0, 0.02)
    moves = 1900.0 + 30.0 * np.sin(2.0 * np.pi * 0.3 * time_s)
    noise = row_noise(moves + random.normal(0.0, 2.0, time_s.size))
    assert agrees(noise, 2.0, percent=6, because="2000 rows: a median scatters by some percent")
    assert row_noise(moves[:4]) == 0.0


def test_noise_alone_is_no_swing_at_its_low_end():
    random = np.random.default_rng(33)
    time_s = np.arange(0.0, 12.0, 0.02)
    line = swing(time_s, 1900.0 + random.normal(0.0, 2.0, time_s.size), SET_RPM)
    assert line is not None
    assert line.amplitude_percent > 0.0
    assert line.amplitude_percent_low == 0.0
    swung = swing(time_s, 1900.0 + 19.0 * np.sin(2.0 * np.pi * 3.0 * time_s) + random.normal(0.0, 2.0, 600), SET_RPM)
    assert swung is not None
    assert agrees(swung.amplitude_percent_low, 1.0, percent=5, because="little noise lies in the bins of a strong line")


@pytest.mark.parametrize("rate_hz", [25.0, 50.0, 100.0])
def test_what_a_slow_sensor_hid_is_found_back(rate_hz: float) -> None:
    """A head that overshoots by 7 % for a moment, read behind a first-order lag of 0.2 s, worked out row by row."""
    fine_s = np.arange(0.0, 10.0, 1e-3)
    truth = SET_RPM * (1.0 + 0.07 * np.exp(-(((fine_s - 5.0) / 0.25) ** 2)))
    read, gain = np.empty_like(truth), 1.0 - np.exp(-1e-3 / SLOW_SENSOR_S)
    read[0] = truth[0]
    for k in range(1, truth.size):
        read[k] = read[k - 1] + gain * (truth[k] - read[k - 1])
    rows = read[:: round(1000.0 / rate_hz)]
    peak = int(rows.argmax())
    shown, behind = (
        (rpm / SET_RPM - 1.0) * 100.0 for rpm in (rows[peak], behind_slow_sensor(rows, peak, 1.0 / rate_hz))
    )
    assert shown < 6.0
    assert behind == pytest.approx(7.0, abs=0.35)
