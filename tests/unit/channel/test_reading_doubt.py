import numpy as np
import pytest

from steadyhead.channel.reading_doubt import deviation_rpm, interval_factor, misfit_chance, offset_chance
from tests.unit.channel.bench import reading


def test_a_stated_spread_is_a_ninety_percent_half_width() -> None:
    draws = np.random.default_rng(3).normal(0.0, deviation_rpm(reading(80.0, 2000.0, 10.0)), 20000)
    assert np.mean(np.abs(draws) <= 10.0) == pytest.approx(0.9, abs=0.01)


def test_a_missing_spread_is_half_a_percent_and_no_spread_is_believed_under_a_fifth_of_one() -> None:
    assert deviation_rpm(reading(80.0, 2000.0, 0.0)) == pytest.approx(deviation_rpm(reading(80.0, 2000.0, 10.0)))
    assert deviation_rpm(reading(80.0, 2000.0, 0.1)) == pytest.approx(deviation_rpm(reading(80.0, 2000.0, 4.0)))


def test_stated_spreads_use_the_normal_quantile_whatever_the_misfit() -> None:
    assert interval_factor(9.0, 2, stated=True) == pytest.approx(1.6449, abs=1e-4)


def test_unstated_spreads_pool_the_stated_doubt_with_the_scatter() -> None:
    """Student's t at 0.95: 2.1318 with 4 degrees of freedom, 1.9432 with 6 (any printed table)."""
    assert interval_factor(0.0, 0, stated=False) == pytest.approx(2.1318, abs=1e-4)
    assert interval_factor(2.0, 2, stated=False) == pytest.approx(1.9432, abs=1e-4)
    assert interval_factor(20.0, 2, stated=False) == pytest.approx(1.9432 * 2.0, abs=1e-3)


def test_chances_are_those_of_printed_tables() -> None:
    """Chi-square 3.841 (1) and 5.991 (2), F 6.944 (2, 4), normal 1.96, t 2.776 (4): each 5 %."""
    assert misfit_chance(3.8415, 1, stated=True) == pytest.approx(0.05, abs=1e-4)
    assert misfit_chance(5.9915, 2, stated=True) == pytest.approx(0.05, abs=1e-4)
    assert misfit_chance(2 * 6.9443, 2, stated=False) == pytest.approx(0.05, abs=1e-4)
    assert offset_chance(-1.95996, 0.0, 0, stated=True) == pytest.approx(0.05, abs=1e-4)
    assert offset_chance(2.7764, 0.0, 0, stated=False) == pytest.approx(0.05, abs=1e-4)


def test_without_a_reading_left_over_nothing_is_refuted() -> None:
    assert misfit_chance(1e9, 0, stated=True) == 1.0
