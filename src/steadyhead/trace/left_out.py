"""Columns that are no plain measurement: what is said of them, and when it is a warning."""

from collections.abc import Mapping, Sequence

import polars as pl

from steadyhead.trace.headings import heading_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.quick_look import holds_a_value
from steadyhead.trace.rivals import MATTERS, Found
from steadyhead.trace.table import RawTable

SPEEDS = (
    "head_speed_rpm",
    "motor_side_speed_rpm",
    "geared_speed_rpm",
    "motor_speed_rpm",
    "electrical_speed_rpm",
    "some_speed_rpm",
)
_GIVES = {
    "cell_voltage_v": "pack_voltage_v",
    "throttle_pulse_us": "throttle_percent",
    "charge_left_mah": "charge_used_mah",
}


_NEEDED = {
    "head or motor speed": MATTERS,
    "throttle channel": ("throttle_percent",),
    "pack voltage": ("pack_voltage_v",),
    "pack current": ("pack_current_a",),
}
"""What most checks need, by what a flyer calls it."""
_MEASURED_IN = dict(zip(_NEEDED, ("rotation", "share", "voltage", "current"), strict=True))
_MAY_REACH = dict(zip(_NEEDED, ((600.0, 300_000.0), (40.0, 130.0), (6.0, 60.0), (5.0, 400.0)), strict=True))
"""How high a column without a unit goes that is offered for it, rpm, %, V, A; common practice, no source, wide."""
_PULSE = ("throttle channel", "us")
_MOST_NAMED = 8
_MOST_SHOWN = 20
"""Letters of a cell that are shown; own choice."""


def said_of_missing(found: Mapping[str, Found], unused: Mapping[str, float]) -> tuple[str, ...]:
    """Return a warning that names the columns nobody understood, where something is missing that most checks need.

    `unused` says how high each of these columns goes.
    """
    missing = [name for name, channels in _NEEDED.items() if not any(channel in found for channel in channels)]
    if not missing or not unused:
        return ()
    headings = list(unused)
    more = f" and {len(headings) - _MOST_NAMED} more" if len(headings) > _MOST_NAMED else ""
    named = ", ".join(headings[:_MOST_NAMED]) + more
    return (
        f"no {' and no '.join(missing)} was found; columns that were not understood: {named}; "
        f'to say what one is: --column "{_suggestion(missing, unused)}"',
    )


def _suggestion(missing: list[str], unused: Mapping[str, float]) -> str:
    """Return an option for a column whose unit measures what is missing; else for one without a unit that may be it."""
    units = {heading: heading_of(heading).unit for heading in unused}
    for name in missing:
        for heading, unit in units.items():
            if unit is not None and (unit.dimension == _MEASURED_IN[name] or (name, unit.key) == _PULSE):
                return option_for(heading, _NEEDED[name][0], unit.key if (name, unit.key) == _PULSE else "")
    for name in missing:
        low, high = _MAY_REACH[name]
        fits = [heading for heading, unit in units.items() if unit is None and low <= unused[heading] <= high]
        if fits:
            return option_for(fits[0], _NEEDED[name][0])
    return option_for("HEADING", _NEEDED[missing[0]][0])


HIDES_PEAKS = frozenset({"peak", "smoothed"})
"""A column with one of these words holds a measured quantity all the same, which may have passed its limit."""
OF_NOBODY = ("controller_temperature_c", "motor_temperature_c")
"""What a temperature may be whose heading does not say of what."""
_SAY_NO_OWNER = frozenset({"temperature", "bare_temperature", "letter_t", "sensor"})


def temperatures_of_nobody(
    table: RawTable, claims: Sequence[Claim], found: Mapping[str, Found]
) -> tuple[list[str], list[str]]:
    """Return a warning for each temperature whose heading does not say of what, and the headings of these columns.

    Valid: where no other column gives the temperature of the controller.
    """
    if "controller_temperature_c" in found:
        return [], []
    claimed = {claim.at for claim in claims}
    headings = []
    for at, column in enumerate(table.columns):
        if at in claimed or column.number is None or not holds_a_value(column.number):
            continue
        heading = heading_of(column.heading, column.unit)
        lone_letter = not heading.words and heading.unit is not None and len(heading.unit.key) == 1
        if heading.dimension == "temperature" and heading.words <= _SAY_NO_OWNER and not lone_letter:
            headings.append(column.heading)
    return [_of_nobody(heading) for heading in headings], headings


def _of_nobody(heading: str) -> str:
    options = (option_for(heading, "controller_temperature_c"), option_for(heading, "ignore"))
    said = " or ".join(f'--column "{option}"' for option in options)
    return f"{heading}: left out, its heading does not say whose temperature it is; say it: {said}"


def said_of_words(claims: list[Claim], found: Mapping[str, Found]) -> list[str]:
    """Return a warning for each column whose heading promises a channel that nothing else gives, but holds no numbers.

    Valid: claims that are no time.
    """
    warnings = []
    for claim in claims:
        text = claim.column.text
        if text is None or claim.not_plain or any(name in found for name in _channels_of(claim)):
            continue
        cells = text.cast(pl.String, strict=False).str.strip_chars().drop_nulls()
        cell = next((written[:_MOST_SHOWN] for written in cells if written), "")
        warnings.append(f"{claim.column.heading}: left out, most of its cells hold no number, the first is {cell!r}")
    return warnings


def _channels_of(claim: Claim) -> tuple[str, ...]:
    return MATTERS if claim.meaning in SPEEDS else (_GIVES.get(claim.meaning, claim.meaning),)


def said_of_left_out(claims: list[Claim], found: Mapping[str, Found]) -> tuple[list[str], list[str]]:
    """Return warnings and history for columns that are left out: a warning where nothing else gives their channel."""
    warnings, history = [], []
    for claim in claims:
        heading = claim.column.heading
        targets = _channels_of(claim)
        used = next((found[name].heading for name in targets if name in found), None)
        if used is not None:
            history.append(f"{heading}: not used, it is {claim.not_plain}; {used} is used")
        else:
            option = option_for(heading, targets[0])
            warnings.append(
                f'{heading}: left out, it is {claim.not_plain}; if it is what the check needs: --column "{option}"'
            )
    return warnings, history
