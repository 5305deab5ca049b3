"""Advice turns no part both ways, and raises no gain where the head hunts or may."""

import re
from functools import cache

import numpy as np
import pytest

from steadyhead.judge.advice import advice
from steadyhead.judge.measured import Measured, measured
from steadyhead.judge.one_way import HELD_BACK, Turn, one_way, turns
from steadyhead.judge.owner import owner
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.made_signals import made

LIMIT = Limit(value=1.0, unit="", origin="invented")
MORE = "The drive runs out of head-room (duty 1.00): fit a pinion with 1 more tooth, or lower the head speed by 5 %."
FEWER = "Hover duty is low and heats the controller: 1 tooth fewer on the pinion, or a higher head speed."
SMALLER = "The current exceeds what the maker allows: less collective, a smaller pinion or a lower head speed."


@cache
def brought_up(duty: float) -> Measured:
    """An invented head that is brought up in 12 s and then runs at 1800 rpm with a duty."""
    time_s = np.arange(0.0, 40.0, 0.05)
    on = np.clip((time_s - 5.0) / 12.0, 0.0, 1.0)
    return measured(
        made(time_s, head_speed_rpm=1800.0 * on, duty=duty * on, throttle_percent=np.where(time_s < 5.0, 0.0, 70.0)),
        owner(MACHINE),
    )


def found() -> Measured:
    return brought_up(0.7)


def told(hunting: Outcome, *failed: str) -> tuple[str, ...]:
    """What is advised where these checks failed and hunting came out like this."""
    checks = [Verdict.at_most(name, 2.0, LIMIT, what=name) for name in failed]
    hunts = Verdict(check="no_hunting", verdict=hunting, reason="invented", needs=("a log of a still hover",))
    return advice(found(), (hunts, *checks), MACHINE)


def ways(lines: tuple[str, ...]) -> set[Turn]:
    return {turn for line in lines for turn in turns(line)}


@pytest.mark.parametrize("check", ["recovery", "climb_droop", "steady_band"])
def test_no_gain_is_raised_while_the_head_hunts_or_may(check: str) -> None:
    sound = told(Outcome.PASS, check)
    assert any(turn.up for turn in ways(sound))
    for hunting in (Outcome.FAIL, Outcome.UNKNOWN):
        lines = told(hunting, check)
        assert not any(turn.up for turn in ways(lines)), lines
        assert any(line.startswith(HELD_BACK) and "gain" in line for line in lines)
    assert "a log of a still hover" in " ".join(told(Outcome.UNKNOWN, check))


def test_a_head_that_overspeeds_and_droops_is_told_the_safer_way_and_that_they_contradict() -> None:
    lines = told(Outcome.PASS, "overspeed", "climb_droop")
    assert ways(lines) == {Turn("integral gain", up=False)}
    assert any(line.startswith(HELD_BACK) and "more integral gain" in line for line in lines)


def test_a_pinion_goes_one_way_and_the_head_speed_with_it() -> None:
    more, fewer = one_way([MORE, FEWER])
    assert more == MORE
    assert fewer.startswith(HELD_BACK)
    assert "fewer teeth" in fewer
    assert one_way([FEWER]) == (FEWER,)


def test_too_much_current_goes_before_head_room() -> None:
    room, current = one_way([MORE, SMALLER])
    assert current == SMALLER.replace(", a smaller pinion or", " or")
    assert room.startswith(HELD_BACK)
    assert "lower head speed mends both" in room


def test_without_head_room_and_with_too_much_current_no_pinion_is_advised_at_all() -> None:
    lines = one_way([MORE, FEWER, SMALLER])
    assert not any(turn.part == "pinion" for turn in ways(lines))
    assert "smaller pinion" not in lines[2]


def test_no_fewer_teeth_where_the_plan_or_another_log_has_no_head_room() -> None:
    assert one_way([FEWER])[0] == FEWER
    held = one_way([FEWER, SMALLER], no_room=True)
    assert held[0].startswith(f"{HELD_BACK}fewer teeth")
    assert "smaller pinion" not in held[1]


@pytest.mark.parametrize("check", ["hover_duty", "duty_margin", "esc_current", "motor_temperature"])
def test_no_pinion_is_advised_from_the_duty_of_a_head_that_hunts(check: str) -> None:
    assert not any(turn.part == "pinion" for turn in ways(told(Outcome.FAIL, check)))
    lines = " ".join(told(Outcome.FAIL, check))
    assert "smaller pinion" not in lines
    assert "larger pinion" not in lines
    assert "nearer to full" not in lines


def low_hover(log: Measured, low: float) -> str:
    limit = Limit(value=0.65, unit="", origin="invented")
    check = Verdict.at_least("hover_duty", low, limit, what="hover duty")
    calm = Verdict(check="no_hunting", verdict=Outcome.PASS, reason="invented")
    return advice(log, (calm, check), MACHINE)[0]


@pytest.mark.parametrize("highest", [0.6, 0.7, 0.78, 0.85, 0.93])
@pytest.mark.parametrize("low", [0.35, 0.5, 0.6, 0.64])
def test_fewer_teeth_keep_the_highest_duty_of_the_log_within_its_limit(highest: float, low: float) -> None:
    teeth, limit = MACHINE.gears.pinion_teeth.number, MACHINE.limit("limits.duty_max").value
    line = low_hover(brought_up(highest), low)
    found = re.search(r"(\d+) (?:tooth|teeth) fewer on the pinion", line)
    wanted = teeth * (1.0 - low / 0.65)
    if found is None:
        assert line.startswith(HELD_BACK)
        assert (highest + 0.005) * teeth / (teeth - 1) > limit
        return
    count = int(found.group(1))
    assert (highest + 0.005) * teeth / (teeth - count) <= limit
    enough = count >= wanted - 1e-3
    assert enough or (highest + 0.005) * teeth / (teeth - count - 1) > limit
    assert enough or "more would leave the climb too little" in line
    assert "no hard load" in line


def test_only_the_choice_that_contradicts_is_cut() -> None:
    low, limit = one_way([FEWER, "The rotor turned too fast: lower the head speed before the next flight."])
    assert low == "Hover duty is low and heats the controller: 1 tooth fewer on the pinion."
    assert "lower the head speed" in limit


def test_a_ramp_that_came_out_both_ways_is_left_as_it_is() -> None:
    lines = one_way([f"Make the quick spool-up {way} by about a third." for way in ("shorter", "longer")])
    assert ways(lines) == set()
    assert all(line.startswith(HELD_BACK) for line in lines)


def test_what_is_held_back_turns_nothing_and_stays_as_it_is() -> None:
    once = one_way([MORE, FEWER, SMALLER])
    assert one_way(once) == once


@pytest.mark.parametrize("check", ["cell_voltage", "pack_resistance"])
def test_a_pack_that_fails_comes_before_the_drive_and_no_teeth_are_added(check: str) -> None:
    lines = told(Outcome.PASS, "duty_margin", check)
    assert lines[0].startswith("The pack ")
    assert lines[1].startswith(f"{HELD_BACK}more teeth on the pinion. The pack")
    assert ways(lines) == set()
    assert Turn("pinion", up=True) in ways(told(Outcome.PASS, "duty_margin"))
