"""The words of a person about columns: `"rpm A" = "head_speed_rpm:rpm"`."""

from collections.abc import Mapping
from typing import NamedTuple

from steadyhead.trace.table import RawTable
from steadyhead.trace.trace import CHANNELS
from steadyhead.trace.units import Unit, units_named
from steadyhead.words.errors import InputError, did_you_mean

OTHER_TARGETS: dict[str, str] = {
    "time_s": "the time; the unit may also be a rate, as in time_s:50 Hz for a count of rows",
    "motor_speed_rpm": "speed of the motor shaft, divided by the gear ratio on reading",
    "electrical_speed_rpm": "electrical speed, divided by pole pairs and gear ratio on reading",
    "cell_voltage_v": "mean voltage of a cell, times the number of cells on reading",
    "throttle_pulse_us": "pulse width of the throttle channel",
    "charge_left_mah": "charge left in the pack",
    "ignore": "leave the column out",
}
TARGETS = CHANNELS | OTHER_TARGETS
_ENDS = {
    "_rpm": "rotation",
    "_v": "voltage",
    "_a": "current",
    "_mah": "charge",
    "_c": "temperature",
    "_hpa": "pressure",
    "_m": "length",
    "_m_s": "velocity",
    "_deg": "angle",
    "_percent": "share",
    "duty": "share",
    "time_s": "time",
}
"""How the name of a channel ends, and the dimension of its units."""


class Chosen(NamedTuple):
    """What a person said of one column."""

    target: str
    unit: Unit | None
    rate_hz: float | None


def chosen_columns(name: str, table: RawTable, mapping: Mapping[str, str]) -> dict[int, Chosen]:
    """Return what was said, by column number.

    Raises: InputError when a heading is not in the file, a channel is unknown, or a unit is.
    """
    found: dict[int, Chosen] = {}
    for heading, said in mapping.items():
        named, _, unit = (part.strip() for part in said.partition(":"))
        place = f"{name}, column {heading!r}"
        target = _target(named, unit)
        if target not in TARGETS:
            raise InputError(place, read=f"channel {target!r}", right=did_you_mean(target, TARGETS))
        found[_index(name, table, heading)] = _chosen(place, target, unit)
    return found


def option_for(heading: str, target: str, unit: str = "") -> str:
    """Return the text to paste behind `--column`."""
    return f"{heading}={target}" + (f":{unit}" if unit else "")


def _target(named: str, unit: str) -> str:
    """Return the channel that is meant: `head speed` is head_speed_rpm; what means none, or several, as it was said."""
    words = " ".join(named.casefold().replace("_", " ").split())
    meant = [target for target in TARGETS if words in {target.replace("_", " "), _without_unit(target)}]
    if len(meant) > 1 and unit:
        fits = {known.dimension for known in units_named(unit)}
        meant = [target for target in meant if fits & set(dimensions_of(target))]
    return meant[0] if len(meant) == 1 and named not in TARGETS else named


def _without_unit(target: str) -> str:
    """Return a channel as people say it: head_speed_rpm is `head speed`."""
    ends = sorted((end for end in (*_ENDS, "_s") if end.startswith("_") and target.endswith(end)), key=len)
    return target.removesuffix(ends[-1] if ends else "").replace("_", " ")


def _chosen(place: str, target: str, unit: str) -> Chosen:
    if not unit:
        return Chosen(target, None, None)
    rate = unit.casefold().removesuffix("hz").strip()
    if target == "time_s" and unit.casefold().endswith("hz"):
        try:
            hertz = float(rate)
        except ValueError:
            hertz = 0.0
        if not 0.0 < hertz < 1e6:
            raise InputError(place, read=f"rate {unit!r}", right="rows a second, such as 50 Hz")
        return Chosen(target, None, hertz)
    fits = dimensions_of(target)
    units = [known for known in units_named(unit) if known.dimension in fits]
    if units_named(unit) and not units and fits:
        raise InputError(place, read=f"unit {unit!r}, a {units_named(unit)[0].dimension}", right=f"a unit of {fits[0]}")
    if not units:
        raise InputError(
            place, read=f"unit {unit!r}", right="a unit such as s, ms, rpm, V, A, mAh, °C, m, deg, %, 0..1, µs"
        )
    return Chosen(target, units[0], None)


def dimensions_of(target: str) -> tuple[str, ...]:
    """Return the dimensions a unit of this channel may have; a pulse may stand for a share of the channel."""
    if target == "throttle_percent":
        return ("share", "time")
    if target == "throttle_pulse_us":
        return ("time",)
    longest = max((end for end in _ENDS if target.endswith(end)), key=len, default="")
    return (_ENDS[longest],) if longest else ()


def _index(name: str, table: RawTable, heading: str) -> int:
    wanted, _, nth = heading.rpartition("#") if "#" in heading else (heading, "", "1")
    headings = [column.heading for column in table.columns]
    for text, number in ((heading, 1), (wanted, int(nth) if nth.isdigit() else 1)):
        same = [at for at, said in enumerate(headings) if said.strip().casefold() == text.strip().casefold()]
        if len(same) >= number > 0:
            return same[number - 1]
    if heading.removeprefix("column ").isdigit() and 0 < int(heading.removeprefix("column ")) <= len(headings):
        return int(heading.removeprefix("column ")) - 1
    raise InputError(name, read=f"no column {heading!r}", right=did_you_mean(heading, headings))
