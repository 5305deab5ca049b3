"""The check of every switch sequence against a plain twin: random flights, and every story flown again by the twin."""

import random
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyhead.channel.logic import checked
from steadyhead.channel.logic_result import LogicAnswer, StoryStep
from steadyhead.channel.run_logic import Permission, Place, RunLogic, run_rules
from steadyhead.channel.switch_course import walkable
from steadyhead.words.verdict import Outcome
from tests.naive.run_twin import Flyer, every_flight, random_flight
from tests.unit.channel.controllers import BY_BAND, RIGHT, WRONG, positions

STEP_S = 0.01
SHORT = {"governed_before_s": 0.4, "permission_s": 2.0, "soft_spool_s": 1.0, "quick_spool_s": 0.5}
"""Short times, so that random flights of a few moves reach every state."""


def plain_settings(logic: RunLogic, slack_s: float) -> dict[str, Any]:
    """The settings for the twin; `slack_s` makes its rules more patient, since the check moves in ticks of 0.05 s."""
    rules, ready = run_rules(logic), walkable(logic, logic.guard_percent)
    names = {v.position.name for v, surely in zip(ready.variants, ready.course.starts, strict=True) if surely}
    return {
        "stop": rules.stop_percent,
        "start": rules.start_percent,
        "clear": rules.clear_percent,
        "start_delay": rules.start_delay_s,
        "stop_delay": rules.stop_delay_s,
        "clear_after": rules.clear_after_s,
        "arm": rules.arm_s,
        "arm_visits": rules.arm_visits,
        "before": rules.governed_before_s,
        "permission": rules.permission_s,
        "permits": bool(rules.permits),
        "idles": bool(rules.idles_after_running),
        "idles_from_rest": bool(rules.idles_from_rest),
        "counts_spool_up": bool(rules.counts_spool_up),
        "needs_turning": bool(rules.needs_turning_head),
        "arms": bool(rules.arms),
        "ramp": logic.ramp_rate_percent_s,
        "hold_rate": logic.hold_rate_percent_s,
        "stay": ready.stay_s + slack_s,
        "start_in": ready.start_s + slack_s,
        "hold_takes": ready.hold_s + slack_s,
        "surely_start": names,
    }


def places(logic: RunLogic) -> dict[str, tuple[str, float]]:
    return {p.name: (p.place.value, p.percent or 0.0) for p in logic.positions}


def failed(answer: LogicAnswer) -> set[str]:
    return {rule.rule for rule in answer.rules if rule.check.verdict is Outcome.FAIL}


def flown_breaches(logic: RunLogic, seed: int, flights: int) -> set[str]:
    rng, plain, where = random.Random(seed), plain_settings(logic, 0.11), places(logic)
    broken: set[str] = set()
    for _ in range(flights):
        broken |= random_flight(plain, where, rng, moves=rng.randint(3, 12))
    return broken


@pytest.mark.parametrize("name", [*RIGHT, *WRONG])
def test_random_flights_find_no_breach_that_the_check_denies(name: str) -> None:
    base = RIGHT[name] if name in RIGHT else WRONG[name][0]
    logic = replace(base, **SHORT)
    assert flown_breaches(logic, seed=7, flights=60) <= failed(checked(logic, name, 1))


THREE_MOVES = {
    "hold inside the idle band, armed without it": "hold_ends_undriven",
    "quick by band, motor off in the band": "only_soft_from_rest",
    "autorotation above the start": "autorotation_never_starts",
    "idles from rest": "autorotation_never_starts",
    "hold does not clear": "quick_only_after_governed",
    "arms at the second hold": "one_hold_is_enough",
    "arms anywhere": "power_up_is_still",
    "autorotation below the cut-off": "bail_out_is_quick",
}
"""Wrong controllers, and a rule that plain enumeration of three switch moves must find broken."""


@pytest.mark.parametrize("name", THREE_MOVES)
def test_plain_enumeration_of_every_flight_of_three_moves_finds_the_same_rule_and_no_other(name: str) -> None:
    logic = replace(WRONG[name][0], **SHORT, ramp_rate_percent_s=1000.0, start_delay_s=0.1, arm_time_s=0.1)
    plain = plain_settings(logic, 0.11)
    where = {key: place for key, place in places(logic).items() if key in ("throttle hold", "autorotation", "normal")}
    plain["surely_start"] = {"normal"}
    broken = every_flight(plain, where, (0.45, 1.45), depth=3)
    assert THREE_MOVES[name] in broken
    assert broken <= failed(checked(logic, name, 1))


