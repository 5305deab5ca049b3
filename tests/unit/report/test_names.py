import pytest

from steadyhead.report.names import CHECKS, check_name, file_name, key_name, need_name, segment_name


def test_every_check_has_a_human_name() -> None:
    assert len(CHECKS) >= 20
    for check in CHECKS:
        assert "_" not in check_name(check)
        assert check_name(check)[0].isupper()


def test_a_check_that_nobody_named_is_spelt_out_and_not_hidden() -> None:
    assert check_name("brand_new_check") == "Brand new check"


def test_a_check_of_one_flight_mode_carries_its_name() -> None:
    assert check_name("curve: idle_up 1") == "Curve value for the head speed wanted: idle_up 1"


@pytest.mark.parametrize(
    ("key", "said"),
    [("motor.resistance", "motor resistance"), ("airframe.mass", "flying mass"), ("unheard_of", "unheard of")],
)
def test_keys_of_the_machine_file_are_said_in_trade_words(key: str, said: str) -> None:
    assert key_name(key) == said


def test_what_a_check_needs_is_said_without_the_unit_of_the_channel() -> None:
    assert need_name("pack_voltage_v") == "pack voltage"
    assert need_name("height_m or collective_deg") == "height or collective"
    assert need_name("climb_speed_m_s") == "climb speed"
    assert need_name("the limit of duty") == "the limit of duty"
    assert need_name("readings") == "readings"


def test_an_unknown_kind_of_segment_keeps_its_word() -> None:
    assert segment_name("quick_spool") == "quick restart"
    assert segment_name("long_walk") == "long walk"


def test_a_sheet_tells_nothing_of_the_folders_a_log_lies_in() -> None:
    assert file_name("/disk/someone/logs/flight.csv, 3 to 5 s") == "flight.csv, 3 to 5 s"
    assert file_name("C:\\Users\\someone\\flight.csv") == "flight.csv"
    assert file_name("flight.csv") == "flight.csv"
    assert file_name("") == ""
