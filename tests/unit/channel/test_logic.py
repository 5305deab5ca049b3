"""Every switch sequence: right controllers pass, each wrong one is caught by its rule, unknown settings never pass."""

from dataclasses import replace
from pathlib import Path

import pytest

from steadyhead.channel.logic import checked, logic
from steadyhead.channel.logic_result import LogicAnswer, RuleAnswer
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.channel.switch_course import hold_takes_s
from steadyhead.channel.switch_rules import NAMES
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text, read_machine
from steadyhead.physics.run_walk import Rule
from steadyhead.words.cautions import ADVICE_ONLY, BENCH
from steadyhead.words.verdict import Outcome
from tests.unit.channel import controllers
from tests.unit.channel.controllers import BY_BAND, BY_TIME, NEVER, RIGHT, WRONG, positions


def verdicts(answer: LogicAnswer) -> dict[str, Outcome]:
    return {rule.rule: rule.check.verdict for rule in answer.rules}


def rule_of(answer: LogicAnswer, name: str) -> RuleAnswer:
    return next(rule for rule in answer.rules if rule.rule == name)


@pytest.mark.parametrize("name", RIGHT)
def test_a_right_controller_holds_every_rule(name: str) -> None:
    answer = checked(RIGHT[name], name, 1)
    assert answer.verdict is Outcome.PASS, answer.reasons
    assert not any(rule.story for rule in answer.rules)
    assert answer.states > 100


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_controller_is_caught_by_its_rule_and_by_no_other(name: str) -> None:
    described, broken = WRONG[name]
    answer = checked(described, name, 1)
    assert {rule.rule for rule in answer.rules if rule.check.verdict is Outcome.FAIL} == broken
    assert all(rule.check.verdict is Outcome.PASS for rule in answer.rules if rule.rule not in broken)
    assert all(rule.story for rule in answer.rules if rule.rule in broken)


def test_every_rule_is_broken_by_some_wrong_controller() -> None:
    assert set().union(*(broken for _, broken in WRONG.values())) == set(NAMES.values())
    assert len(WRONG) >= 12


def test_the_bundled_machine_loses_its_bail_out_and_says_how() -> None:
    answer = logic(read_machine(bundled("fox600")))
    failed = [rule for rule in answer.rules if rule.check.verdict is Outcome.FAIL]
    assert [rule.rule for rule in failed] == [controllers.BAIL_OUT]
    says = [step.says for step in failed[0].story]
    assert says[0] == "connect the pack with throttle hold (0 %) selected"
    moves = [step.says for step in failed[0].story if step.who == "you"]
    assert moves[1:] == ["select normal (57 %)", "select autorotation (5 %)", "select normal (57 %)"]
    assert failed[0].switch_moves == 3
    assert says[-1] == "the bail-out brings the slow ramp"
    assert answer.cautions == BENCH + ADVICE_ONLY


@pytest.mark.parametrize("name", ["wren450", "heron520"])
def test_the_other_bundled_machines_hold_every_rule(name: str) -> None:
    answer = logic(read_machine(bundled(name)))
    assert answer.verdict is Outcome.PASS, answer.reasons


def test_a_bail_out_into_a_mode_with_the_stick_down_is_told_with_the_stick() -> None:
    answer = checked(WRONG["stick down in the band, below the clearing value"][0], "x", 1)
    moves = [step.says for step in rule_of(answer, controllers.BAIL_OUT).story if step.who == "you"]
    assert moves[-3:] == ["select autorotation (15 %)", "select normal, stick down (10 %)", "select normal (57 %)"]


def test_a_breach_after_one_tick_of_drive_plays_through_and_fails() -> None:
    """The motor comes in and is taken away a tick later: the head turns, and the next start is quick."""
    logic = replace(
        BY_BAND,
        ramp_rate_percent_s=6000.0,
        hold_rate_percent_s=60000.0,
        start_delay_s=0.4,
        stop_delay_s=0.0,
        governed_before_s=0.0,
        counts_spool_up=True,
        needs_turning_head=True,
        idles_after_running=False,
        arm_time_s=0.0,
    )
    broken = rule_of(checked(logic, "x", 1), controllers.EARNED)
    assert broken.check.verdict is Outcome.FAIL
    assert broken.story[-1].says == "a quick ramp that no governed run since the last throttle hold has earned"


