"""What to measure next: values nobody stated come with the verdicts they hold up, doubtful ones with their share."""

import math

import pytest

from steadyhead import job
from steadyhead.advise.evidence import PLAN, Seen, evidence
from steadyhead.advise.measure_next import HALVED, measure_next
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


def test_half_the_spread_of_what_is_said_to_decide_a_verdict_decides_it_when_solved_anew():
    read = job.read_machine(job.bundled("wren450"))
    seen = evidence(read, (PLAN,), (), silent)
    rows = measure_next(read, seen.every, solve(read), ())
    deciders = [row for row in rows if row.decides and row.origin not in ("unknown",)]
    assert deciders, "the machine has to be one with such a value"
    row = deciders[0]
    value = read.value(row.key)
    sharper = read.filled({row.key: value.__class__(**{**value.__dict__, "spread_si": 0.5 * value.spread_si})})
    before = sum(one.check.verdict is Outcome.UNKNOWN for one in seen.every)
    after = sum(one.check.verdict is Outcome.UNKNOWN for one in evidence(sharper, (PLAN,), (), silent).every)
    assert before - after >= 1


def test_shares_are_parts_of_a_variance_and_half_a_spread_leaves_a_quarter_of_its_part():
    read = job.read_machine(job.bundled("fox600"))
    rows = measure_next(read, evidence(read, (PLAN,), (), silent).every, solve(read), ())
    by_figure: dict[str, float] = {}
    for row in rows:
        by_figure[row.of_figure] = by_figure.get(row.of_figure, 0.0) + row.share
    assert all(0.0 < total <= 1.0 + 1e-9 for figure, total in by_figure.items() if figure)
    assert math.sqrt(1.0 - HALVED * 1.0) == pytest.approx(0.5)
