"""What to measure next: values nobody stated come with the verdicts they hold up, doubtful ones with their share."""

import math
from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.advise.evidence import evidence
from steadyhead.advise.measure_next import HALVED, SWITCHES, _how, measure_next
from steadyhead.advise.seen import PLAN, WORST_IN, Seen
from steadyhead.plan.figures import AT
from steadyhead.plan.solved import solve
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Outcome, Verdict


def test_an_unknown_limit_that_alone_holds_up_a_verdict_ranks_before_one_of_several():
    read = job.read_machine(job.bundled("wren450"))
    seen = [
        Seen(part="plan", place="a", check=Verdict.unknown("motor_current", "?", needs=("motor.current_max",))),
        Seen(part="governor", place="", check=Verdict.unknown("x", "?", needs=("gears.module", "gears.face_width"))),
        Seen(part="governor", place="b", check=Verdict.unknown("x", "?", needs=("gears.module",))),
        Seen(part="governor", place="c", check=Verdict.unknown("x", "?", needs=("gears.module",))),
        Seen(part="log: a.csv", place="", check=Verdict.unknown("y", "?", needs=("pack_voltage_v",))),
        Seen(part="plan", place="", check=Verdict.unknown("z", "?", needs=("a smaller doubt on duty",))),
    ]
    rows = {row.key: row for row in measure_next(read, seen, None, ())}
    assert [row.rank for row in rows.values()] == [1, 2, 3, 4]
    assert list(rows) == ["gears.module", "log: pack_voltage_v", "motor.current_max", "gears.face_width"]
    assert (rows["gears.module"].decides, rows["gears.module"].has_part_in) == (2, 1)
    assert rows["motor.current_max"].origin == "unknown"
    assert "maker's manual" in rows["motor.current_max"].how


def unknown_after(read, key: str) -> set[str]:
    """Verdicts of the plan that are unknown once the spread of one value is halved, solved anew."""
    value = read.value(key)
    sharper = read.filled({key: replace(value, spread_si=0.5 * value.spread_si)})
    seen = evidence(sharper, (PLAN,), (), silent).every
    return {
        f"plan, {one.place.partition(WORST_IN)[0]}: {one.check.reason.partition(' is ')[0]}"
        for one in seen
        if one.check.verdict is Outcome.UNKNOWN
    }


def test_half_the_spread_of_just_what_is_said_to_decide_a_verdict_decides_it_when_solved_anew():
    read = job.read_machine(job.bundled("wren450"))
    rows = [one for one in measure_next(read, (), solve(read), ()) if one.origin != "unknown"]
    deciders = [one for one in rows if one.decides]
    assert deciders, "the machine has to be one with such a value"
    for row in deciders:
        assert not set(row.verdicts) & unknown_after(read, row.key)
    named = set(deciders[0].verdicts)
    for row in [one for one in rows if not one.decides][:4]:
        assert named & unknown_after(read, row.key)


def test_shares_are_parts_of_a_variance_and_half_a_spread_leaves_a_quarter_of_its_part():
    read = job.read_machine(job.bundled("fox600"))
    rows = measure_next(read, evidence(read, (PLAN,), (), silent).every, solve(read), ())
    by_figure: dict[str, float] = {}
    for row in rows:
        by_figure[row.of_figure] = by_figure.get(row.of_figure, 0.0) + row.share
    assert all(0.0 < total <= 1.0 + 1e-9 for figure, total in by_figure.items() if figure)
    assert math.sqrt(1.0 - HALVED * 1.0) == pytest.approx(0.5)


def lonely(numbers: dict[str, tuple[float, float]]):
    """The invented Wren 450 in its slowest mode with no doubt at all but on the keys given: value's share, half width's
    share."""
    read = job.read_machine(job.bundled("wren450"))
    read = read.model_copy(update={"flight_mode": read.flight_mode[:1]})
    exact = {key: replace(value, spread_si=0.0) for key, value in read.values() if value.spread_si > 0.0}
    for key, (times, half) in numbers.items():
        value = read.value(key)
        si = times * value.si
        exact[key] = replace(value, si=si, number=value.number * times, spread_si=half * si)
    return read.filled(exact)


def test_by_hand_of_two_doubts_on_one_limit_the_greater_is_to_be_measured_first():
    """The motor's current in a climb: torque over Kt, so a share of Kv is the same share of current.

    By hand: a doubt of 4 % on Kv moves it by about 4 %; a doubt of 4 % on the winding's resistance moves it hardly,
    since the torque asked sets the current. The limit is put so that half the doubt on Kv, and nothing else, keeps it.
    """
    read = lonely({"motor.kv": (1.0, 0.04), "motor.resistance": (1.0, 0.04)})
    solved = solve(read)
    current = float(solved.central.figures[0, 1, :, AT["motor_current_a"]].max())
    high = float(solved.figures.high[0, 1, :, AT["motor_current_a"]].max())
    assert high / current - 1.0 == pytest.approx(0.04, rel=0.35)
    limited = read.replaced({"motor.current_max": current + 0.7 * (high - current)})
    rows = measure_next(limited, evidence(limited, (PLAN,), (), silent).every, solve(limited), ())
    assert rows[0].key == "motor.kv"
    assert rows[0].decides >= 1
    assert "plan, normal: " in rows[0].verdicts[0]
    others = [row for row in rows if row.key == "motor.resistance"]
    assert all(row.decides == 0 for row in others)


def test_by_hand_a_limit_that_nobody_stated_comes_before_a_doubt_that_decides_nothing():
    """Two limits unknown and one doubt: knowing either limit gives its verdict, halving the doubt gives none.

    By hand: the lowest cell voltage hangs on the pack's resistance; with a limit far away no verdict hangs on it.
    """
    read = lonely({"pack.resistance": (1.0, 0.1)})
    seen = [
        Seen(part="plan", place="normal", check=Verdict.unknown("motor_current", "?", needs=("motor.current_max",))),
        Seen(part="plan", place="idle-up", check=Verdict.unknown("motor_current", "?", needs=("motor.current_max",))),
        Seen(part="ramps", place="", check=Verdict.unknown("one_way", "?", needs=("gears.one_way_torque_max",))),
    ]
    rows = measure_next(read, seen, solve(read), ())
    assert [row.key for row in rows[:2]] == ["motor.current_max", "gears.one_way_torque_max"]
    assert [row.decides for row in rows[:2]] == [2, 1]
    assert all(row.key != "pack.resistance" or row.decides == 0 for row in rows)


@pytest.mark.parametrize("key", sorted(SWITCHES))
def test_every_value_that_the_switch_rules_ask_for_has_a_way_to_measure_it(key: str) -> None:
    assert not _how(key).startswith("find out")
