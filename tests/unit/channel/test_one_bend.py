import math

import numpy as np
import pytest

from steadyhead.channel.line_fit import Points
from steadyhead.channel.one_bend import bend_bounds_rpm, bend_of

PERCENT = np.array([30.0, 45.0, 60.0, 75.0, 90.0])
EXACT = np.full(5, 1e-9)
FLATTENING = Points(PERCENT, 2400.0 * np.sqrt(PERCENT / 100.0), EXACT, True)
STEEPENING = Points(PERCENT, 2400.0 * (PERCENT / 100.0) ** 2, EXACT, True)


def test_the_sense_of_the_bend_is_that_of_every_slope() -> None:
    assert bend_of(FLATTENING) == -1
    assert bend_of(STEEPENING) == 1
    assert bend_of(FLATTENING.part(0, 3)) == 0
    assert bend_of(Points(PERCENT, np.array([600.0, 900.0, 1300.0, 1600.0, 2000.0]), EXACT, True)) == 0


@pytest.mark.parametrize("at", [33.0, 47.0, 52.0, 66.0, 74.0, 88.0])
def test_a_bent_law_lies_between_its_bounds_and_they_are_far_closer_than_the_rise(at: float) -> None:
    for points, truth in ((FLATTENING, 2400.0 * math.sqrt(at / 100.0)), (STEEPENING, 2400.0 * (at / 100.0) ** 2)):
        low, high = bend_bounds_rpm(points, at, 1.645, bend_of(points))
        assert low <= truth <= high
        if 45.0 < at < 75.0:
            rise = np.interp(at + 7.5, PERCENT, points.rpm) - np.interp(at - 7.5, PERCENT, points.rpm)
            assert high - low < 0.35 * rise


def test_the_doubt_of_the_readings_widens_the_bounds() -> None:
    doubted = FLATTENING._replace(deviation_rpm=np.full(5, 3.0))
    sure_low, sure_high = bend_bounds_rpm(FLATTENING, 52.0, 1.645, -1)
    low, high = bend_bounds_rpm(doubted, 52.0, 1.645, -1)
    assert low == pytest.approx(sure_low - 1.645 * 3.0, abs=1e-6)
    assert high > sure_high + 1.645 * 3.0


def test_a_position_that_was_read_keeps_its_own_doubt() -> None:
    doubted = FLATTENING._replace(deviation_rpm=np.full(5, 3.0))
    low, high = bend_bounds_rpm(doubted, 60.0, 2.0, -1)
    assert (low, high) == pytest.approx((FLATTENING.rpm[2] - 6.0, FLATTENING.rpm[2] + 6.0))


def test_beyond_the_readings_there_are_no_bounds() -> None:
    assert bend_bounds_rpm(FLATTENING, 95.0, 1.645, -1) == (-np.inf, np.inf)
