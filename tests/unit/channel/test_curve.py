import pytest

from steadyhead.channel.curve import expected, head_speed_limit, mode_curve, todays_curve
from steadyhead.channel.result import Reading
from steadyhead.channel.set_point_law import set_point_law
from steadyhead.channel.setting import Mode
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import line_readings, pulse, reading, setting

TESTED = set_point_law(line_readings(57.0, 70.0, 83.0))


def mode(head_speed_rpm: float, today: float | None = None) -> Mode:
    return Mode("idle-up 1", head_speed_rpm, today)


def test_a_target_inside_a_tested_law_gets_its_curve_value() -> None:
    curve = mode_curve(TESTED, mode(1990.0), setting())
    assert curve.verdict is Outcome.PASS
    assert curve.curve_percent == pytest.approx(70.0)
    assert curve.curve_us == pytest.approx(1660.0)
    assert curve.expected_rpm == pytest.approx(1990.0)
    assert curve.rpm_per_step == pytest.approx(20.0 * 0.125)


def test_the_curve_value_lands_on_a_step_and_the_interval_holds_half_a_step() -> None:
    coarse = setting(pulse=pulse(step_us=8.0))
    curve = mode_curve(TESTED, mode(1997.0), coarse)
    fine = mode_curve(TESTED, mode(1990.0), setting(pulse=pulse(step_us=0.0)))
    assert curve.curve_percent == pytest.approx(70.0)
    assert curve.rpm_per_step == pytest.approx(20.0)
    assert curve.expected_rpm_interval is not None
    assert fine.expected_rpm_interval is not None
    assert curve.expected_rpm_interval[1] - fine.expected_rpm_interval[1] == pytest.approx(10.0, rel=0.1)


def test_steps_too_coarse_for_the_target_fail() -> None:
    curve = mode_curve(TESTED, mode(1830.0), setting(pulse=pulse(step_us=40.0)))
    assert curve.verdict is Outcome.FAIL
    assert "too coarse" in curve.reason


@pytest.mark.parametrize("target", [2700.0, 900.0])
def test_a_target_out_of_reach_fails_and_names_the_reachable_range(target: float) -> None:
    curve = mode_curve(TESTED, mode(target), setting())
    assert curve.verdict is Outcome.FAIL
    assert "1030 to 2590 rpm over 22 to 100 %" in curve.reason
    assert curve.curve_percent is None


def test_a_target_just_beyond_reach_but_inside_the_doubt_is_unknown() -> None:
    wide = set_point_law(line_readings(57.0, 70.0, 83.0, spread_rpm=20.0))
    curve = mode_curve(wide, mode(2600.0), setting())
    assert curve.verdict is Outcome.UNKNOWN
    assert "leaves it open" in curve.reason


BOWED = set_point_law((reading(40.0, 1801.4, 4.0), reading(58.0, 2105.0, 4.0), reading(76.0, 2299.5, 4.0)))
CAPPED = set_point_law(tuple(reading(at, 590.0 + 20.0 * min(at, 80.0), 4.0) for at in (50.0, 65.0, 78.0, 85.0, 95.0)))


@pytest.mark.parametrize(
    ("law", "target", "percent"), [(BOWED, 1800.0, 40.0), (BOWED, 2301.0, 76.0), (CAPPED, 2191.0, 85.0)]
)
def test_a_target_within_the_doubt_of_the_reading_at_the_edge_is_taken_there(law, target, percent) -> None:
    """Read was 1801 +- 4 rpm, asked for are 1800: the same position, not one that is out of reach."""
    curve = mode_curve(law, mode(target), setting())
    assert curve.verdict is Outcome.PASS, curve.reason
    assert curve.curve_percent == pytest.approx(percent, abs=0.13)


@pytest.mark.parametrize(("law", "target"), [(BOWED, 1790.0), (BOWED, 2310.0), (CAPPED, 2230.0)])
def test_a_target_beyond_the_doubt_of_the_reading_at_the_edge_stays_out_of_reach(law, target) -> None:
    curve = mode_curve(law, mode(target), setting())
    assert curve.verdict is not Outcome.PASS
    assert "out of reach" in curve.reason


def test_a_target_outside_the_readings_is_expected_with_more_doubt_and_stays_unknown() -> None:
    inside = mode_curve(TESTED, mode(1990.0), setting())
    outside = mode_curve(TESTED, mode(2450.0), setting())
    assert outside.verdict is Outcome.UNKNOWN
    assert "outside the readings (57 to 83 %)" in outside.reason
    assert outside.curve_percent == pytest.approx(93.0)
    assert inside.expected_rpm_interval is not None
    assert outside.expected_rpm_interval is not None
    assert width(outside.expected_rpm_interval) > 1.5 * width(inside.expected_rpm_interval)


def test_two_readings_hold_a_target_at_a_reading_but_not_between() -> None:
    two = set_point_law(line_readings(57.0, 83.0))
    assert mode_curve(two, mode(1730.0), setting()).verdict is Outcome.PASS
    between = mode_curve(two, mode(1990.0), setting())
    assert between.verdict is Outcome.UNKNOWN
    assert "no reading tests the law" in between.reason


def test_a_tested_law_with_too_much_doubt_is_unknown() -> None:
    vague = set_point_law(line_readings(57.0, 65.0, 70.0, 75.0, 83.0, spread_rpm=44.0))
    assert vague.tested
    curve = mode_curve(vague, mode(1730.0), setting())
    assert curve.verdict is Outcome.UNKNOWN
    assert "more than 2 % of the target" in curve.reason


