"""Number fields: a slip is refused with what was typed, never moved to the nearest end."""

from types import SimpleNamespace

import pytest

from steadyhead.web.fields import whole, within
from steadyhead.words.errors import InputError


def field(value):
    return SimpleNamespace(label="Curve value, %", value=value)


@pytest.mark.parametrize("typed", [755.0, -5.0, float("nan"), float("inf")])
def test_a_number_outside_is_refused_as_it_was_typed(typed):
    with pytest.raises(InputError, match=rf"Curve value, %: read {typed:g}; right would be 0 to 100 %"):
        within(field(typed), 0.0, 100.0, "%")


def test_what_was_typed_is_taken_as_it_is():
    assert within(field(75.5), 0.0, 100.0, "%") == 75.5
    assert within(field(None), 0.0, 100.0, "%") is None
    assert whole(field(13.0), 10, 20) == 13


@pytest.mark.parametrize("typed", [12.7, 9.0, 21.0, None, float("nan")])
def test_no_fraction_is_cut_off(typed):
    with pytest.raises(InputError, match="a whole number from 10 to 20"):
        whole(field(typed), 10, 20)