def test_random_flights_do_find_breaches() -> None:
    """Else the test above could not fail."""
    logic = replace(WRONG["hold does not clear"][0], **SHORT)
    assert "quick_only_after_governed" in flown_breaches(logic, seed=3, flights=200)


LOGICS = st.builds(
    lambda **fields: replace(BY_BAND, **SHORT, **fields),
    positions=st.builds(
        positions,
        hold=st.sampled_from([0.0, 5.0, 9.0]),
        autorotation=st.sampled_from([2.0, 5.0, 15.0, 30.0]),
        modes=st.sampled_from([(57.0, 83.0), (30.0,)]),
        stick_down=st.sampled_from([None, 0.0, 12.0]),
    ),
    ramp_rate_percent_s=st.sampled_from([40.0, 200.0, 2000.0]),
    start_delay_s=st.sampled_from([0.0, 0.2]),
    stop_delay_s=st.sampled_from([0.0, 0.05, 0.4]),
    permission=st.sampled_from(list(Permission)),
    cleared_below_percent=st.sampled_from([0.0, 3.0, 8.0]),
    cleared_after_s=st.sampled_from([0.0, 0.6]),
    counts_spool_up=st.booleans(),
    needs_turning_head=st.booleans(),
    idles_after_running=st.booleans(),
    idles_from_rest=st.booleans(),
    arms_at_low_end=st.booleans(),
    arm_time_s=st.sampled_from([0.0, 0.3]),
    arm_visits=st.sampled_from([1, 2]),
)


@settings(max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(logic=LOGICS, seed=st.integers(0, 1000))
def test_no_random_flight_of_a_random_controller_breaks_a_rule_that_the_check_passes(
    logic: RunLogic, seed: int
) -> None:
    answer = checked(logic, "drawn", 1)
    passed = {rule.rule for rule in answer.rules if rule.check.verdict is Outcome.PASS}
    assert not flown_breaches(logic, seed, flights=25) & passed


def retold(logic: RunLogic, story: tuple[StoryStep, ...]) -> Flyer:
    """Fly a story as printed: every hand, every word of the rotor, at the times that stand there."""
    where = places(logic)
    if "taken as armed" in story[1].says:
        logic = replace(logic, arms_at_low_end=False)
    first, percent = _named(story[0].says)
    flyer = Flyer(plain_settings(logic, 0.0), where, first, STEP_S)
    flyer.target = flyer.channel = percent
    for step in story[1:]:
        reaches = step.says.startswith("the head is at its set speed")
        while flyer.time < step.time_s - (1.5 if reaches else 0.5) * STEP_S:
            flyer.step()
        if reaches:
            flyer.step(at_speed=True)
        elif step.who == "rotor":
            flyer.rest()
        elif step.who == "you":
            name, percent = _named(step.says)
            flyer.select(name, percent)
        elif step.who == "channel":
            flyer.target = float(re.findall(r"([\d.]+) %", step.says)[0])
    return flyer


def _named(says: str) -> tuple[str, float]:
    found = re.search(r"(?:connect the pack with|select) (.*?) \(([\d.]+) %\)", says)
    assert found, says
    carried = re.search(r"carry to ([\d.]+) %", says)
    return found[1], float(carried[1] if carried else found[2])


@pytest.mark.parametrize("name", WRONG)
def test_every_story_breaks_its_rule_again_when_the_twin_flies_it_as_printed(name: str) -> None:
    logic = WRONG[name][0]
    for rule in checked(logic, name, 1).rules:
        if rule.story:
            flyer = retold(logic, rule.story)
            late = rule.rule == "hold_ends_undriven" and "limit" in rule.check.reason
            if late:
                assert flyer.controller.mode in {"soft", "quick", "governed", "idling"}
                assert flyer.held >= logic.hold_stop_s - STEP_S
            else:
                assert rule.rule in flyer.broken, rule.story


def test_a_story_has_as_few_moves_as_any_random_flight_that_breaks_the_rule() -> None:
    """Autorotation below the cut-off: the story moves the switches three times; no flight of two moves breaks it."""
    logic = replace(WRONG["autorotation below the cut-off"][0], **SHORT)
    answer = next(rule for rule in checked(logic, "x", 1).rules if rule.rule == "bail_out_is_quick")
    assert answer.switch_moves == 3
    rng, plain, where = random.Random(5), plain_settings(logic, 0.11), places(logic)
    for _ in range(300):
        assert "bail_out_is_quick" not in random_flight(plain, where, rng, moves=3)  # the third has no time left to act


def test_the_purposes_of_the_twin_are_ours() -> None:
    assert {place.value for place in Place} == {"hold", "autorotation", "mode", "stick down"}
