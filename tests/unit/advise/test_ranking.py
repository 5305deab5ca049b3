"""What is farthest beyond its limit is told first, a cause seen in every mode counts once, the rest is held back."""

import pytest

from steadyhead import job
from steadyhead.advise.advise import changes_of
from steadyhead.advise.effects import helps, mended, never_helps, shortfall
from steadyhead.advise.evidence import evidence
from steadyhead.advise.seen import BAIL_OUT, CHANNEL, GLIDE, GOVERNOR, PLAN, RAMPS, TIMES, Seen
from steadyhead.flight.descend import glide_checks
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Limit, Verdict

ONE = Limit(value=1.0, unit="", origin="us")


def seen(check: str, figure: float, place: str = "", part: str = PLAN) -> Seen:
    """One check of a limit of at most 1; a figure of 1.2 is a fifth beyond it."""
    return Seen(part=part, place=place, check=Verdict.at_most(check, figure, ONE, what=check))


def test_one_check_missed_by_its_whole_limit_weighs_more_than_three_missed_by_a_hair() -> None:
    hairs = [seen(name, 1.01) for name in ("duty_margin", "cell_voltage", "hover_duty")]
    far = [seen("quick_restart_granted", 2.0, part=BAIL_OUT)]
    assert shortfall(far) > shortfall(hairs) > 0.0
    assert shortfall([seen("duty_margin", 0.9)]) == 0.0
    assert shortfall([seen("window", 50.0)]) == pytest.approx(shortfall([seen("window", 2.0)]))


def test_the_same_cause_in_three_modes_counts_once_and_in_one_of_three_a_third() -> None:
    everywhere = [seen("motor_current", 1.3, mode) for mode in ("a", "b", "c")]
    once = [seen("motor_current", 1.3, "a"), *(seen("motor_current", 0.8, mode) for mode in ("b", "c"))]
    assert shortfall(everywhere) == pytest.approx(shortfall([seen("motor_current", 1.3)]))
    assert shortfall(once) == pytest.approx(shortfall(everywhere) / 3.0)


def test_a_check_that_failed_and_is_unknown_now_is_not_quite_mended() -> None:
    was = seen("duty_margin", 1.2)
    now = Seen(part=PLAN, place="", check=Verdict.at_most("duty_margin", 0.95, ONE, what="x", interval=(0.8, 1.1)))
    assert 0.0 < shortfall([now], {was.key}) < shortfall([seen("duty_margin", 1.001)])
    assert shortfall([now]) == 0.0


def unsure(check: str, figure: float) -> Seen:
    """One check that keeps its limit of 1, but whose doubt reaches over it."""
    said = Verdict.at_most(check, figure, ONE, what=check, interval=(figure - 0.5, figure + 0.5))
    return Seen(part=PLAN, place="", check=said)


def test_a_change_after_which_one_failing_check_is_unknown_and_others_are_farther_beyond_is_no_advice() -> None:
    """Weak gains made weaker: one overspeed is unknown then, droop and the other overspeed come out worse."""
    before = [seen("overspeed", 1.2), seen("droop", 1.8), seen("overspeed", 2.0, part=GOVERNOR)]
    after = [unsure("overspeed", 0.8), seen("droop", 2.1), seen("overspeed", 2.6, part=GOVERNOR)]
    assert not helps(before, after)
    assert helps(before, [unsure("overspeed", 0.8), *before[1:]])


def test_a_check_mended_by_a_hair_does_not_outweigh_others_made_far_worse() -> None:
    before = [seen("a", 1.05), seen("b", 1.5), seen("c", 0.9)]
    assert not helps(before, [seen("a", 0.95), seen("b", 2.5), seen("c", 0.9)])
    assert helps(before, [seen("a", 0.95), seen("b", 1.52), seen("c", 0.9)])
    assert not helps(before, [seen("a", 0.95), seen("b", 1.2), seen("c", 1.01)])


