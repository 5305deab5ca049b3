import math

import pytest

from steadyhead.channel.bow import bow_doubt_rpm, bow_would_show
from steadyhead.channel.set_point_law import points_of, set_point_law
from tests.unit.channel.bench import line_readings, reading


def test_three_even_readings_show_a_bow_by_its_textbook_standard_error() -> None:
    """Equal doubts s: the bow is y2 - (y1 + y3) / 2, its standard error s sqrt(1.5)."""
    points = points_of(line_readings(60.0, 70.0, 80.0, spread_rpm=1.0 * 1.6449 * 3.0))
    assert bow_doubt_rpm(points, 1.0) == pytest.approx(3.0 * math.sqrt(1.5), rel=1e-4)


def test_readings_repeated_at_two_positions_test_no_line() -> None:
    repeated = (reading(57.0, 1729.0), reading(57.0, 1731.0), reading(83.0, 2249.0), reading(83.0, 2251.0))
    assert bow_doubt_rpm(points_of(repeated), 1.645) == math.inf
    law = set_point_law(repeated)
    assert not law.tested
    assert "read a third" in law.because


def test_a_third_reading_beside_another_tests_next_to_nothing() -> None:
    beside, between = points_of(line_readings(57.0, 57.3, 83.0)), points_of(line_readings(57.0, 70.0, 83.0))
    assert not bow_would_show(beside, 1.645)
    assert bow_would_show(between, 1.645)
    assert "read one more between them" in set_point_law(line_readings(57.0, 57.3, 83.0)).because


def test_the_slope_below_a_ceiling_needs_a_test_of_its_own() -> None:
    flat = (reading(90.0, 2090.0), reading(95.0, 2090.0))
    assert not set_point_law((*line_readings(55.0, 70.0), *flat)).tested
    assert set_point_law((*line_readings(55.0, 62.0, 70.0), *flat)).tested


def test_a_sure_reading_close_beside_another_tests_no_line() -> None:
    """A law of two straight parts that bends mid-span hides from it, however small the spread."""
    for beside in (61.0, 63.9, 76.5):
        points = points_of(line_readings(60.0, beside, 80.0, spread_rpm=0.5))
        assert bow_doubt_rpm(points, 1.645) < 0.03 * float(points.rpm.max())
        assert not bow_would_show(points, 1.645)
    assert bow_would_show(points_of(line_readings(60.0, 64.0, 80.0, spread_rpm=0.5)), 1.645)
