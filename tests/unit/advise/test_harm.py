"""A change that leaves drive, pack or loop worse than they are today, and mends nothing for them, is no advice."""

from pathlib import Path

import pytest

from steadyhead.advise.advise import Ranked, ranked
from steadyhead.advise.effects import change_of, effects, mended
from steadyhead.advise.harm import harmless, harms, spoils
from steadyhead.advise.seen import BAIL_OUT, CHANNEL, CLIMB_OUT, GOVERNOR, PLAN, WORST_IN, Seen
from steadyhead.advise.trial import trial_of
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.verdict import Limit, Outcome, Verdict

FOX = read_machine(Path(bundled("fox600")))
ONE = Limit(value=1.0, unit="", origin="invented")
FASTER = trial_of(FOX, {"flight_mode.3.head_speed": 240.0}, ("flight_mode.3.head_speed", "", "", ""), (PLAN,))


def seen(check: str, figure: float, part: str = PLAN, place: str = "") -> Seen:
    return Seen(part=part, place=place, check=Verdict.at_most(check, figure, ONE, what=check))


def unsure(check: str, figure: float, part: str = PLAN) -> Seen:
    said = Verdict.at_most(check, figure, ONE, what=check, interval=(figure - 0.5, figure + 0.5))
    assert said.verdict is Outcome.UNKNOWN
    return Seen(part=part, place="", check=said)


def test_five_failing_checks_made_worse_for_one_that_still_fails_are_no_advice() -> None:
    names = ("duty_margin", "motor_current", "winding_temperature", "cell_voltage", "controller_current")
    before = [*(seen(name, 1.04) for name in names), seen("bail_out_height", 3.3)]
    after = [*(seen(name, 1.08) for name in names), seen("bail_out_height", 2.9)]
    assert len(harms(before, after)) == 5
    assert change_of(FASTER, before, after) is None
    assert change_of(FASTER, before, [*before[:-1], after[-1]]) is not None


def test_what_was_unknown_and_fails_after_is_harm_and_what_is_better_at_its_worst_is_not() -> None:
    before = [seen("overspeed", 2.0, GOVERNOR), unsure("overspeed", 0.9, CLIMB_OUT)]
    after = [seen("overspeed", 1.3, GOVERNOR), seen("overspeed", 1.1, CLIMB_OUT)]
    assert spoils(before, after) == harms(before, after) == ()
    worse = [seen("overspeed", 2.0, GOVERNOR), seen("overspeed", 1.1, CLIMB_OUT)]
    assert spoils(before, worse) == harms(before, worse) == (worse[1],)


def test_a_better_governed_head_does_not_pay_for_cells_that_go_lower() -> None:
    before = [seen("climb_droop", 1.5), seen("recovery", 1.5), seen("overspeed", 1.5), seen("cell_voltage", 1.1)]
    after = [*(seen(one.check.check, 0.7) for one in before[:3]), seen("cell_voltage", 1.2)]
    assert not harmless(before, after)
    assert harmless([*before, seen("step_held", 1.1), seen("duty_margin", 1.2)],
                    [*after, seen("step_held", 0.9), seen("duty_margin", 0.8)])  # fmt: skip


def test_one_flight_mode_of_three_weighs_a_third() -> None:
    modes = ("a", "b", "c")
    before = [
        *(seen("duty_margin", 1.2, place=mode) for mode in modes),
        *(seen("current", 1.2, place=m) for m in modes),
    ]
    after = [*(seen("duty_margin", 0.8, place=mode) for mode in modes), seen("current", 1.4, place="a"), *before[4:]]
    assert harmless(before, after)
    assert not harmless(before, [seen("duty_margin", 0.8, place="a"), *before[1:3], *after[3:]])


