from dataclasses import replace

from steadyhead.report.settings_tables import mode_settings, other_settings
from tests.unit.report import hand_made


def texts(table, name: str) -> list[str]:
    return [cell.text for row in table.rows if row[0].text == name for cell in row]


def test_each_flight_mode_has_its_curve_value() -> None:
    row = texts(mode_settings(hand_made.plan(), hand_made.channel()), "idle-up 1")
    assert row[1:4] == ["2050 rpm", "78.6 %", "1729 µs"]


def test_a_curve_nobody_knows_is_not_known_and_not_pass() -> None:
    table = mode_settings(hand_made.plan(), None)
    for row in table.rows:
        assert [cell.text for cell in row[2:5]] == ["not known"] * 3
        assert row[6].verdict == "unknown"


def test_without_a_plan_nothing_is_said_of_one() -> None:
    alone, both = (mode_settings(plan, hand_made.channel()) for plan in (None, hand_made.plan()))
    assert [column.title for column in both.columns if column.title not in {c.title for c in alone.columns}] == ["Plan"]
    assert {len(row) for row in alone.rows} == {len(alone.columns)}


def test_an_autorotation_position_outside_its_window_is_never_shown_as_the_one_to_enter() -> None:
    answer = replace(hand_made.channel(), autorotation_window_percent=(8.25, 21.75), autorotation_percent=5.0)
    row = texts(other_settings(hand_made.HandMachine(), answer), "Autorotation position")
    assert row[1] == "8.3–21.7 %"
    assert "OUTSIDE" in row[2]


def test_a_spool_time_nobody_gave_is_not_known() -> None:
    row = texts(other_settings(hand_made.HandMachine(), hand_made.channel()), "Quick spool-up")
    assert row[1] == "not known"
    assert "maker's manual" in row[2]
