import numpy as np
import pytest

from steadyhead.channel.line_fit import Points
from steadyhead.channel.monotone_fit import bounds_rpm, merged_positions, monotone_curve, rising
from tests.naive import channel_line as plain


def test_the_rising_row_is_that_of_plain_pooling() -> None:
    draw = np.random.default_rng(5)
    for _ in range(40):
        rpm = 1500.0 + np.cumsum(draw.normal(5.0, 40.0, 9))
        deviation = draw.uniform(2.0, 20.0, 9)
        points = Points(np.arange(9.0), rpm, deviation, stated=True)
        assert rising(points).rpm == pytest.approx(plain.pooled_rising(rpm.tolist(), deviation.tolist()), rel=1e-12)


def test_readings_at_one_position_become_their_weighted_mean() -> None:
    points = Points(np.array([60.0, 60.0, 80.0]), np.array([1800.0, 1806.0, 2200.0]), np.array([2.0, 1.0, 3.0]), True)
    merged = merged_positions(points)
    assert merged.percent.tolist() == [60.0, 80.0]
    assert merged.rpm.tolist() == pytest.approx([(1800.0 / 4.0 + 1806.0) / 1.25, 2200.0])
    assert merged.deviation_rpm.tolist() == pytest.approx([1.25**-0.5, 3.0])


def test_the_curve_passes_the_positions_and_never_falls() -> None:
    points = Points(np.array([40.0, 60.0, 65.0, 90.0]), np.array([1400.0, 1500.0, 1900.0, 1910.0]), np.ones(4), True)
    curve = monotone_curve(points)
    assert [curve(at) for at in points.percent] == pytest.approx(points.rpm.tolist())
    along = [curve(at) for at in np.linspace(30.0, 100.0, 200)]
    assert np.all(np.diff(along) >= -1e-9)
    assert (along[0], along[-1]) == (1400.0, 1910.0)


def test_bounds_come_from_the_neighbours_and_end_with_the_readings() -> None:
    points = Points(np.array([40.0, 60.0]), np.array([1400.0, 1500.0]), np.array([2.0, 3.0]), True)
    assert bounds_rpm(points, 50.0, 2.0) == (1396.0, 1506.0)
    assert bounds_rpm(points, 40.0, 2.0) == (1396.0, 1404.0)
    assert bounds_rpm(points, 39.0, 2.0)[0] == -np.inf
    assert bounds_rpm(points, 61.0, 2.0)[1] == np.inf
