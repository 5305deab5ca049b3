import pytest

from steadyhead.channel.autorotation_window import autorotation_window, clear_percent, clear_places, window_verdict
from steadyhead.channel.setting import Doubted
from steadyhead.words.verdict import Outcome
from tests.unit.channel.bench import pulse, setting


def test_the_window_keeps_jitter_and_one_step_off_both_thresholds() -> None:
    window = autorotation_window(setting())
    assert window is not None
    assert (window.low_us, window.high_us) == (1166.0, 1274.0)
    assert window.percent == pytest.approx((8.25, 21.75))


def test_the_edges_of_the_window_are_reachable_steps_on_the_safe_side() -> None:
    window = autorotation_window(setting(pulse=pulse(step_us=8.0)))
    assert window is not None
    assert (window.low_us, window.high_us) == (1180.0, 1260.0)


def test_doubt_on_the_thresholds_narrows_the_window() -> None:
    sure = autorotation_window(setting())
    doubted = autorotation_window(setting(cut_off_percent=Doubted(8.0, 1.0), start_percent=Doubted(22.0, 2.0)))
    assert sure is not None
    assert doubted is not None
    assert doubted.low_us == sure.low_us + 8.0
    assert doubted.high_us == sure.high_us - 16.0


@pytest.mark.parametrize(
    ("percent", "outcome", "says"),
    [
        (15.0, Outcome.PASS, "inside its window by 54 us, 54 steps"),
        (8.25, Outcome.PASS, "inside"),
        (8.125, Outcome.FAIL, "too close above the cut-off"),
        (5.0, Outcome.FAIL, "the quick restart is lost; set it between 9 and 21 %, best near 15 %"),
        (21.875, Outcome.FAIL, "too close below the start"),
        (25.0, Outcome.FAIL, "the motor starts from rest in this position"),
    ],
)
def test_the_autorotation_value_is_judged_by_where_it_lies(percent: float, outcome: Outcome, says: str) -> None:
    verdict = window_verdict(setting(autorotation_percent=percent))
    assert verdict.verdict is outcome
    assert says in verdict.reason


def test_an_unknown_threshold_or_value_never_passes() -> None:
    assert window_verdict(setting(start_percent=None)).verdict is Outcome.UNKNOWN
    assert window_verdict(setting(start_percent=None)).needs == ("channel.start",)
    unset = window_verdict(setting(autorotation_percent=None))
    assert unset.verdict is Outcome.UNKNOWN
    assert "between 9 and 21 %" in unset.reason


def test_thresholds_too_close_together_leave_no_safe_value() -> None:
    tight = setting(start_percent=Doubted(8.3))
    assert autorotation_window(tight) is None
    verdict = window_verdict(tight)
    assert verdict.verdict is Outcome.FAIL
    assert "no autorotation value is safe" in verdict.reason


def test_a_window_narrower_than_a_percent_is_named_in_fractions() -> None:
    assert (
        "between 8.25 and 8.75 %"
        in window_verdict(setting(start_percent=Doubted(9.0), autorotation_percent=30.0)).reason
    )


def test_a_place_high_in_the_window_stands_clear_of_the_edge_by_the_doubt_once_more_or_is_the_middle() -> None:
    low, high = autorotation_window(setting(start_percent=Doubted(22.0, 3.0))).percent
    middle, clear = clear_places(setting(start_percent=Doubted(22.0, 3.0)))
    assert middle == pytest.approx(0.5 * (low + high))
    assert clear == pytest.approx(high - 3.0)
    exact = autorotation_window(setting(start_percent=Doubted(22.0, 0.0))).percent
    assert clear_places(setting(start_percent=Doubted(22.0, 0.0)))[1] == pytest.approx(exact[1] - 1.0)
    narrow = setting(start_percent=Doubted(14.0, 2.0))
    assert clear_places(narrow)[0] == clear_places(narrow)[1]


def test_the_clear_part_of_the_window_keeps_the_doubt_of_each_threshold_once_more() -> None:
    doubted = setting(start_percent=Doubted(22.0, 3.0))
    low, high = autorotation_window(doubted).percent
    assert clear_percent(doubted) == pytest.approx((low + max(doubted.cut_off_percent.spread, 1.0), high - 3.0))
