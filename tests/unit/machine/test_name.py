"""The name of a machine: it is an address of its pages, too, so it needs a letter or a digit."""

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.new import SIZES, machine_text
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.errors import InputError

TEXT = bundled("wren450").read_text("utf-8")


@pytest.mark.parametrize("name", [".", "..", "   ", "-/-", ""])
def test_a_name_without_letter_or_digit_is_refused(name):
    with pytest.raises(InputError, match=r"machine\.name"):
        machine_from_text(TEXT.replace('"Wren 450"', f'"{name}"'), "wren.toml")


@pytest.mark.parametrize("name", ["7", "ö", "Wren 450.", "..a"])
def test_any_letter_or_digit_makes_a_name(name):
    assert machine_from_text(TEXT.replace('"Wren 450"', f'"{name}"'), "wren.toml").name == name


@pytest.mark.parametrize("size", SIZES)
def test_every_size_that_is_offered_makes_a_machine(size):
    assert machine_from_text(machine_text("Kite", size), "kite.toml").size_class == size