@pytest.mark.parametrize("left", [-9.0, -1.0])
def test_a_change_that_spoils_an_unknown_check_ranks_after_one_that_spoils_none(left: float) -> None:
    change = change_of(FASTER, [seen("a", 1.5)], [seen("a", 0.5)])
    assert change is not None
    spoiling = Ranked(order=(-1.0,), left=left, change=change, spoils=(seen("b", 1.1),))
    plain = Ranked(order=(-1.0,), left=-2.0, change=change)
    assert ranked([spoiling, plain])[0][0].numbers == change.numbers
    found, held = ranked([spoiling, plain])
    assert [one.rank for one in found] == [1, 2]
    assert held == ()
    assert spoiling.harm > plain.harm


def of_plan(worst: str, **figures: float) -> Seen:
    """One hover duty over conditions of one flight mode, worst in one of them."""
    low, high = Limit(value=0.65, unit="", origin="us"), Limit(value=0.85, unit="", origin="us")
    every = {
        f"normal{WORST_IN}{name}": Verdict.between("hover_duty", figure, low, high, what="hover duty")
        for name, figure in figures.items()
    }
    place = f"normal{WORST_IN}{worst}"
    return Seen(part=PLAN, place=place, check=every[place], everywhere=every)


def test_before_and_after_of_a_plan_figure_are_of_one_condition() -> None:
    (worse,) = effects([of_plan("cold", cold=0.79, warm=0.69)], [of_plan("warm", cold=0.74, warm=0.6)])
    assert (worse.before, worse.after, worse.place) == (0.69, 0.6, f"normal{WORST_IN}warm")
    (mended,) = effects([of_plan("cold", cold=0.9, warm=0.7)], [of_plan("warm", cold=0.84, warm=0.66)])
    assert (mended.before, mended.after, mended.place) == (0.9, 0.84, f"normal{WORST_IN}cold")


def test_a_fault_of_another_flight_mode_is_no_reason_to_move_a_head_speed() -> None:
    fast, slow = FOX.flight_mode[2].name, FOX.flight_mode[0].name
    before = [seen("motor_current", 1.4, place=f"{fast}{WORST_IN}climb"), seen("bail_out_height", 1.4, place=slow)]
    after = [seen("motor_current", 1.1, place=f"{fast}{WORST_IN}climb"), seen("bail_out_height", 1.2, place=slow)]
    change = change_of(FASTER, before, after)
    assert change is not None
    assert len(change.why) == 1
    assert "motor_current" in change.why[0]


@pytest.mark.parametrize(("after", "interval"), [(3.0, None), (2.0, None), (2.0, (1.9, 2.1))])
def test_a_figure_without_a_doubt_is_no_pass_after_a_change_not_even_on_its_limit(after, interval) -> None:
    limit = Limit(value=2.0, unit="", origin="test")
    first, then = (
        Seen(part=GOVERNOR, place="", check=Verdict.at_least("gain_margin", one, limit, what="m", interval=span))
        for one, span in ((0.8, None), (after, interval))
    )
    (effect,) = effects([first], [then])
    if interval is None:
        assert then.check.verdict is Outcome.PASS
        assert (effect.moved, effect.after_verdict, effect.would_pass) == ("mended", Outcome.UNKNOWN, True)
        assert effect.happens == "would pass, doubt not worked out"
        assert mended([first], [then]) == 0
    else:
        assert effect.after_verdict is then.check.verdict
        assert not effect.would_pass


def test_a_window_holds_the_doubt_of_its_edges_and_a_yes_or_no_is_flown_by_drawn_machines() -> None:
    edge = Limit(value=0.0, unit="us", origin="test")
    for figure, passes in ((12.0, True), (0.0, False)):
        check = Verdict.at_least("autorotation_window", figure, edge, what="inside")
        assert (Seen(part=CHANNEL, place="", check=check).outcome is Outcome.PASS) is passes
    granted = Verdict(check="quick_restart_granted", verdict=Outcome.PASS, reason="granted")
    assert Seen(part=BAIL_OUT, place="", check=granted).outcome is Outcome.PASS