def test_a_check_that_is_unknown_after_a_change_is_not_counted_as_mended() -> None:
    before = [seen("a", 1.2), seen("b", 1.3)]
    held = Verdict.at_most("b", 0.8, ONE, what="b", interval=(0.7, 0.9))
    assert mended(before, [unsure("a", 0.9), Seen(part=PLAN, place="", check=held)]) == 1
    assert mended(before, [unsure("a", 0.9), seen("b", 0.8)]) == 0


def test_a_first_part_that_is_no_better_gives_way_to_what_may_be_mended_elsewhere() -> None:
    before, after = [seen("a", 1.2), seen("b", 0.9)], [seen("a", 0.9), seen("b", 1.1)]
    assert never_helps(before, after)
    assert not never_helps(before, after, elsewhere=1)
    assert never_helps(before, [seen("a", 1.2), seen("b", 1.1)], elsewhere=1)


def test_a_position_far_outside_its_window_is_told_before_a_head_speed_a_little_too_high() -> None:
    """By hand: the position lies far below its window and no restart is granted; the plan misses margins by 5 %."""
    low = job.read_machine(job.bundled("wren450")).replaced({"channel.autorotation": 0.04})
    before = evidence(low, (PLAN, CHANNEL, BAIL_OUT), (), silent)
    assert max(one.excess for one in before.every if one.fails and one.part == PLAN) < 0.1
    changes, _ = changes_of(low, before, (), silent)
    assert changes[0].key == "channel.autorotation"
    assert any(change.key.endswith("head_speed") for change in changes[1:])
    assert [change.rank for change in changes] == list(range(1, len(changes) + 1))


def test_a_ramp_too_slow_that_no_limit_lets_be_shortened_is_held_back_and_says_what_comes_first() -> None:
    slow = job.read_machine(job.bundled("fox600")).replaced({"governor.quick_spool": 6.0})
    changes, withheld = changes_of(slow, evidence(slow, (GOVERNOR, RAMPS, TIMES), (), silent), (), silent)
    assert not any(change.key == "governor.quick_spool" and change.numbers[change.key] < 6.0 for change in changes)
    held = next(one for one in withheld if one.key == "governor.quick_spool")
    assert "6 s is longer than the 3 s that are usual" in held.why
    assert "teeth" in held.measure


def test_glides_kept_from_before_a_change_of_head_speed_are_those_looked_for_anew() -> None:
    read = job.read_machine(job.bundled("heron520"))
    before = glide_checks(read)
    for mode, share in ((2, 0.97), (3, 0.95)):
        moved = read.replaced({f"flight_mode.{mode}.head_speed": share * read.flight_mode[mode - 1].head_speed.si})
        kept, anew = glide_checks(moved, before), glide_checks(moved)
        assert [one.check for one in kept.checks] == [one.check for one in anew.checks]
        for one, other in zip(kept.checks, anew.checks, strict=True):
            assert one.verdict is other.verdict
            if one.figure is not None:
                assert one.figure == pytest.approx(other.figure, rel=2e-3)
    other = read.replaced({"airframe.mass": 1.1 * read.airframe.mass.si})  # type: ignore[union-attr]
    assert glide_checks(other, before).checks == glide_checks(other).checks


def test_what_fails_is_the_same_for_the_machine_as_described_alone() -> None:
    read = job.read_machine(job.bundled("wren450"))
    for part in (PLAN, GOVERNOR, BAIL_OUT):
        whole, alone = (evidence(read, (part,), (), silent, alone=alone).every for alone in (False, True))
        assert {one.key for one in whole if one.fails} == {one.key for one in alone if one.fails}
        excess = {one.key: one.excess for one in alone}
        assert all(excess[one.key] == pytest.approx(one.excess) for one in whole if one.fails)


def test_glide_is_evidence_that_a_change_takes_over() -> None:
    read = job.read_machine(job.bundled("wren450"))
    seen_first = evidence(read, (GLIDE,), (), silent)
    assert seen_first.glide is not None
    assert seen_first.doubts == seen_first.glide.doubts
