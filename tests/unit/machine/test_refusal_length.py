"""Many unknown keys in one table: the keys that there are stand in the message once."""

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.errors import InputError


def test_the_known_keys_are_listed_once() -> None:
    wrong = "\n".join(f"zzz_{letter * 9} = 1" for letter in "abcdefgh")
    text = bundled("fox600").read_text("utf-8")
    assert "[governor]" in text
    with pytest.raises(InputError) as refused:
        machine_from_text(text.replace("[governor]", f"[governor]\n{wrong}", 1), "fox.toml")
    said = str(refused.value)
    assert said.count("idle_duty") == 1
    assert "as said before" in said
    assert "zzz_hhhhhhhhh" in said
    assert len(said) < 1500
