import math

import numpy as np
import pytest

from steadyhead.physics.polar_table import coefficients, is_stalled, mach_stretched, reynolds_row
from steadyhead.physics.section import constant_section, model_section, table_section


def test_a_polar_goes_round_the_circle_without_a_seam():
    section = model_section()
    for reynolds in (5e4, 2.4e5, 1e6):
        low = coefficients(section, -math.pi, reynolds, 0.3)
        high = coefficients(section, math.pi, reynolds, 0.3)
        assert low == pytest.approx(high, abs=1e-9)
        assert coefficients(section, 0.1 + 2.0 * math.pi, reynolds, 0.0) == pytest.approx(
            coefficients(section, 0.1, reynolds, 0.0)
        )


def test_no_step_of_a_tenth_of_a_degree_jumps():
    section = model_section()
    angles = np.arange(-math.pi, math.pi, math.radians(0.1))
    for reynolds in (5e4, 1.5e5, 1e6):
        values = np.array([coefficients(section, float(angle), reynolds, 0.4) for angle in angles])
        assert np.abs(np.diff(values, axis=0)).max() < 0.03


def test_drag_is_never_below_zero_lift_drag_of_the_best_reynolds_number():
    section = model_section()
    for alpha in np.linspace(-math.pi, math.pi, 721):
        assert coefficients(section, float(alpha), 2e5, 0.2)[1] > 0.007


def test_more_reynolds_number_means_less_drag_and_more_greatest_lift():
    section = model_section()
    drags = [coefficients(section, 0.05, reynolds, 0.0)[1] for reynolds in (5e4, 1e5, 2e5, 4e5, 8e5)]
    lifts = [coefficients(section, math.radians(10.0), reynolds, 0.0)[0] for reynolds in (5e4, 1e5, 2e5, 4e5, 8e5)]
    assert drags == sorted(drags, reverse=True)
    assert lifts == sorted(lifts)


def test_a_reynolds_number_beyond_the_table_takes_its_edge():
    section = model_section()
    assert coefficients(section, 0.1, 1e7, 0.0) == coefficients(section, 0.1, 1e6, 0.0)
    assert coefficients(section, 0.1, 0.0, 0.0) == coefficients(section, 0.1, 1e3, 0.0)


def test_between_two_reynolds_numbers_the_logarithm_counts():
    alpha = np.radians([-10.0, 0.0, 10.0])
    section = table_section(alpha, [[-1.0, 0.0, 1.0], [-2.0, 0.0, 2.0]], [[0.02] * 3, [0.04] * 3], [1e5, 1e6])
    lift, drag = coefficients(section, math.radians(5.0), math.sqrt(1e11), 0.0)
    assert lift == pytest.approx(0.75)
    assert drag == pytest.approx(0.03)


def test_mach_raises_the_slope_but_not_the_greatest_lift():
    section = model_section()
    slow, fast = (coefficients(section, 0.05, 3e5, mach)[0] for mach in (0.0, 0.5))
    assert fast / slow == pytest.approx(1.0 / math.sqrt(0.75), rel=0.05)
    angles = np.linspace(0.0, 0.5, 500)
    tops = [max(coefficients(section, float(a), 3e5, mach)[0] for a in angles) for mach in (0.0, 0.5)]
    assert tops[0] == pytest.approx(tops[1], rel=1e-3)


def test_mach_is_held_above_its_validity_and_fades_beyond_stall():
    assert mach_stretched(0.1, 0.9) == mach_stretched(0.1, 0.7)
    assert mach_stretched(1.0, 0.5) == 1.0
    assert mach_stretched(-0.2, 0.5) == -mach_stretched(0.2, 0.5)


def test_constants_know_no_mach_number():
    section = constant_section(5.75, 0.0113, 0.0, 0.75)
    assert coefficients(section, 0.1, 2e5, 0.0) == coefficients(section, 0.1, 2e5, 0.6)


@pytest.mark.parametrize(("degrees", "reynolds", "stalled"), [(10.0, 5e4, True), (10.0, 8e5, False), (0.0, 5e4, False)])
def test_stall_is_past_the_greatest_lift_of_that_reynolds_number(degrees, reynolds, stalled):
    section = model_section()
    for side in (1.0, -1.0):
        assert is_stalled(section, side * math.radians(degrees), reynolds) is stalled


def test_a_reynolds_number_finds_its_rows():
    section = model_section()
    last = section.polar.shape[1] - 1
    assert reynolds_row(section, 0.0) == (0, 1, 0.0)
    assert reynolds_row(section, 1e9) == (last, last, 0.0)
    row, above, weight = reynolds_row(section, 2e5)
    assert section.log_reynolds_low + (row + weight) * section.log_reynolds_step == pytest.approx(math.log(2e5))
    assert above == row + 1
