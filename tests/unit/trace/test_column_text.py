import pytest

from steadyhead.trace.column_text import columns_from_text
from steadyhead.words.errors import InputError


def test_the_last_equals_sign_parts_heading_and_meaning() -> None:
    assert columns_from_text(["a=b = head_speed_rpm:rpm", "gas=throttle_percent"]) == {
        "a=b": "head_speed_rpm:rpm",
        "gas": "throttle_percent",
    }


@pytest.mark.parametrize("text", ["", "=", "rpm", "rpm=", "=head_speed_rpm"])
def test_a_text_without_both_sides_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(InputError, match="HEADING=MEANING:UNIT"):
        columns_from_text([text])


def test_several_answers_stand_one_a_line_or_parted_by_semicolons_as_a_hint_shows_them() -> None:
    typed = 'rpm A=head_speed_rpm:rpm\nrpm B=ignore; gas=duty\n--column "volt; pack=pack_voltage_v"\n'
    assert columns_from_text([typed]) == {
        "rpm A": "head_speed_rpm:rpm",
        "rpm B": "ignore",
        "gas": "duty",
        "volt; pack": "pack_voltage_v",
    }
