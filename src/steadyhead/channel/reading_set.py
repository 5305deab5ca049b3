"""Readings put in order, checked one by one and against each other."""

import math
from collections.abc import Iterable

from steadyhead.channel.reading_doubt import deviation_rpm
from steadyhead.channel.result import Reading
from steadyhead.words.errors import InputError

PLACE = "readings"
BEYOND_DOUBT = 3.29
"""Standard errors beyond which two readings contradict each other: one honest pair in a thousand."""
LOWEST_RPM, HIGHEST_RPM = 100.0, 6000.0
"""What the machine file takes as a reading, too: no head of these classes runs slower, and a faster one is a motor."""


def reading_set(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Return the readings by channel percent, the same reading given twice only once, unless taken two ways.

    Raises: InputError naming a reading that cannot be one, or two that contradict each other.
    """
    seen: dict[tuple[float, float, float, bool], Reading] = {}
    for reading in readings:
        checked(reading)
        seen.setdefault((reading.percent, reading.head_speed_rpm, reading.spread_rpm, reading.is_at_head), reading)
    ordered = tuple(seen[key] for key in sorted(seen))
    for place, lower in enumerate(ordered):
        for upper in ordered[place + 1 :]:
            _agree(lower, upper)
    return ordered


def checked(reading: Reading, place: str = PLACE) -> None:
    """Refuse a reading that no running rotor gives.

    Raises: InputError naming the reading.
    """
    if not (math.isfinite(reading.percent) and 0.0 <= reading.percent <= 100.0):
        raise InputError(place, read=f"{reading.percent:g} % channel", right="a channel position of 0 to 100 %")
    if not (math.isfinite(reading.head_speed_rpm) and LOWEST_RPM <= reading.head_speed_rpm <= HIGHEST_RPM):
        raise InputError(
            place,
            read=f"{reading.head_speed_rpm:g} rpm at {reading.percent:g} %",
            right=f"the head speed of the running rotor, {LOWEST_RPM:g} to {HIGHEST_RPM:g} rpm",
        )
    if not (math.isfinite(reading.spread_rpm) and 0.0 <= reading.spread_rpm <= reading.head_speed_rpm):
        raise InputError(
            place,
            read=f"a spread of {reading.spread_rpm:g} rpm on {reading.head_speed_rpm:g} rpm",
            right="a half width of the 90 % interval, 0 or more and smaller than the head speed",
        )


def said(reading: Reading) -> str:
    """Say a reading as a person would: `2196 rpm at 100 % (bench)`."""
    return f"{reading.head_speed_rpm:.5g} rpm at {reading.percent:g} % ({reading.source})"


def may_be_one(one: Reading, other: Reading) -> bool:
    """Whether two readings of one position differ by no more than their doubts let them."""
    doubt_rpm = math.hypot(deviation_rpm(one), deviation_rpm(other))
    return abs(one.head_speed_rpm - other.head_speed_rpm) <= BEYOND_DOUBT * doubt_rpm


def _agree(lower: Reading, upper: Reading) -> None:
    """Refuse a pair that no rising law passes through: `lower` lies at the smaller percent, or at the same."""
    fall_rpm = lower.head_speed_rpm - upper.head_speed_rpm
    beyond_rpm = BEYOND_DOUBT * math.hypot(deviation_rpm(lower), deviation_rpm(upper))
    if lower.percent == upper.percent and not may_be_one(lower, upper):
        raise InputError(
            PLACE,
            read=f"{said(lower)} and {said(upper)}: the same channel position with two head speeds",
            right=f"one head speed for one position: {_way_out(lower, upper)}",
        )
    if lower.percent < upper.percent and fall_rpm > beyond_rpm:
        raise InputError(
            PLACE,
            read=f"{said(lower)} and {said(upper)}: more channel with less head speed",
            right="a head speed that does not fall as the channel rises: read both positions again",
        )


def _way_out(one: Reading, other: Reading) -> str:
    """Say what to do with two head speeds of one position; one through the gears is wrong where the teeth are."""
    if one.is_at_head is other.is_at_head:
        return "read that position again and take the wrong one out"
    return "count the teeth of pinion and main gear, or read that position again and take the wrong one out"


def reading_typed(percent: float | None, head_speed_rpm: float | None, spread_rpm: float | None) -> Reading:
    """Return a reading that a person typed as two or three numbers; a spread that is not stated is 0, and is doubted.

    Raises: InputError when a number is missing, or no running rotor gives it.
    """
    if percent is None:
        raise InputError("the curve value", read="nothing", right="the curve value of the reading, in percent")
    if head_speed_rpm is None:
        raise InputError("the head speed", read="nothing", right="the head speed that was read, in rpm")
    taken = Reading(percent=percent, head_speed_rpm=head_speed_rpm, spread_rpm=spread_rpm or 0.0, source="typed")
    checked(taken, place="a reading")
    return taken
