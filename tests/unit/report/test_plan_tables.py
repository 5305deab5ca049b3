from dataclasses import replace

from steadyhead.report.figures.duty import hardest
from steadyhead.report.plan_tables import choice_tables, condition_tables, hardest_tables, mode_table
from tests.unit.report import hand_made

NAN = float("nan")


def row_of(table, name: str) -> list[str]:
    return [cell.text for row in table.rows if row[0].text == name for cell in row]


def test_a_mode_shows_the_worst_of_all_its_conditions() -> None:
    plan = hand_made.plan({"normal": 1850.0})
    row = row_of(mode_table(plan), "normal")
    assert row[3] == f"{max(c.pack_current_a for c in plan.modes[0].conditions):.3g} A"
    assert row[2] == f"{100 * min(c.head_room for c in plan.modes[0].conditions):.1f} %"


def test_a_head_speed_that_cannot_be_held_says_so_instead_of_a_figure() -> None:
    row = row_of(mode_table(hand_made.plan({"too fast": 9000.0})), "too fast")
    assert row[2] == "cannot hold"


def test_a_condition_without_an_answer_makes_the_worst_not_known() -> None:
    mode = hand_made.mode_plan("normal", 1850.0)
    blank = replace(mode.conditions[3], pack_current_a=NAN, head_room=NAN, solved=False)
    mode = replace(mode, conditions=(*mode.conditions[:3], blank, *mode.conditions[4:]))
    assert hardest(mode.conditions) is blank
    row = row_of(mode_table(replace(hand_made.plan(), modes=(mode,))), "normal")
    assert row[2:4] == ["cannot hold", "not known"]


def test_every_condition_stands_in_the_tables_and_the_hardest_of_each_load_apart() -> None:
    plan = hand_made.plan()
    assert sum(len(table.rows) for table in condition_tables(plan)) == sum(len(m.conditions) for m in plan.modes)
    assert [len(table.rows) for table in hardest_tables(plan)] == [len(hand_made.LOADS)] * len(plan.modes)


def test_pinions_stand_in_order_of_rank_and_the_fitted_one_is_named() -> None:
    (table,) = choice_tables(hand_made.plan())
    ranks = [int(row[1].text) for row in table.rows]
    assert ranks == sorted(ranks)
    assert [row[0].text for row in table.rows if "fitted now" in row[0].text] == ["11 teeth, fitted now"]
