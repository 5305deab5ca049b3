import math

import pytest

from steadyhead.channel.clamped_fit import best_clamped
from steadyhead.channel.fitted_law import Kind, head_speed_interval_rpm, head_speed_rpm, knots, percent_for, reach_rpm
from steadyhead.channel.law_result import law_result
from steadyhead.channel.result import Reading
from steadyhead.channel.set_point_law import points_of, set_point_law
from tests.unit.channel.bench import line_readings, reading

FLAT_CURVES = (reading(100.0, 2196.0, 0.0), reading(97.0, 2067.0, 0.0))
"""Two flat curves three percent apart. Common practice, no source."""


def bent(*percents: float, knee: float, above: bool) -> tuple[Reading, ...]:
    clip = min if above else max
    return tuple(reading(at, 590.0 + 20.0 * clip(at, knee)) for at in percents)


def test_two_flat_curves_three_percent_apart_refute_proportional() -> None:
    law = set_point_law(FLAT_CURVES)
    assert law.kind is Kind.AFFINE
    assert law_result(law, 0.0).slope_rpm_per_percent == pytest.approx(43.0)
    assert (
        "a law in proportion does not hold: through 2196 rpm at 100 % it would give 2130 rpm at 97 %, but 2067 was read"
        in law.because
    )
    assert not law.tested
    assert "read a third" in law.because
    assert law.residual_rpm is None


def test_no_reading_and_one_position_make_no_law() -> None:
    assert set_point_law(()).kind is Kind.UNKNOWN
    one = set_point_law((reading(80.0, 1710.0), reading(80.0, 1712.0)))
    assert one.kind is Kind.UNKNOWN
    assert "only one channel position was read (80 %)" in one.because
    assert law_result(one, 0.0).slope_rpm_per_percent is None
    assert law_result(one, 0.0).reach_rpm is None


def test_a_third_reading_on_the_line_tests_it() -> None:
    law = set_point_law(line_readings(57.0, 70.0, 83.0))
    answer = law_result(law, 22.0)
    assert law.kind is Kind.AFFINE
    assert law.tested
    assert answer.slope_rpm_per_percent == pytest.approx(20.0)
    assert answer.zero_percent == pytest.approx(-29.5)
    assert answer.residual_rpm == pytest.approx(0.0, abs=1e-9)
    assert answer.reach_rpm == pytest.approx((1030.0, 2590.0))


def test_readings_through_zero_keep_the_law_proportional() -> None:
    law = set_point_law(line_readings(50.0, 75.0, 100.0, offset_rpm=0.0))
    assert law.kind is Kind.PROPORTIONAL
    assert "0 % within the doubt" in law.because
    answer = law_result(law, 0.0)
    assert answer.zero_percent == pytest.approx(0.0)
    assert answer.zero_percent_interval is not None
    assert answer.zero_percent_interval[0] < -0.1
    assert answer.zero_percent_interval[1] > 0.1


@pytest.mark.parametrize("between", [(), (54.0,)])
def test_no_proportional_law_is_taken_from_readings_that_test_nothing(between: tuple[float, ...]) -> None:
    """A law with a dead band passes through two such readings as well, and lies 3 % off between them."""
    law = set_point_law(line_readings(50.0, *between, 95.0, offset_rpm=0.0))
    assert law.kind is Kind.AFFINE
    assert not law.tested
    assert "a law in proportion would hold, too, but no reading between the others tests" in law.because
    assert set_point_law(line_readings(50.0, 72.0, 95.0, offset_rpm=0.0)).kind is Kind.PROPORTIONAL


def test_a_proportional_law_keeps_the_doubt_of_an_offset_too_small_to_see() -> None:
    readings = line_readings(50.0, 75.0, 100.0, offset_rpm=0.0)
    law = set_point_law(readings)
    low, high = head_speed_interval_rpm(law, 60.0)
    assert law.rival is not None
    assert low <= law.rival.rpm(60.0) - law.factor * law.rival.deviation_rpm(60.0) + 1e-9
    assert high >= law.rival.rpm(60.0) + law.factor * law.rival.deviation_rpm(60.0) - 1e-9


def test_readings_close_together_cannot_speak_for_proportional() -> None:
    law = set_point_law(line_readings(97.0, 100.0, offset_rpm=0.0, slope=21.0))
    assert law.kind is Kind.AFFINE
    assert "too close together to tell" in law.because


def test_a_head_speed_that_stops_rising_is_a_ceiling() -> None:
    law = set_point_law(bent(50.0, 60.0, 70.0, 80.0, 90.0, 100.0, knee=82.0, above=True))
    answer = law_result(law, 22.0)
    assert law.kind is Kind.CEILING
    assert answer.ceiling_rpm == pytest.approx(2230.0)
    assert answer.floor_rpm is None
    assert "above 82 % the head speed stays at 2230 rpm" in law.because
    assert head_speed_rpm(law, 95.0) == pytest.approx(2230.0)
    assert answer.reach_rpm is not None
    assert answer.reach_rpm[1] == pytest.approx(2230.0)


