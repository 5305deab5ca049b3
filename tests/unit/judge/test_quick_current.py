"""How high a current may have been behind a sensor that smooths: held against the true current that made it."""

import numpy as np
import pytest

from steadyhead.judge.quick_current import SMOOTHED_S, unseen_peak_a
from steadyhead.judge.segments import Stretch
from tests.unit.judge.made_signals import made

STEP_S = 0.001
SPOOL = Stretch(kind="quick_spool", start_s=5.0, end_s=7.0, asked_s=4.9)


def sensed(rows_s: float, noise_a: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Return times, a smoothed current with noise, and the highest true current of a restart."""
    time_s = np.arange(0.0, 10.0, STEP_S)
    true = 20.0 + 100.0 * np.exp(-(((time_s - 5.2) / 0.06) ** 2)) * (time_s > 5.0)
    seen = np.empty_like(true)
    now = true[0]
    for k, value in enumerate(true):
        now += STEP_S / SMOOTHED_S * (value - now)
        seen[k] = now
    every = round(rows_s / STEP_S)
    noise = noise_a * np.random.default_rng(7).standard_normal(seen[::every].size)
    return time_s[::every], seen[::every] + noise, float(true.max())


@pytest.mark.parametrize("rows_s", [0.01, 0.02, 0.04])
def test_the_true_peak_lies_between_what_was_seen_and_what_may_be(rows_s: float) -> None:
    time_s, current, true = sensed(rows_s, noise_a=0.3)
    high, at_s = unseen_peak_a(made(time_s, pack_current_a=current), (SPOOL,))
    assert current.max() < 0.9 * true
    assert 0.93 * true < high < 1.25 * true
    assert at_s == pytest.approx(5.2, abs=0.1)


def test_noise_alone_raises_nothing_much() -> None:
    time_s = np.arange(0.0, 10.0, 0.02)
    current = 30.0 + 0.5 * np.random.default_rng(3).standard_normal(time_s.size)
    high, _ = unseen_peak_a(made(time_s, pack_current_a=current), (SPOOL,))
    assert high < 33.0


def test_without_a_quick_restart_there_is_none() -> None:
    time_s, current, _ = sensed(0.02, noise_a=0.3)
    assert unseen_peak_a(made(time_s, pack_current_a=current), ())[0] == 0.0
