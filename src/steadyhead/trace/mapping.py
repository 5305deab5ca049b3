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
        target, _, unit = (part.strip() for part in said.partition(":"))
        place = f"{name}, column {heading!r}"
        if target not in TARGETS:
            raise InputError(place, read=f"channel {target!r}", right=did_you_mean(target, TARGETS))
        found[_index(name, table, heading)] = _chosen(place, target, unit)
    return found


def option_for(heading: str, target: str, unit: str = "") -> str:
    """Return the text to paste behind `--column`."""
    return f"{heading}={target}" + (f":{unit}" if unit else "")


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
    fits = _dimensions_of(target)
    units = [known for known in units_named(unit) if known.dimension in fits]
    if units_named(unit) and not units and fits:
        raise InputError(place, read=f"unit {unit!r}, a {units_named(unit)[0].dimension}", right=f"a unit of {fits[0]}")
    if not units:
        raise InputError(
            place, read=f"unit {unit!r}", right="a unit such as s, ms, rpm, V, A, mAh, °C, m, deg, %, 0..1, µs"
        )
    return Chosen(target, units[0], None)


def _dimensions_of(target: str) -> tuple[str, ...]:
    """Return the dimensions a unit of this channel may have; a pulse may stand for a share of the channel."""
    if target == "throttle_percent":
        return ("share", "time")
    if target == "throttle_pulse_us":
        return ("time",)
    ends = {
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
    longest = max((end for end in ends if target.endswith(end)), key=len, default="")
    return (ends[longest],) if longest else ()


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