def test_the_residual_is_the_scatter_about_the_law_for_each_reading_left_over() -> None:
    """Misses of 2, -4 and 2 rpm about 590 + 20 x, one reading left over: sqrt(4 + 16 + 4) = 4.9 rpm."""
    line = set_point_law((reading(60.0, 1792.0), reading(70.0, 1986.0), reading(80.0, 2192.0)))
    assert line.residual_rpm == pytest.approx(24.0**0.5)
    misses = (2.0, -2.0, -2.0, 2.0)
    four = tuple(reading(60.0 + 10.0 * i, 1790.0 + 200.0 * i + miss) for i, miss in enumerate(misses))
    assert set_point_law(four).residual_rpm == pytest.approx((16.0 / 2.0) ** 0.5)
    knee = set_point_law((*bent(50.0, 60.0, 70.0, knee=75.0, above=True), reading(90.0, 2088.0), reading(95.0, 2092.0)))
    assert knee.kind is Kind.CEILING
    assert knee.residual_rpm == pytest.approx((8.0 / 2.0) ** 0.5)


def test_a_slope_and_a_flat_that_do_not_meet_between_their_readings_are_no_knee() -> None:
    short = (reading(50.0, 1500.0), reading(60.0, 1700.0), reading(70.0, 1650.0), reading(80.0, 1650.0))
    jump = (reading(50.0, 1500.0), reading(60.0, 1700.0), reading(70.0, 2400.0), reading(80.0, 2400.0))
    meets = (reading(50.0, 1500.0), reading(60.0, 1700.0), reading(70.0, 1800.0), reading(80.0, 1800.0))
    assert best_clamped(points_of(short)) is None
    assert best_clamped(points_of(jump)) is None
    assert best_clamped(points_of(meets)) is not None


def test_a_head_speed_that_starts_level_is_a_floor() -> None:
    law = set_point_law(bent(30.0, 40.0, 50.0, 60.0, 70.0, 80.0, knee=45.0, above=False))
    answer = law_result(law, 22.0)
    assert law.kind is Kind.FLOOR
    assert answer.floor_rpm == pytest.approx(1490.0)
    assert head_speed_rpm(law, 25.0) == pytest.approx(1490.0)
    assert percent_for(law, 1490.0, 22.0, 100.0) == pytest.approx(45.0, abs=1e-6)


def test_a_flat_of_one_reading_is_no_flat() -> None:
    law = set_point_law(bent(60.0, 80.0, 100.0, knee=85.0, above=True))
    assert law.kind is Kind.PIECEWISE


def test_a_law_that_bends_all_along_is_piecewise_and_says_so() -> None:
    readings = tuple(reading(at, 2400.0 * math.sqrt(at / 100.0)) for at in (30.0, 45.0, 60.0, 75.0, 90.0))
    law = set_point_law(readings)
    answer = law_result(law, 22.0)
    assert law.kind is Kind.PIECEWISE
    assert "the law flattens all along" in law.because
    assert answer.slope_rpm_per_percent is None
    assert answer.reach_rpm == pytest.approx((readings[0].head_speed_rpm, readings[-1].head_speed_rpm))
    low, high = head_speed_interval_rpm(law, 52.0)
    assert readings[1].head_speed_rpm < low < 2400.0 * math.sqrt(0.52) < high < readings[2].head_speed_rpm


def test_a_law_that_bends_to_and_fro_is_bounded_by_its_rise_alone() -> None:
    law = set_point_law((reading(50.0, 1300.0), reading(60.0, 1750.0), reading(80.0, 1900.0), reading(90.0, 2400.0)))
    assert law.kind is Kind.PIECEWISE
    assert "only the rise is certain" in law.because
    low, high = head_speed_interval_rpm(law, 70.0)
    assert (low, high) == pytest.approx((1745.0, 1905.0))


def test_a_reading_off_the_line_is_named() -> None:
    readings = (*line_readings(50.0, 60.0, 80.0, 90.0), reading(70.0, 2040.0))
    law = set_point_law(readings)
    assert law.kind is Kind.PIECEWISE
    assert "2040 rpm at 70 %" in law.because


def test_a_channel_that_moves_nothing_makes_no_tested_law() -> None:
    law = set_point_law(tuple(reading(at, 1990.0 - 0.01 * at) for at in (50.0, 70.0, 90.0)))
    assert law.kind is Kind.PIECEWISE
    assert not law.tested
    assert "check that the channel reaches the controller" in law.because


def test_scatter_widens_the_doubt_where_no_spread_was_stated() -> None:
    tidy = set_point_law(tuple(reading(at, 590.0 + 20.0 * at, 0.0) for at in (50.0, 60.0, 70.0, 80.0)))
    rough = set_point_law(
        tuple(reading(at, 590.0 + 20.0 * at + off, 0.0) for at, off in ((50.0, 9), (60.0, -9), (70.0, -9), (80.0, 9)))
    )
    assert tidy.kind is rough.kind is Kind.AFFINE
    assert rough.factor > tidy.factor


def test_knots_draw_the_law_with_its_knee() -> None:
    law = set_point_law(bent(50.0, 60.0, 70.0, 80.0, 90.0, 100.0, knee=82.0, above=True))
    drawn = knots(law, 22.0)
    assert [at for at, _ in drawn] == pytest.approx([22.0, 82.0, 100.0])
    assert [rpm for _, rpm in drawn] == pytest.approx([1030.0, 2230.0, 2230.0])
    assert reach_rpm(law, 22.0) == pytest.approx((1030.0, 2230.0))


def test_an_offset_the_readings_cannot_bound_has_no_interval() -> None:
    answer = law_result(set_point_law((reading(80.0, 1990.0, 40.0), reading(81.0, 2010.0, 40.0))), 0.0)
    assert answer.zero_percent_interval is None
