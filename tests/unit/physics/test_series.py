"""The polynomials against Python's own library, over the whole of their ranges."""

import math

import numpy as np
import pytest

from steadyhead.physics.series import angle_of, exp_falling, natural_log, quarter_turns


@pytest.mark.parametrize("value", [*np.geomspace(1e-300, 1e300, 401), *np.linspace(0.5, 2.0, 301)])
def test_the_logarithm_is_the_library_s(value):
    assert abs(natural_log(float(value)) - math.log(value)) <= 4e-16 * max(1.0, abs(math.log(value)))


@pytest.mark.parametrize("size", [1e-9, 1.0, 1e9])
def test_the_angle_is_the_library_s_all_the_way_round(size):
    for turn in np.linspace(-math.pi, math.pi, 1441):
        across, along = size * math.sin(turn), size * math.cos(turn)
        assert abs(angle_of(across, along) - math.atan2(across, along)) < 1e-15


def test_the_angle_of_an_axis_a_diagonal_and_of_nothing():
    ways = [(0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (-0.0, -1.0), (1.0, 1.0), (-2.0, -2.0), (0.0, 0.0)]
    for across, along in ways:
        assert angle_of(across, along) == pytest.approx(math.atan2(across, along), abs=5e-16)


def test_the_falling_exponential_is_the_library_s_and_stands_still_at_its_end():
    for exponent in np.linspace(0.0, 30.0, 3001):
        assert exp_falling(float(exponent)) == pytest.approx(math.exp(-exponent), rel=2e-14)
    assert exp_falling(1e9) == exp_falling(30.0)


def test_the_arc_cosine_is_the_library_s():
    for cosine in [
        *np.linspace(0.0, 1.0, 2001),
        *(1.0 - np.geomspace(1e-15, 1e-3, 60)),
        *np.geomspace(1e-16, 1e-3, 60),
    ]:
        assert quarter_turns(float(cosine)) == pytest.approx(2.0 / math.pi * math.acos(cosine), rel=1e-14)
    assert quarter_turns(1.0 + 1e-15) == 0.0
