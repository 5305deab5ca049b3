"""Median, percentile, mean and line of short pieces: the same figures as the general routines."""

import numpy as np
import pytest

from steadyhead.judge.pieces import deviation, line, mean, median, percentile, percentile_in_order


@pytest.mark.parametrize("count", [1, 2, 3, 10, 101, 4096])
@pytest.mark.parametrize("digits", [0, 12])
def test_a_piece_has_the_median_mean_and_percentiles_of_the_general_routines(count: int, digits: int) -> None:
    values = np.round(np.random.default_rng(count).normal(5.0, 3.0, count), digits)
    assert median(values) == np.median(values)
    assert mean(values) == np.mean(values)
    assert deviation(values) == np.std(values)
    for percent in (0.0, 2.0, 10.0, 50.0, 90.0, 95.0, 99.9, 100.0):
        assert percentile(values, percent) == np.percentile(values, percent)
        assert percentile_in_order(np.sort(values), percent) == np.percentile(values, percent)


def test_the_median_and_percentile_of_nothing_are_not_a_number() -> None:
    assert np.isnan(median(np.empty(0)))
    assert np.isnan(percentile(np.empty(0), 95.0))
    assert np.isnan(percentile_in_order(np.empty(0), 95.0))


def test_a_piece_is_left_in_its_order() -> None:
    values = np.array([3.0, 1.0, 2.0])
    median(values)
    percentile(values, 90.0)
    assert values.tolist() == [3.0, 1.0, 2.0]


def test_a_line_through_noise_is_the_least_squares_line() -> None:
    x = np.linspace(2000.0, 2003.0, 301)
    y = 40.0 * (x - 2001.0) + np.random.default_rng(3).normal(0.0, 5.0, x.size)
    slope, level = np.polyfit(x - 2000.0, y, 1)
    found = line(x - 2000.0, y)
    assert found == pytest.approx((slope, level), rel=1e-12)
