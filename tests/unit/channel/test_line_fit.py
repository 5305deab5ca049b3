import math

import numpy as np
import pytest

from steadyhead.channel.line_fit import Points, affine, level, proportional, zero_interval_percent
from tests.naive import channel_line as plain

PERCENT = [52.0, 61.0, 77.0, 90.0]
RPM = [1634.0, 1811.0, 2127.0, 2391.0]
DEVIATION = [3.0, 6.0, 4.0, 9.0]
POINTS = Points(np.array(PERCENT), np.array(RPM), np.array(DEVIATION), stated=True)


def test_a_line_is_that_of_the_plain_normal_equations() -> None:
    offset, slope, variance_at = plain.line(PERCENT, RPM, DEVIATION)
    line = affine(POINTS)
    assert line.rpm(0.0) == pytest.approx(offset, rel=1e-9)
    assert line.slope_rpm_per_percent == pytest.approx(slope, rel=1e-9)
    for at in (0.0, 52.0, 70.0, 100.0):
        assert line.deviation_rpm(at) == pytest.approx(math.sqrt(variance_at(at)), rel=1e-9)
    assert line.freedom == 2


def test_a_line_through_zero_is_that_of_the_plain_sums() -> None:
    slope, variance = plain.line_through_zero(PERCENT, RPM, DEVIATION)
    line = proportional(POINTS)
    assert line.slope_rpm_per_percent == pytest.approx(slope, rel=1e-12)
    assert line.slope_variance == pytest.approx(variance, rel=1e-12)
    assert line.rpm(0.0) == 0.0


def test_a_level_is_the_weighted_mean() -> None:
    flat = level(POINTS)
    weights = [1.0 / deviation**2 for deviation in DEVIATION]
    assert flat.rpm(33.0) == pytest.approx(sum(w * y for w, y in zip(weights, RPM, strict=True)) / sum(weights))
    assert flat.deviation_rpm(33.0) == pytest.approx(sum(weights) ** -0.5)


def test_the_ends_of_the_zero_interval_are_where_the_band_touches_zero() -> None:
    line = affine(POINTS)
    interval = zero_interval_percent(line, 1.645)
    assert interval is not None
    for end in interval:
        assert abs(line.rpm(end)) == pytest.approx(1.645 * line.deviation_rpm(end), rel=1e-6)
    assert interval[0] < line.percent(0.0) < interval[1]


def test_a_slope_that_may_be_zero_bounds_no_zero() -> None:
    line = affine(POINTS)
    assert zero_interval_percent(line, 1.01 * line.slope_rpm_per_percent / math.sqrt(line.slope_variance)) is None
