"""Readings as typed on the command line: `80=1710` or `80=1710+-5`."""

import re
from collections.abc import Iterable

from steadyhead.channel.reading_set import checked
from steadyhead.channel.result import Reading
from steadyhead.words.errors import InputError
from steadyhead.words.typed_number import NUMBER, number_typed

SPREAD_NOT_STATED = 0.0
RIGHT = "channel percent = head speed in rpm, with or without its 90 % half width, like 80=1710 or 80=1710+-5"
GROUPED = re.compile(r"\d{1,2}[.,]\d{3}", re.ASCII)
"""A head speed written with its thousands apart, as 1.750: a point or comma is where the decimals begin."""
PAIR = re.compile(rf"\s*({NUMBER})\s*%?\s*=\s*({NUMBER})\s*(?:(?:\+-|\+/-|±)\s*({NUMBER})\s*)?(?:rpm)?\s*", re.ASCII)


def reading_from_text(text: str) -> Reading:
    """Read one pair; a spread that is not stated is 0, and is doubted as `reading_doubt` says.

    Raises: InputError naming the text.

    >>> reading_from_text("80=1710+-5").spread_rpm
    5.0
    """
    found = PAIR.fullmatch(text)
    if found is None:
        raise InputError("--reading", read=_shown(text), right=RIGHT)
    percent, head_speed_rpm, spread = found.groups()
    if GROUPED.fullmatch(head_speed_rpm):
        digits = re.sub("[.,]", "", head_speed_rpm)
        raise InputError(
            "--reading", read=_shown(text), right=f"{digits} rpm with no point or comma between the digits"
        )
    reading = Reading(
        percent=number_typed(percent),
        head_speed_rpm=number_typed(head_speed_rpm),
        spread_rpm=number_typed(spread) if spread else SPREAD_NOT_STATED,
        source="command line",
    )
    checked(reading, place=f"--reading {_shown(text)}")
    return reading


def text_of(reading: Reading) -> str:
    """Return a reading as it would be typed.

    >>> text_of(reading_from_text("80 = 1710 ± 5"))
    '80=1710+-5'
    """
    spread = f"+-{reading.spread_rpm:.10g}" if reading.spread_rpm else ""
    return f"{reading.percent:.10g}={reading.head_speed_rpm:.10g}{spread}"


def readings_from_texts(texts: Iterable[str]) -> tuple[Reading, ...]:
    """Read several pairs.

    Raises: InputError naming the first text that cannot be read.
    """
    return tuple(reading_from_text(text) for text in texts)


def _shown(text: str) -> str:
    """Return the text in quotes, cut short, with nothing in it that could break a line."""
    return ascii(text[:60])
