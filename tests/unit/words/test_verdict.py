import math

import pytest

from steadyhead.words.verdict import Limit, Outcome, Verdict, worst

DUTY = Limit(value=0.95, unit="", origin="machine file, measured")
LOW = Limit(value=0.65, unit="", origin="common practice, no source")


@pytest.mark.parametrize(
    ("figure", "interval", "outcome"),
    [
        (0.90, (0.85, 0.94), Outcome.PASS),
        (0.90, (0.85, 0.96), Outcome.UNKNOWN),
        (0.96, (0.90, 0.99), Outcome.FAIL),
        (0.97, (0.96, 0.99), Outcome.FAIL),
        (0.95, None, Outcome.PASS),
        (math.nan, None, Outcome.UNKNOWN),
        (0.90, (0.85, math.nan), Outcome.UNKNOWN),
        (0.90, (0.85, math.inf), Outcome.UNKNOWN),
    ],
)
def test_a_figure_passes_only_when_its_whole_interval_keeps_the_limit(figure, interval, outcome):
    assert Verdict.at_most("duty_margin", figure, DUTY, what="duty", interval=interval).verdict is outcome


def test_the_reason_says_when_the_doubt_reaches_over_the_limit():
    judged = Verdict.at_most("duty_margin", 0.9, DUTY, what="duty", interval=(0.85, 0.96))
    assert "may not hold" in judged.reason
    assert judged.needs == ("a smaller doubt on duty",)


def test_an_unknown_limit_is_unknown_and_keeps_the_figure():
    judged = Verdict.at_most("motor_current", 60.0, None, what="motor current")
    assert judged.verdict is Outcome.UNKNOWN
    assert judged.figure == 60.0
    assert judged.needs


@pytest.mark.parametrize(
    ("figure", "interval", "outcome", "limit"),
    [
        (0.80, (0.75, 0.85), Outcome.PASS, 0.95),
        (0.60, (0.55, 0.64), Outcome.FAIL, 0.65),
        (0.99, (0.98, 1.00), Outcome.FAIL, 0.95),
        (0.70, (0.60, 0.80), Outcome.UNKNOWN, 0.65),
    ],
)
def test_a_band_is_judged_by_its_worse_end(figure, interval, outcome, limit):
    judged = Verdict.between("hover_duty", figure, LOW, DUTY, what="hover duty", interval=interval)
    assert judged.verdict is outcome
    assert judged.limit == limit


def test_a_pass_in_a_band_says_both_ends():
    judged = Verdict.between("hover_duty", 0.7, LOW, DUTY, what="hover duty", interval=(0.68, 0.72))
    assert f"limits {LOW.value:.4g} to {DUTY.value:.4g}" in judged.reason
    assert LOW.origin in judged.reason
    assert DUTY.origin in judged.reason
    high = Verdict.between("hover_duty", 2.0, LOW, DUTY, what="hover duty")
    assert "limits" not in high.reason


def test_of_no_checks_the_outcome_is_unknown():
    assert worst(()) is Outcome.UNKNOWN


def test_a_figure_just_off_its_limit_is_told_with_digits_that_show_it():
    near = Verdict.at_least("speed", 1991.8, Limit(value=1992.0, unit="rpm", origin="test"), what="head speed")
    assert near.verdict is Outcome.FAIL
    assert "is 1991.8 rpm, limit >= 1992 rpm" in near.reason
    met = Verdict.at_least("speed", 1992.0, Limit(value=1992.0, unit="rpm", origin="test"), what="head speed")
    assert "is 1992 rpm, limit >= 1992 rpm" in met.reason
