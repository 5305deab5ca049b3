from dataclasses import replace

import pytest

from steadyhead.channel.result import Thresholds
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.channel.thresholds import Position, start_delay_s, thresholds
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.channel.bench import pulse, setting

RUNNING = (Position("normal", 57.0),)


def check(answer: Thresholds, name: str) -> Verdict:
    return next(verdict for verdict in answer.checks if verdict.check == name)


def judged(changed: ChannelSetting, name: str) -> Outcome:
    return check(thresholds(changed, RUNNING), name).verdict


def test_a_right_channel_passes_with_its_smallest_margin() -> None:
    answer = thresholds(setting(), RUNNING)
    assert {verdict.verdict for verdict in answer.checks} == {Outcome.PASS}
    assert (answer.cut_off_us, answer.start_us) == (1164.0, 1276.0)
    assert answer.hysteresis_us == pytest.approx(112.0)
    assert answer.margin_us == pytest.approx(56.0)
    assert answer.margin_steps == pytest.approx(56.0)


def test_hold_keeps_jitter_and_one_step_below_the_cut_off() -> None:
    on_the_edge = setting(hold_percent=7.75)
    inside = setting(hold_percent=7.875)
    assert judged(on_the_edge, "hold_below_cut_off") is Outcome.PASS
    assert judged(inside, "hold_below_cut_off") is Outcome.FAIL
    assert "may not stop the motor" in check(thresholds(inside, RUNNING), "hold_below_cut_off").reason


def test_more_jitter_turns_a_pass_into_a_fail() -> None:
    assert judged(setting(hold_percent=7.0), "hold_below_cut_off") is Outcome.PASS
    assert judged(setting(hold_percent=7.0, pulse=pulse(jitter_us=8.0)), "hold_below_cut_off") is Outcome.FAIL


def test_the_doubt_on_a_threshold_leaves_hold_unknown() -> None:
    assert judged(setting(cut_off_percent=Doubted(3.0, 3.0)), "hold_below_cut_off") is Outcome.UNKNOWN


def test_a_typical_hold_value_never_passes() -> None:
    assert judged(setting(hold_is_stated=False), "hold_below_cut_off") is Outcome.UNKNOWN


def test_unknown_thresholds_never_pass_and_say_how_to_measure() -> None:
    answer = thresholds(setting(cut_off_percent=None, start_percent=None), RUNNING)
    for name in ("hold_below_cut_off", "threshold_gap", "mode_above_start: normal", "start_delay"):
        assert check(answer, name).verdict is Outcome.UNKNOWN
    assert "blades off" in check(answer, "mode_above_start: normal").reason
    assert check(answer, "hold_below_cut_off").needs == ("channel.cut_off",)
    assert answer.margin_us is None
    assert answer.start_delay_s is None


def test_every_flight_mode_must_lie_above_the_start() -> None:
    answer = thresholds(setting(), (Position("slow", 22.1), Position("fast", 80.0)))
    assert check(answer, "mode_above_start: slow").verdict is Outcome.FAIL
    assert check(answer, "mode_above_start: fast").verdict is Outcome.PASS


def test_jitter_wider_than_the_gap_starts_and_stops_the_motor_by_itself() -> None:
    tight = setting(cut_off_percent=Doubted(8.0), start_percent=Doubted(8.25))
    assert judged(tight, "threshold_gap") is Outcome.FAIL
    assert judged(setting(start_percent=Doubted(8.0)), "threshold_gap") is Outcome.FAIL


def test_start_delay_is_the_gap_over_the_ramp_rate() -> None:
    assert start_delay_s(22.0, 0.0, 50.0, 0.0) == pytest.approx(0.44)
    assert start_delay_s(22.0, 10.0, 4.0, 0.0) == pytest.approx(3.0)


def test_one_step_is_the_difference_between_starting_at_once_and_starting_late() -> None:
    """Worked: start above 22 %, steps of 0.5 %, a channel that creeps at 0.2 % a second."""
    at_once = start_delay_s(22.0, 22.5, 0.2, 0.5)
    one_step_lower = start_delay_s(22.0, 22.0, 0.2, 0.5)
    assert at_once == 0.0
    assert one_step_lower == pytest.approx(2.5)


def test_a_channel_creeping_from_below_starts_late_by_the_whole_gap() -> None:
    slow = thresholds(setting(ramp_rate_percent_s=Doubted(2.0), controller_wait_s=0.0), RUNNING)
    assert slow.start_delay_s == pytest.approx((22.0 + 0.125) / 2.0)
    assert slow.start_delay_from_autorotation_s == pytest.approx((22.0 + 0.125 - 15.0) / 2.0)


def test_the_start_delay_holds_the_controllers_own_wait_and_is_unknown_without_it() -> None:
    creeping = setting(ramp_rate_percent_s=Doubted(2.0), controller_wait_s=0.1)
    answer = thresholds(creeping, RUNNING)
    assert answer.start_delay_s == pytest.approx((22.0 + 0.125) / 2.0 + 0.1)
    assert check(answer, "start_delay").verdict is Outcome.PASS
    blind = thresholds(replace(creeping, controller_wait_s=None), RUNNING)
    assert blind.start_delay_s is None
    told = check(blind, "start_delay")
    assert (told.verdict, told.needs) == (Outcome.UNKNOWN, ("run_logic.start_delay",))
    assert "11.1 s" in told.reason


def test_a_bail_out_held_up_by_the_slow_channel_fails() -> None:
    assert judged(setting(), "restart_delay") is Outcome.PASS
    assert judged(setting(ramp_rate_percent_s=Doubted(2.0)), "restart_delay") is Outcome.FAIL


def test_a_shorter_pulse_at_the_low_end_widens_the_margin_of_hold() -> None:
    wider = check(thresholds(setting(pulse=pulse(travel_low_percent=110.0)), RUNNING), "hold_below_cut_off")
    assert wider.figure == pytest.approx(64.0 * 1.1, rel=0.01)


def test_the_margin_counts_the_autorotation_value_and_is_negative_on_the_wrong_side() -> None:
    assert thresholds(setting(autorotation_percent=5.0), RUNNING).margin_us == pytest.approx(-24.0)
    assert thresholds(setting(autorotation_percent=None), RUNNING).margin_us == pytest.approx(64.0)


def test_the_margin_is_that_of_the_position_nearest_to_its_threshold() -> None:
    near = thresholds(setting(), (Position("slow", 24.0), Position("fast", 80.0)))
    assert near.margin_us == pytest.approx(16.0)


def test_the_doubt_on_threshold_and_ramp_rate_goes_into_the_start_delay() -> None:
    vague = setting(start_percent=Doubted(22.0, 2.0), ramp_rate_percent_s=Doubted(4.0, 1.0), controller_wait_s=0.0)
    answer = thresholds(vague, RUNNING)
    assert answer.start_delay_s_interval == pytest.approx((20.125 / 5.0, 24.125 / 3.0))
    assert thresholds(setting(ramp_rate_percent_s=Doubted(4.0, 4.0)), RUNNING).start_delay_s_interval is None
