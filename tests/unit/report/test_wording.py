import math

import pytest

from steadyhead.report.check_tables import check_reason
from steadyhead.report.sentences import listed, sentence, tidy
from steadyhead.report.wording import (
    NOT_KNOWN,
    clock,
    duration,
    figure,
    limit_words,
    number,
    percent,
    ranged,
    room,
    span,
    value_words,
    verdict_figure,
)
from steadyhead.words.value import Origin, Value
from steadyhead.words.verdict import Limit, Verdict


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (2253.4, "rpm", "2250 rpm"),
        (0.012345, "ohm", "0.0123 Ω"),
        (5.0, "s", "5 s"),
        (0.0, "%", "0 %"),
        (-0.0001, "V", "−0.0001 V"),
        (123456.0, "W", "123000 W"),
        (42.0, "degC", "42 °C"),
        (5.25, "deg", "5.25°"),
        (999.6, "W", "1000 W"),
    ],
)
def test_figures_are_said_to_three_figures_with_their_unit(value: float, unit: str, said: str) -> None:
    assert figure(value, unit) == said


@pytest.mark.parametrize("value", [None, math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_known(value: float | None) -> None:
    assert number(value) == figure(value, "rpm") == ranged(value, (1.0, 2.0), "rpm") == NOT_KNOWN
    assert percent(value) == duration(value) == NOT_KNOWN


def test_an_interval_is_said_to_the_digit_it_supports() -> None:
    assert ranged(2253.0, (2243.0, 2263.0), "rpm") == "2250 rpm (2240–2270)"
    assert ranged(0.8123, (0.79, 0.83), "%") == "0.81 % (0.79–0.83)"
    assert ranged(4.0, None, "%") == "4 %"
    assert ranged(2004.2, (1991.0, 2207.4), "rpm", step=1.0) == "2004 rpm (1991–2208)"


@pytest.mark.parametrize(
    ("value", "ends", "said"),
    [
        (1560.0, (1554.0, 1800.0), "1560 rpm (1550–1800)"),
        (1600.4, (1500.0, 1800.0), "1600 rpm (1500–1800)"),
        (649.9, (480.0, 760.0), "650 rpm (480–760)"),
        (4.36, (3.1, 5.7), "4.4 rpm (3.1–5.7)"),
        (88.0, (65.0, 95.0), "88 rpm (65–95)"),
    ],
)
def test_a_wide_doubt_does_not_carry_a_figure_away(value: float, ends: tuple[float, float], said: str) -> None:
    assert ranged(value, ends, "rpm") == said


def test_a_figure_of_the_file_is_shown_as_it_stands_there() -> None:
    assert ranged(905.0, (869.0, 941.0), "rpm/V", stated=True) == "905 rpm/V (860–950)"
    assert ranged(12.25, (12.25, 12.25), "mohm", stated=True) == "12.25 mΩ"


def test_an_interval_through_zero_reads_without_two_dashes_in_a_row() -> None:
    assert ranged(0.5, (-1.0, 2.0), "V") == "0 V (−1 to 2)" or ranged(0.5, (-1.0, 2.0), "V") == "1 V (−1 to 2)"
    assert span((-2.0, 3.0), "V") == "−2 to 3 V"


def test_a_room_to_stay_inside_is_rounded_inwards() -> None:
    assert room((8.25, 21.75)) == "8.3–21.7 %"
    assert room((8.3, 21.7)) == "8.3–21.7 %"
    assert room((8.21, 8.29)) == "none"
    assert room(None) == NOT_KNOWN


def test_a_rounded_zero_carries_no_sign() -> None:
    assert number(-0.04, step=0.1) == "0.0"


def test_times_change_to_minutes_above_two_of_them() -> None:
    assert duration(90.0) == "90 s"
    assert duration(384.0, (354.0, 420.0)) == "6.4 min (5.9–7.0)"


def test_a_place_in_a_log_never_shows_sixty_seconds() -> None:
    assert clock(239.97) == "4:00.0"
    assert clock(64.5) == "1:04.5"


def test_signs_are_printed_as_people_write_them() -> None:
    assert tidy("gap is 3 us, limit >= 2 us") == "gap is 3 µs, limit ≥ 2 µs"
    assert tidy("it tells us more") == "it tells us more"
    assert sentence("weigh it") == "Weigh it."
    assert sentence("Done.") == "Done."


def test_long_lists_say_how_many_are_left_out() -> None:
    assert listed([]) == "none"
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(["a", "b", "c", "d"], most=2) == "a, b and 2 more"


def test_a_value_is_said_in_the_owners_unit() -> None:
    value = Value(number=12.0, unit="mohm", si=0.012, spread_si=0.0012, origin=Origin.MAKER)
    assert value_words(value) == "12 ± 1.2 mΩ"
    assert value_words(None) == NOT_KNOWN


def test_a_duty_is_said_in_percent() -> None:
    limit = Limit(value=0.95, unit="", origin="common practice, no source")
    assert verdict_figure(Verdict.at_most("duty_margin", 0.913, limit, what="duty")) == "91.3 %"


def test_a_check_without_a_figure_shows_a_dash() -> None:
    assert verdict_figure(Verdict.unknown("recovery", "no load change")) == "–"


def test_rounding_never_carries_a_figure_over_its_limit() -> None:
    limit = Limit(value=0.65, unit="", origin="common practice, no source")
    short = Verdict.at_least("hover_duty", 0.6485, limit, what="hover duty", interval=(0.63, 0.67))
    assert verdict_figure(short) == "64.8 % (63.0–67.0)" or verdict_figure(short) == "64.9 % (63.0–67.0)"
    assert limit_words(short) == "≥ 65 %"
    volts = Verdict.at_least("cell_voltage", 3.2996, Limit(value=3.3, unit="V", origin="x"), what="cell")
    assert verdict_figure(volts) == "3.2996 V"


def test_limits_are_said_with_their_unit_and_no_more_figures_than_help() -> None:
    assert (
        limit_words(Verdict.at_least("thrust", 90.0, Limit(value=88.2599, unit="N", origin="x"), what="t"))
        == "≥ 88.26 N"
    )
    assert (
        limit_words(Verdict.at_most("collective", 6.0, Limit(value=12.0, unit="deg", origin="x"), what="c")) == "≤ 12°"
    )
    assert limit_words(Verdict.unknown("thrust", "no limit")) == "–"


@pytest.mark.parametrize("figure", [0.7, 0.95, 0.3])
def test_the_reason_of_a_check_in_a_band_leaves_its_limits_to_their_column(figure):
    low, high = (Limit(value=value, unit="", origin="common practice, no source") for value in (0.5, 0.85))
    said = check_reason(Verdict.between("hover_duty", figure, low, high, what="hover duty"))
    assert said == f"Hover duty is {100.0 * figure:.0f} %."


def test_the_doubt_of_a_share_is_said_in_percent_as_the_share_is():
    limit = Limit(value=0.85, unit="", origin="common practice, no source")
    said = check_reason(Verdict.at_most("hover_duty", 0.8644, limit, what="hover duty", interval=(0.8231, 0.9054)))
    assert said == "Hover duty is 86.4 %, but its doubt runs from 82.3 % to 90.5 %: it may hold."


BAND = (Limit(value=10.0, unit="s", origin="maker"), Limit(value=25.0, unit="s", origin="maker"))


@pytest.mark.parametrize("took", [4.0, 15.0, 40.0])
def test_a_band_is_told_with_both_of_its_limits(took):
    verdict = Verdict.between("soft_start_time", took, *BAND, what="soft start")
    assert {"<= 25 s", ">= 10 s"} == set(verdict.limit_text.split(", "))
    assert limit_words(verdict) == "10 to 25 s"


def test_a_band_of_shares_is_told_in_percent():
    low, high = (Limit(value=value, unit="", origin="maker") for value in (0.65, 0.85))
    assert limit_words(Verdict.between("hover_duty", 0.6, low, high, what="hover duty")) == "65 to 85 %"
