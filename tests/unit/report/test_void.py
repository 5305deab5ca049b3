from steadyhead.bench.void import SWITCHED, VOID
from steadyhead.report.names import CHECKS
from steadyhead.report.void import CHANGES, GROUPS, void_sentence, void_table


def test_every_check_says_which_change_makes_it_void() -> None:
    assert set(VOID) >= set(CHECKS)
    assert set(VOID) > SWITCHED
    for check, changes in VOID.items():
        assert changes, check
        assert changes <= set(CHANGES)


def test_every_check_stands_in_one_group() -> None:
    grouped = [check for checks in GROUPS.values() for check in checks]
    assert sorted(grouped) == sorted(CHECKS)


def test_the_table_holds_every_check_and_change() -> None:
    table = void_table()
    assert len(table.rows) == len(CHECKS) + 3
    assert [column.title for column in table.columns[1:]] == list(CHANGES)
    assert {cell.text for row in table.rows for cell in row[1:]} == {"run again", "stands"}


def test_the_start_and_stop_logic_is_void_after_firmware() -> None:
    for check in GROUPS["start and stop"]:
        assert "firmware" in VOID[check]
    assert "Firmware: " in void_sentence()