def test_a_breach_that_does_not_play_through_asks_for_no_threshold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("steadyhead.channel.logic.story", lambda *_: None)
    check = rule_of(checked(WRONG["arms anywhere"][0], "x", 1), controllers.POWER).check
    assert check.verdict is Outcome.UNKNOWN
    assert check.needs == ("a try on the bench, blades off",)
    assert "cut-off" not in check.reason


def test_a_hand_that_lingers_plays_what_the_shortest_story_cannot() -> None:
    """The motor stops late: as hasty as the walk goes the channel is back before, a moment later it has stopped."""
    logic = replace(BY_BAND, positions=positions(autorotation=5.0), ramp_rate_percent_s=2000.0, stop_delay_s=0.4)
    broken = rule_of(checked(logic, "x", 1), controllers.BAIL_OUT)
    assert broken.check.verdict is Outcome.FAIL
    assert "less than one tick" not in broken.check.reason


def test_one_hold_is_enough_names_the_mode_that_it_was_not_asked_of() -> None:
    logic = replace(BY_BAND, positions=positions(modes=(12.0, 70.0)))
    check = rule_of(checked(logic, "x", 1), controllers.ONCE).check
    assert check.verdict is Outcome.PASS
    assert check.reason.endswith("not asked of normal, whose value may not start the motor at all")


def test_a_machine_without_quick_restart_is_told_that_it_has_no_bail_out() -> None:
    answer = checked(NEVER, "never", 1)
    assert controllers.BAIL_OUT not in verdicts(answer)
    assert any("cannot be bailed out" in warning for warning in answer.warnings)


def test_times_in_a_story_rise_and_stay_as_long_as_the_ramp_takes() -> None:
    answer = checked(WRONG["hold does not clear"][0], "x", 1)
    story = rule_of(answer, controllers.EARNED).story
    times = [step.time_s for step in story]
    assert times == sorted(times)
    begun = next(step.time_s for step in story if "slow ramp" in step.says)
    there = next(step.time_s for step in story if "set speed" in step.says)
    assert there - begun == pytest.approx(15.0, abs=0.1)


UNKNOWN = {
    "permission": ({controllers.REST, controllers.EARNED, controllers.BAIL_OUT}, "run_logic.permission"),
    "stop_delay_s": ({controllers.HOLD}, "run_logic.stop_delay"),
    "hold_rate_percent_s": ({controllers.HOLD}, "channel.hold_rate"),
    "cleared_after_s": ({controllers.EARNED}, "run_logic.cleared_after"),
    "counts_spool_up": ({controllers.EARNED}, "run_logic.counts_spool_up"),
    "needs_turning_head": ({controllers.REST, controllers.BAIL_OUT}, "run_logic.needs_turning_head"),
    "idles_after_running": ({controllers.REST}, "run_logic.idles_after_running"),
    "idles_from_rest": ({controllers.AUTOROTATION}, "run_logic.idles_from_rest"),
    "arms_at_low_end": ({controllers.ONCE, controllers.POWER}, "run_logic.arms_at_low_end"),
    "arm_time_s": ({controllers.ONCE}, "run_logic.arm_time"),
    "arm_visits": ({controllers.ONCE}, "run_logic.arm_visits"),
    "governed_before_s": ({controllers.BAIL_OUT}, "run_logic.governed_before"),
    "permission_s": ({controllers.BAIL_OUT}, "run_logic.quick_restart_window"),
}


@pytest.mark.parametrize("field", UNKNOWN)
def test_an_unknown_setting_leaves_its_rules_unknown_and_says_how_to_measure_it(field: str) -> None:
    rules, key = UNKNOWN[field]
    answer = checked(replace(BY_BAND, **{field: None}), "x", 1)
    found = verdicts(answer)
    assert {rule for rule, verdict in found.items() if verdict is Outcome.UNKNOWN} == rules
    assert Outcome.FAIL not in found.values()
    assert key in answer.unknowns
    assert all(f"{key}: " in rule_of(answer, rule).check.reason for rule in rules)
    assert answer.verdict is Outcome.UNKNOWN


@pytest.mark.parametrize("field", ["stop_percent", "start_percent"])
def test_without_a_threshold_nothing_passes(field: str) -> None:
    answer = checked(replace(BY_BAND, **{field: None}), "x", 1)
    assert Outcome.PASS not in verdicts(answer).values()
    assert answer.states == 0
    assert answer.verdict is Outcome.UNKNOWN


