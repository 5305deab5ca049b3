"""What a log shows of hunting or of the pack stands before every change, and nothing is raised while it lasts."""

from dataclasses import replace

import pytest

from steadyhead.advise.advise import of_logs
from steadyhead.advise.held_by_logs import held_by_logs
from steadyhead.advise.judges_words import GAINS, PINION, agreed
from steadyhead.advise.result import Withheld
from steadyhead.judge.advice import ONE_AT_A_TIME
from steadyhead.judge.advice_together import told_together
from steadyhead.words.verdict import Limit, Verdict
from tests.unit.advise.test_one_answer import FOX, Seen, changed
from tests.unit.report.hand_made import judgement

SPEED = "flight_mode.1.head_speed"
WORN = "The pack is worn: retire it from hard flying and measure a fresh one for comparison."
HUNTS = "The loop hunts at 8.8 Hz: lower the proportional gain by about 20 %."
SHORTER = "Make the quick spool-up shorter by about a third."
FLOWN = Limit(value=1.0, unit="", origin="invented")


def failing(check: str) -> Seen:
    return Seen(part="log: a.csv", place="", check=Verdict.at_most(check, 2.0, FLOWN, what=check))


def speed_times(share: float):
    return changed(SPEED, flight_mode__1__head_speed=share * FOX.flight_mode[0].head_speed.si)


@pytest.mark.parametrize(("check", "said"), [
    ("cell_voltage", "pack"), ("pack_resistance", "pack"), ("no_hunting", "hunts"),
])  # fmt: skip
def test_nothing_is_raised_while_a_log_hunts_or_its_pack_fails(check: str, said: str) -> None:
    teeth = FOX.gears.pinion_teeth.number
    more, fewer = (changed(PINION, gears__pinion_teeth=teeth + one) for one in (1.0, -1.0))
    changes = (speed_times(1.06), more, speed_times(0.96), fewer, changed(GAINS, governor__gain=1e-3))
    left, held = held_by_logs(FOX, changes, [failing(check)])
    assert [(one.rank, one.key) for one in left] == [(1, SPEED), (2, PINION), (3, GAINS)]
    assert left[0].numbers[SPEED] < FOX.flight_mode[0].head_speed.si
    assert [one.key for one in held] == [SPEED, PINION]
    assert all(said in one.why and "a.csv" in one.why for one in held)
    assert held_by_logs(FOX, changes, [failing("climb_droop")]) == (changes_ranked(changes), ())


def changes_ranked(changes):
    return held_by_logs(FOX, changes, ())[0]


def test_the_words_of_all_logs_come_the_most_pressing_first_and_one_thing_at_a_time_is_not_among_them() -> None:
    lines = [("a.csv", SHORTER), ("a.csv", ONE_AT_A_TIME), ("b.csv", WORN), ("c.csv", HUNTS), ("c.csv", ONE_AT_A_TIME)]
    _, _, words = agreed(FOX, (), (), lines, {})
    assert words == (f"c.csv: {HUNTS}", f"b.csv: {WORN}", f"a.csv: {SHORTER}")


def test_hunting_that_was_flown_stands_though_gains_are_held_back_or_not_known() -> None:
    unknown = Withheld(key=GAINS, why="today's gains are not known", measure="learn")
    assert agreed(FOX, (), (unknown,), [("a.csv", HUNTS)], {})[2] == (f"a.csv: {HUNTS}",)
    more = changed(GAINS, "P: raise", governor__gain=1e3)
    kept, held, words = agreed(FOX, (more,), (), [("a.csv", HUNTS)], {})
    assert kept == ()
    assert len(held) == 1
    assert words == (f"a.csv: {HUNTS}",)


def test_no_log_holds_nothing_back() -> None:
    assert of_logs(()) == ()
    assert held_by_logs(FOX, (speed_times(1.06),), ())[1] == ()


def test_what_one_log_forbids_another_is_said_once_and_names_the_log_that_hunts() -> None:
    slow = "Raise the proportional gain by about 20 %, as long as the head does not begin to hunt."
    logs = [
        replace(judgement(), checks=(), log=f"/kept/{name}.csv", advice=(line, ONE_AT_A_TIME))
        for name, line in (("calm", slow), ("slow", slow), ("hunts", HUNTS))
    ]
    together = told_together(logs)
    for one in together[:2]:
        assert one.advice[0].startswith("Held back: more proportional gain")
        assert one.advice[0].endswith("The other way is asked by hunts.csv.")
    assert together[2].advice == (HUNTS, ONE_AT_A_TIME)
    _, _, words = agreed(FOX, (), (), [(one.log, line) for one in together for line in one.advice], {})
    assert words == (f"/kept/hunts.csv: {HUNTS}", together[0].advice[0])
    alone = told_together([replace(logs[0], advice=(slow, HUNTS))])[0]
    assert "asked by" not in " ".join(alone.advice)
