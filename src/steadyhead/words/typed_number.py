"""A number as a person types it: a point or a comma is where the decimals begin, and nothing stands between others."""

import re

from steadyhead.words.errors import InputError

NUMBER = r"\d{1,7}(?:[.,]\d{1,9})?"
"""Part of a pattern (with re.ASCII): thousands are not set apart, so that `1.234,5` is none."""
_SIGNED = re.compile(rf"[-+]?{NUMBER}", re.ASCII)


def number_typed(text: str) -> float:
    """Return a number that NUMBER matches, with or without its sign.

    >>> number_typed("9,5")
    9.5
    """
    return float(text.replace(",", "."))


def number_in_field(name: str, text: str) -> float | None:
    """Return the number that was typed into a field, None where nothing was.

    `name`: what the field is called. Never another number than was typed: what can be read in two ways is refused.
    Raises: InputError when it is no number.

    >>> number_in_field("Curve value, %", " 9,5 ")
    9.5
    """
    typed = text.strip().replace("\N{MINUS SIGN}", "-")
    if not typed:
        return None
    if _SIGNED.fullmatch(typed) is None:
        right = "digits, with one point or comma where the decimals begin, like 9.5 or 9,5"
        raise InputError(name, read=repr(typed[:60]), right=right)
    return number_typed(typed)
