"""Number fields: a slip is refused with what was typed, never moved to the nearest end."""

from types import SimpleNamespace

import pytest

from steadyhead.web.fields import whole
from steadyhead.words.errors import InputError
from steadyhead.words.typed_number import number_in_field


def field(typed):
    return SimpleNamespace(name="Curve value, %", typed=typed)


def test_what_was_typed_is_taken_as_it_is():
    assert whole(field("13"), 10, 20) == 13


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("9,5", 9.5), ("9.5", 9.5), (" 1,8 ", 1.8), ("1710", 1710.0), ("1,225", 1.225), ("-5", -5.0), ("", None)],
)
def test_a_decimal_comma_is_a_decimal_point(typed, meant):
    assert number_in_field("Seconds", typed) == meant


@pytest.mark.parametrize(
    "typed", ["1.234,5", "1,234.5", "1.234.567", "9,", ",5", "1 710", "1'710", "9,5 s", "1e3", "nan", "9,,5", "٩"]
)
def test_what_may_be_read_in_two_ways_or_is_no_number_is_refused_as_it_was_typed(typed):
    with pytest.raises(InputError, match="Seconds") as refused:
        number_in_field("Seconds", typed)
    assert typed in refused.value.read


@pytest.mark.parametrize("typed", ["12.7", "12,7", "1.000", "9", "21", "-5", "", "nan"])
def test_no_fraction_is_cut_off(typed):
    with pytest.raises(InputError, match="a whole number from 10 to 20"):
        whole(field(typed), 10, 20)
