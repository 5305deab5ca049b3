import pytest

from steadyhead.channel.end_points import TENTHS, end_points, travel_that_lands
from steadyhead.channel.result import EndPoints
from steadyhead.channel.setting import Doubted
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.channel.bench import pulse, setting


def check(ends: EndPoints, name: str) -> Verdict:
    return next(verdict for verdict in ends.checks if verdict.check == name)


def test_ends_on_the_learned_ends_pass() -> None:
    ends = end_points(setting())
    assert {verdict.verdict for verdict in ends.checks} == {Outcome.PASS}
    assert (ends.low_us, ends.high_us) == (1100.0, 1900.0)
    assert (ends.low_travel_percent, ends.high_travel_percent) == (100.0, 100.0)


def test_a_low_end_short_of_the_learned_one_fails_and_says_what_goes_wrong() -> None:
    verdict = check(end_points(setting(learned_low_us=Doubted(1080.0))), "low_end_reaches")
    assert verdict.verdict is Outcome.FAIL
    assert verdict.figure == pytest.approx(-20.0)
    assert "may not arm" in verdict.reason
    assert "hold may not stop the motor" in verdict.reason
    assert "set its travel to 105 %" in verdict.reason


def test_a_high_end_short_of_the_learned_one_never_reaches_full() -> None:
    verdict = check(end_points(setting(pulse=pulse(travel_high_percent=90.0))), "high_end_reaches")
    assert verdict.verdict is Outcome.FAIL
    assert "never reaches full" in verdict.reason


def test_jitter_and_half_a_step_decide_whether_an_end_is_short() -> None:
    just = check(end_points(setting(learned_low_us=Doubted(1098.5))), "low_end_reaches")
    beyond = check(end_points(setting(learned_low_us=Doubted(1098.4))), "low_end_reaches")
    assert (just.verdict, beyond.verdict) == (Outcome.PASS, Outcome.FAIL)


def test_a_doubtful_learned_end_never_passes_on_its_middle_value() -> None:
    verdict = check(end_points(setting(learned_high_us=Doubted(1898.0, 10.0))), "high_end_reaches")
    assert verdict.verdict is Outcome.UNKNOWN


def test_an_unknown_learned_end_never_passes_and_says_how_to_learn_it() -> None:
    ends = end_points(setting(learned_low_us=None))
    verdict = check(ends, "low_end_reaches")
    assert verdict.verdict is Outcome.UNKNOWN
    assert verdict.needs == ("channel.learned_low",)
    assert "blades off" in verdict.reason
    assert ends.low_travel_percent is None


def test_an_end_far_beyond_the_learned_one_wastes_the_channel() -> None:
    ends = end_points(setting(learned_high_us=Doubted(1850.0), learned_low_us=Doubted(1100.0)))
    verdict = check(ends, "high_end_dead_travel")
    assert verdict.verdict is Outcome.FAIL
    assert check(ends, "high_end_reaches").verdict is Outcome.PASS
    assert "set its travel to 88 %" in verdict.reason


def test_travel_is_the_smallest_that_lands_at_or_beyond_the_learned_end() -> None:
    plain = pulse()
    assert travel_that_lands(plain, 1086.0, -1.0, 1.0) == 104.0
    assert travel_that_lands(plain, 1086.0, -1.0, TENTHS) == 103.5
    assert travel_that_lands(plain, 1914.0, 1.0, 1.0) == 104.0


def test_travel_counts_the_steps_of_the_channel() -> None:
    coarse = pulse(step_us=8.0)
    assert travel_that_lands(coarse, 1909.0, 1.0, TENTHS) == 103.0
    assert travel_that_lands(pulse(step_us=0.0), 1909.0, 1.0, TENTHS) == 102.3


def test_no_travel_lands_an_end_out_of_reach() -> None:
    assert travel_that_lands(pulse(), 850.0, -1.0, 1.0) is None
    assert travel_that_lands(pulse(), 1600.0, -1.0, 1.0) is None
    verdict = check(end_points(setting(learned_low_us=Doubted(850.0))), "low_end_reaches")
    assert "no travel up to 150 % lands it" in verdict.reason