def test_no_law_gives_no_curve_value_and_never_passes() -> None:
    curve = mode_curve(set_point_law(()), mode(1990.0), setting())
    assert curve.verdict is Outcome.UNKNOWN
    assert curve.curve_percent is None
    assert "no reading yet" in curve.reason


def test_beyond_a_piecewise_law_nothing_is_known() -> None:
    bent = set_point_law((reading(50.0, 1300.0), reading(60.0, 1700.0), reading(70.0, 1800.0), reading(80.0, 2400.0)))
    assert mode_curve(bent, mode(2500.0), setting()).verdict is Outcome.UNKNOWN
    assert mode_curve(bent, mode(2400.0), setting()).verdict is Outcome.PASS
    at_the_top = mode_curve(bent, mode(2400.0), setting()).expected_rpm_interval
    assert at_the_top is not None
    assert at_the_top[1] < 2420.0
    today = todays_curve(bent, mode(2500.0, 95.0), setting())
    assert today is not None
    assert today.verdict is Outcome.UNKNOWN
    assert today.figure_interval is None


def test_a_ceiling_below_the_target_fails() -> None:
    readings: tuple[Reading, ...] = (*line_readings(50.0, 60.0, 70.0), reading(90.0, 2200.0), reading(100.0, 2201.0))
    curve = mode_curve(set_point_law(readings), mode(2300.0), setting())
    assert curve.verdict is Outcome.FAIL
    assert "out of reach" in curve.reason


def test_todays_value_is_judged_against_the_steady_band() -> None:
    right = todays_curve(TESTED, mode(1990.0, 70.0), setting())
    wrong = todays_curve(TESTED, mode(1990.0, 67.0), setting())
    assert right is not None
    assert wrong is not None
    assert right.verdict is Outcome.PASS
    assert wrong.verdict is Outcome.FAIL
    assert wrong.figure == pytest.approx(100.0 * 60.0 / 1990.0)
    assert todays_curve(TESTED, mode(1990.0), setting()) is None


def test_todays_value_far_outside_the_readings_is_not_judged_by_a_line_drawn_to_there() -> None:
    verdict = todays_curve(TESTED, mode(1990.0, 99.0), setting())
    assert verdict is not None
    assert verdict.verdict is Outcome.UNKNOWN
    assert "outside the readings" in verdict.reason


def test_todays_value_between_two_untested_readings_never_passes() -> None:
    verdict = todays_curve(set_point_law(line_readings(57.0, 83.0)), mode(1990.0, 70.0), setting())
    assert verdict is not None
    assert verdict.verdict is Outcome.UNKNOWN


def test_the_head_makers_limit_is_held_against_the_whole_interval() -> None:
    curve = mode_curve(TESTED, mode(2250.0), setting())
    assert curve.expected_rpm_interval is not None
    high = curve.expected_rpm_interval[1]
    for limit, outcome in ((high + 1.0, Outcome.PASS), (high - 1.0, Outcome.UNKNOWN), (2200.0, Outcome.FAIL)):
        verdict = head_speed_limit(curve, setting(head_speed_max_rpm=limit, head_speed_max_origin="maker"))
        assert verdict is not None
        assert verdict.verdict is outcome
    assert head_speed_limit(curve, setting()) is None
    unsure = mode_curve(TESTED, mode(2450.0), setting())
    verdict = head_speed_limit(unsure, setting(head_speed_max_rpm=3000.0, head_speed_max_origin="maker"))
    assert verdict is not None
    assert verdict.verdict is Outcome.UNKNOWN


def test_expected_head_speed_is_that_of_the_landed_pulse() -> None:
    got = expected(TESTED, 70.3, setting(pulse=pulse(step_us=8.0)))
    assert got.percent == pytest.approx(70.0)
    assert got.rpm == pytest.approx(1990.0)


def width(interval: tuple[float, float]) -> float:
    return interval[1] - interval[0]


def test_a_position_that_was_read_is_judged_by_its_reading_and_may_not_hold_by_its_neighbours() -> None:
    """A law that only rises leaves much open between two readings; at a reading it leaves none."""
    bent = set_point_law((reading(57.0, 1950.0), reading(67.0, 2260.0), reading(77.0, 2450.0)))
    assert bent.kind == "monotone piecewise"
    off = todays_curve(bent, mode(2000.0, 67.0), setting())
    assert off is not None
    assert off.verdict is Outcome.FAIL
    assert "may hold" not in off.reason
    met = todays_curve(bent, mode(2260.0, 67.0), setting())
    assert met is not None
    assert met.verdict is Outcome.PASS
    between = expected(bent, 62.0, setting())
    assert between.interval_rpm[0] < 1950.0
    assert between.interval_rpm[1] > 2260.0


@pytest.mark.parametrize("target_rpm", [1948.0, 2452.0])
def test_a_target_within_the_doubt_of_the_outermost_reading_gets_its_position(target_rpm) -> None:
    bent = set_point_law((reading(57.0, 1950.0), reading(67.0, 2260.0), reading(77.0, 2450.0)))
    curve = mode_curve(bent, mode(target_rpm), setting())
    assert curve.curve_percent == pytest.approx(57.0 if target_rpm < 2000.0 else 77.0, abs=0.2)
    assert curve.verdict is Outcome.PASS
    far = mode_curve(bent, mode(1900.0), setting())
    assert far.curve_percent is None
    assert "out of reach" in far.reason
