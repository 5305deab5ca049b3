import math

import numpy as np
import pytest

from steadyhead.plan.intervals import spread


def test_independent_doubts_add_as_squares():
    central = np.array([10.0])
    got = spread(central, {"a": (central - 3.0, central + 3.0), "b": (central + 4.0, central - 4.0)})
    assert got.low[0] == pytest.approx(5.0)
    assert got.high[0] == pytest.approx(15.0)


def test_the_shares_say_which_input_carries_the_doubt():
    central = np.array([10.0])
    got = spread(central, {"a": (central - 3.0, central + 3.0), "b": (central + 4.0, central - 4.0)})
    assert list(got.shares((0,))) == ["b", "a"]
    assert got.shares((0,))["b"] == pytest.approx(16.0 / 25.0)
    assert sum(got.shares((0,)).values()) == pytest.approx(1.0)


def test_a_figure_stopped_on_one_side_has_no_doubt_there():
    central = np.array([1.0])
    got = spread(central, {"a": (np.array([0.8]), np.array([1.0]))})
    assert (got.low[0], got.high[0]) == (pytest.approx(0.8), pytest.approx(1.0))


def test_a_move_without_an_answer_leaves_the_interval_unknown():
    central = np.array([1.0])
    got = spread(central, {"a": (np.array([math.nan]), np.array([1.1]))})
    assert math.isnan(got.low[0])
    assert math.isnan(got.high[0])
    assert got.shares((0,)) == {}


def test_without_doubtful_inputs_there_is_no_doubt():
    got = spread(np.array([2.0]), {})
    assert (got.low[0], got.high[0]) == (2.0, 2.0)
    assert got.shares((0,)) == {}
