from dataclasses import replace

from steadyhead.report.plan_checks import plan_check_tables, worst_checks
from steadyhead.words.verdict import Limit, Outcome, Verdict
from tests.unit.report import hand_made

CELL = Limit(value=3.3, unit="V", origin="machine file, maker")


def mode_with(*checks: Verdict):
    mode = hand_made.mode_plan("normal", 1800.0)
    conditions = [
        replace(condition, condition=f"number {place}", checks=(check,))
        for place, (condition, check) in enumerate(zip(mode.conditions, checks, strict=False))
    ]
    return replace(mode, conditions=tuple(conditions))


def volts(figure: float) -> Verdict:
    return Verdict.at_least("cell_voltage", figure, CELL, what="cell voltage")


def test_a_limit_shows_the_condition_that_comes_closest_to_it() -> None:
    ((check, condition),) = worst_checks(mode_with(volts(3.9), volts(3.4), volts(3.7)))
    assert (check.figure, condition) == (3.4, "number 1")


def test_a_failed_condition_goes_before_one_not_known_and_that_before_one_passed() -> None:
    unknown = Verdict.unknown("cell_voltage", "no limit")
    ((check, _),) = worst_checks(mode_with(volts(3.9), unknown, volts(3.7)))
    assert check.verdict is Outcome.UNKNOWN
    ((check, _),) = worst_checks(mode_with(volts(3.9), unknown, volts(3.1)))
    assert check.verdict is Outcome.FAIL


def test_every_limit_says_where_it_comes_from() -> None:
    (table,) = plan_check_tables(replace(hand_made.plan(), modes=(mode_with(volts(3.5)),)))
    assert [cell.text for cell in table.rows[0]][2:] == ["3.5 V", "≥ 3.3 V", "machine file, maker", "number 0"]


def test_a_limit_nobody_gave_is_not_known() -> None:
    check = Verdict.at_most("motor_current", 80.0, None, what="motor current")
    (table,) = plan_check_tables(replace(hand_made.plan(), modes=(mode_with(check),)))
    assert table.rows[0][1].verdict == "unknown"
    assert table.rows[0][4].text == "not known"