def test_a_clearing_value_that_nobody_knows_leaves_the_quick_restart_unknown() -> None:
    found = verdicts(checked(replace(BY_TIME, cleared_below_percent=None), "x", 1))
    assert found[controllers.EARNED] is Outcome.UNKNOWN
    assert found[controllers.BAIL_OUT] is Outcome.UNKNOWN


@pytest.mark.parametrize(
    ("where", "rules"),
    [
        (positions(autorotation=None), {controllers.AUTOROTATION, controllers.BAIL_OUT}),
        (positions(modes=(57.0, None)), {controllers.HOLD, controllers.ONCE, controllers.POWER}),
        (positions(modes=()), set(NAMES.values())),
        (positions(modes=(20.0,)), set(NAMES.values())),
    ],
)
def test_a_position_that_nobody_knows_leaves_its_rules_unknown(where: tuple, rules: set[str]) -> None:
    found = verdicts(checked(replace(BY_BAND, positions=where), "x", 1))
    assert all(found[rule] is Outcome.UNKNOWN for rule in rules)


def test_a_hold_value_that_is_only_typical_never_passes() -> None:
    found = verdicts(checked(replace(BY_BAND, hold_is_stated=False), "x", 1))
    assert found[controllers.HOLD] is Outcome.UNKNOWN


def test_an_unknown_channel_rate_is_tried_fast_and_slow() -> None:
    assert checked(replace(BY_BAND, ramp_rate_percent_s=None), "x", 1).verdict is Outcome.PASS


def test_a_doubted_threshold_near_a_position_leaves_its_rule_unknown() -> None:
    near = replace(BY_BAND, positions=positions(autorotation=21.0), start_spread_percent=1.5)
    answer = checked(near, "x", 1)
    assert verdicts(answer)[controllers.AUTOROTATION] is Outcome.UNKNOWN
    assert "doubt on the thresholds" in rule_of(answer, controllers.AUTOROTATION).check.reason


def test_a_rule_that_is_broken_whatever_the_unknowns_are_fails() -> None:
    answer = checked(replace(WRONG["arms at the second hold"][0], arm_time_s=None), "x", 1)
    assert verdicts(answer)[controllers.ONCE] is Outcome.FAIL


def test_the_time_that_hold_takes_is_travel_and_stop_delay() -> None:
    slow = replace(BY_BAND, hold_rate_percent_s=100.0)
    assert hold_takes_s(slow) == pytest.approx((83.0 - 8.0) / 100.0 + 0.04)
    answer = rule_of(checked(slow, "x", 1), controllers.HOLD)
    assert answer.check.verdict is Outcome.FAIL
    assert answer.check.figure == pytest.approx(0.79)
    assert answer.story[-1].says == "throttle hold is selected and the motor is still driven"


def test_a_hold_that_takes_many_seconds_fails_by_its_time_and_leaves_the_rest_unknown() -> None:
    answer = checked(replace(BY_BAND, hold_rate_percent_s=10.0), "x", 1)
    found = verdicts(answer)
    assert found.pop(controllers.HOLD) is Outcome.FAIL
    assert set(found.values()) == {Outcome.UNKNOWN}


def test_the_answer_does_not_depend_on_the_order_of_the_positions() -> None:
    turned = replace(BY_BAND, positions=tuple(reversed(BY_BAND.positions)))
    assert checked(turned, "x", 1).states == checked(BY_BAND, "x", 1).states


def test_a_new_machine_file_is_unknown_in_every_rule() -> None:
    text = Path(bundled("fox600")).read_text("utf-8")
    bare = text[: text.index("[channel]")] + text[text.index("[site]") :]
    answer = logic(machine_from_text(bare, "bare.toml"))
    assert set(verdicts(answer).values()) == {Outcome.UNKNOWN}
    assert {"channel.cut_off", "channel.start", "run_logic.permission"} <= set(answer.unknowns)


def test_a_stick_that_goes_below_the_cut_off_is_a_position_of_its_own() -> None:
    text = (
        Path(bundled("fox600")).read_text("utf-8").replace('channel = "57 %"', 'channel = "57 %"\nchannel_low = "0 %"')
    )
    machine = machine_from_text(text, "fox.toml")
    assert "normal, stick down" in {position.name for position in run_logic(machine).positions}
    assert verdicts(logic(machine))[controllers.POWER] is Outcome.FAIL


def test_every_rule_has_a_name_and_words() -> None:
    assert set(NAMES) == set(Rule)
