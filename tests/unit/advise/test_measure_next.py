"""What to measure next: values nobody stated come with the verdicts they hold up, doubtful ones with their share."""

import math
from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.advise.evidence import evidence
from steadyhead.advise.measure_next import HALVED, measure_next
from steadyhead.advise.seen import PLAN, WORST_IN, Seen
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
