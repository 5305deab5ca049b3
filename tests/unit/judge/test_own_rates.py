"""How often a channel brings a new value: a slow sensor is known by its beat, a switch that a hand moves is not slow.

Outside check: the times at which the values were made.
"""

import numpy as np
import pytest

from steadyhead.judge.own_rates import own_intervals_s

ROW_S = 0.05
TIME_S = ROW_S * np.arange(20_000)


def held(values: np.ndarray, every_s: float) -> np.ndarray:
    """Return what a logger writes of a sensor that speaks every `every_s` seconds."""
    return values[(np.floor(TIME_S / every_s) * every_s / ROW_S + 1e-9).astype(int)]


def switched(seed: int) -> np.ndarray:
    """Return the channel of an invented flyer who moves a switch of four positions sixty times."""
    rng = np.random.default_rng(seed)
    moves = np.sort(rng.uniform(0.0, TIME_S[-1], 60))
    return np.array([5.0, 12.0, 60.0, 75.0])[np.searchsorted(moves, TIME_S) % 4]


@pytest.mark.parametrize("seed", range(5))
def test_a_switch_that_is_moved_often_is_no_slow_channel(seed):
    assert own_intervals_s({"throttle_percent": switched(seed)}, TIME_S, ROW_S) == {}


@pytest.mark.parametrize("seed", range(5))
def test_such_a_switch_is_taken_as_slow_as_what_repeats_beside_it(seed):
    duty = held(0.6 + 0.05 * np.sin(TIME_S), 0.4)
    found = own_intervals_s({"throttle_percent": switched(seed), "duty": duty}, TIME_S, ROW_S)
    assert found == pytest.approx({"duty": 0.4, "throttle_percent": 0.4})


@pytest.mark.parametrize("every_s", [0.5, 1.0, 2.0])
def test_a_coarse_slow_sensor_that_comes_back_to_few_values_is_still_slow(every_s):
    coarse = np.round(held(0.6 + 0.2 * np.sin(0.9 * TIME_S), every_s), 1)
    assert np.unique(coarse).size <= 5
    assert own_intervals_s({"duty": coarse}, TIME_S, ROW_S)["duty"] == pytest.approx(every_s, rel=0.1)
