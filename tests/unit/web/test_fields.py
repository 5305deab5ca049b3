"""Number fields: a slip is refused with what was typed, never moved to the nearest end."""

from types import SimpleNamespace

import pytest

from steadyhead.web.fields import whole
from steadyhead.words.errors import InputError


def field(value):
    return SimpleNamespace(label="Curve value, %", value=value)


def test_what_was_typed_is_taken_as_it_is():
    assert whole(field(13.0), 10, 20) == 13


@pytest.mark.parametrize("typed", [12.7, 9.0, 21.0, None, float("nan")])
def test_no_fraction_is_cut_off(typed):
    with pytest.raises(InputError, match="a whole number from 10 to 20"):
        whole(field(typed), 10, 20)
