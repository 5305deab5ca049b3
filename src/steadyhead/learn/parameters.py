"""The fit as a flyer reads it: each number in the unit of the machine file, what it rests on, what would tell it."""

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from steadyhead.judge.air_logged import logged_kelvin
from steadyhead.learn.cells import ON_THE_CELLS
from steadyhead.learn.joint import ALIKE, Joint
from steadyhead.learn.model import LogModel, Numbers
from steadyhead.learn.profile import ends
from steadyhead.learn.result import Figure, Parameter
from steadyhead.learn.unknowns import LEARNED, NARROWED, in_words
from steadyhead.machine.description import Machine
from steadyhead.machine.keys import Quantity
from steadyhead.physics.log_balance import slowing_rate
from steadyhead.physics.pack import temperature_factor

RPM = 30.0 / math.pi
MUCH = 0.25
"""Share of the variance from which a number is said to rest on another; own choice."""
LEAST_PART = 0.02
"""Share of what is known of a number from which a log is said to tell it; own choice."""
WARMER_K = 8.0
"""A pack in use is about so much warmer than the air; common practice, no source."""
BLIND_K = 10.0
LOGGED_K = 2.0
"""Half widths of the pack temperature, not logged and logged; common practice, no source."""
DAY_K = 10.0
"""Half width of the day's air about the temperature that the file names for its site; common practice, no source."""
LAW_SHARE = 0.4
"""Half width of how steep the law is, as a share: of the published cells named beside `pack.temperature_factor` the
flattest changes by a quarter less than our law, the steepest by two fifths more."""
NONE: Mapping[str, str] = MappingProxyType({})
CURVE_SHARE = {"pack.slow_time": 0.2, "pack.slow_resistance": 0.08}
"""Half width that one RC pair and the shape of the rest-voltage curve leave on top of the fit: with the curve of
another generator of logs the slow time came out up to a quarter too short; own choice."""
SHAPE_HALF = 0.2
"""Half width that the form of the loss at part duty leaves on top of the fit: it was read off two small motors; own
choice."""
TWICE = math.log(2.0)
"""A number that may be twice or half of what the fit says is not told: its spread would be all of it; own choice."""
AT_25_C = ("pack.resistance", "pack.slow_resistance")

DRAG = "gears.drag_torque"
TWO_SPEEDS = 1.1
"""Head speeds farther apart than this are two; own choice."""
STILL_MIXED = (
    "a coast-down to rest and steady running at two head speeds without blades: these logs hold both with blades on, "
    "and the drag of the gears is too small beside that of the blades to be told apart"
)
TOO_UNSURE = "these logs hold voltage and current, but do not tell it closely enough by themselves"
NEEDS = {
    "motor.kv": "duty, pack voltage, pack current and a speed, with the motor driving",
    "motor.resistance": "duty, pack voltage, pack current and a speed, at light and at heavy load",
    "pack.resistance": "pack voltage and pack current, at light and at heavy load",
    "pack.slow_resistance": "pack voltage and pack current, with loads held for longer than ten seconds",
    "pack.slow_time": "pack voltage and pack current, with loads held for longer than ten seconds and rests between",
    "rotor.inertia": (
        "a soft start and steady running at flat pitch on the ground with duty, voltage, current and collective; a "
        "coast-down with a head speed sensor makes it better: coast-down alone cannot separate inertia from drag torque"
    ),
    "rotor.hub_inertia": (
        "a soft start, steady running and a coast-down without blades, with a head speed sensor, duty, voltage and "
        "current"
    ),
    "rotor.drag_factor": "steady running at flat pitch on the ground with duty, voltage, current and collective",
    "controller.ripple_factor": (
        "steady running on the ground at two head speeds or more, with duty, pack voltage, pack current and a speed"
    ),
    DRAG: "a coast-down to low speed and steady running at two head speeds, with current and head speed",
}


class Said(NamedTuple):
    """A number and its 90 % interval, SI."""

    value: float
    low: float
    high: float


class Warmth(NamedTuple):
    """The logarithm of resistance over that at 25 C, and the half width of its 90 % interval."""

    middle: float
    half: float


def parameters(machine: Machine, made: Joint | None, open_for: Mapping[str, str] = NONE) -> tuple[Parameter, ...]:
    """Return every number of the list, told or not; none is told where nothing was fitted.

    `open_for` says of keys that rest on something doubtful what they need instead.
    """
    return tuple(_parameter(machine, made, key, open_for.get(key, "")) for key in (*LEARNED, *NARROWED))


def _parameter(machine: Machine, made: Joint | None, key: str, needs: str) -> Parameter:
    declared, stated = machine.declared(key), machine.value(key)
    if not isinstance(declared, Quantity):
        raise TypeError(key)
    kind = declared.kind
    value = interval = None
    remarks: list[str] = []
    said = _said(machine, made, key, remarks) if made is not None and key in made.told else None
    told = said is not None
    if said is not None:
        unit = stated.unit if stated else kind.unit
        value, *between = (kind.number_in(si, unit) for si in said)
        interval = (between[0], between[1])
    file_interval = None
    if stated is not None:
        ends = (stated.si - stated.spread_si, stated.si + stated.spread_si)
        file_interval = (kind.number_in(ends[0], stated.unit), kind.number_in(ends[1], stated.unit))
        if interval and not stated.is_typical and (interval[0] > file_interval[1] or interval[1] < file_interval[0]):
            remarks.append("the logs and the file contradict each other: look for a changed part or a wrong number")
    return Parameter(
        key=key,
        says=declared.says,
        unit=stated.unit if stated else kind.unit,
        told=told,
        value=value,
        value_interval=interval,
        file_value=stated.number if stated else None,
        file_value_interval=file_interval,
        file_origin=str(stated.origin) if stated else "unknown",
        rests_on=rests_on(made, key) if made is not None and told else (),
        told_by=told_by(made, key) if made is not None and told else (),
        needs="" if told else needs or _needs(made, key),
        remarks=tuple(remarks),
    )


def _needs(made: Joint | None, key: str) -> str:
    """Return what would tell a number; it asks for nothing that the logs hold already."""
    found = [model.evidence for model in made.models] if made is not None else []
    flat = [one.driven.head_rad_s[one.driven.flat] for one in found if one.driven is not None and one.blades_on]
    speeds = [float(speed) for one in flat for speed in one]
    holds_both = any(one.coasts for one in found) and len(speeds) > 1 and max(speeds) > TWO_SPEEDS * min(speeds)
    if key == DRAG and holds_both:
        return STILL_MIXED
    if made is not None and key in ON_THE_CELLS and any(one.pack is not None for one in found):
        return f"{NEEDS[key]}: {TOO_UNSURE}"
    return NEEDS[key]


def _said(machine: Machine, made: Joint, key: str, remarks: list[str]) -> Said | None:
    """Return a number with its interval; pack resistances at 25 C.

    None where an end lies too far off, with all that the fit itself does not see.
    """
    middle, reach = made.fitted.numbers()[key], ends(made.fitted, key)
    if key in NARROWED:
        # Near nought, below which it cannot lie, the middle of what is left says more than the likeliest number.
        low = max(middle - math.hypot(reach.below, SHAPE_HALF), 0.0)
        high = middle + math.hypot(reach.above, SHAPE_HALF)
        return Said(0.5 * (low + high), low, high)
    if reach.moved:
        remarks.append("each end of its 90 % was looked for in the logs by itself: the value need not lie midway")
    below, above = (math.hypot(side, math.log1p(CURVE_SHARE.get(key, 0.0))) for side in (reach.below, reach.above))
    if key not in AT_25_C:
        return _between(middle, below, above)
    pack_k, doubt_k = pack_temperature(machine, made.models)
    warm = warmth(pack_k, doubt_k)
    if doubt_k > LOGGED_K:
        remarks.append(
            f"the pack temperature is not logged: taken as {pack_k - 273.15:.0f} °C, give or take {doubt_k:.0f} K"
        )
    below, above = (math.hypot(side, warm.half) for side in (below, above))
    return _between(middle / math.exp(warm.middle), below, above)


def _between(middle: float, below: float, above: float) -> Said | None:
    """Return a number from how far its logarithm reaches below and above; None where that is too far."""
    return Said(middle, middle * math.exp(-below), middle * math.exp(above)) if max(below, above) < TWICE else None


def warmth(pack_k: float, doubt_k: float) -> Warmth:
    """Return by how much, as a logarithm, a pack resists more than at 25 C, and the half width of that.

    Valid: `doubt_k` is the half width of the temperature; the law itself differs from cell to cell, the more the
    farther from 25 C.
    """
    middle = math.log(temperature_factor(pack_k))
    there = abs(math.log(temperature_factor(pack_k + doubt_k)) - middle)
    return Warmth(middle, math.hypot(there, LAW_SHARE * middle))


def pack_temperature(machine: Machine, models: tuple[LogModel, ...]) -> tuple[float, float]:
    """Return the mean temperature of the packs and its half width, K."""
    logged = [model.evidence.pack_k for model in models if model.evidence.pack_k is not None]
    if logged and len(logged) == len(models):
        return sum(logged) / len(logged), LOGGED_K
    air = [kelvin for model in models if (kelvin := logged_kelvin(model.evidence.trace)) is not None]
    if air and len(air) == len(models):
        return sum(air) / len(air) + WARMER_K, BLIND_K
    site = machine.value("site.temperature")
    return (site.si if site else 293.15) + WARMER_K, math.hypot(BLIND_K, DAY_K)


def rests_on(made: Joint, key: str) -> tuple[str, ...]:
    """Return what makes a quarter or more of the doubt and no log told, the greatest first."""
    owed = sorted(made.fitted.owed(key).items(), key=lambda item: -item[1])
    return tuple(in_words(name) for name, share in owed if share >= MUCH and name not in made.told)


def told_by(made: Joint, key: str) -> tuple[str, ...]:
    """Return the logs that a number was fitted from, the one that tells most first.

    share of a log = sum over its windows of (d left / d number)^2, over the same of all logs
    """
    shares = made.fitted.told_in(key)
    every = sum(shares.values())
    logs = {str(model.number): model.evidence.log for model in made.models}
    ranked = sorted(shares.items(), key=lambda item: -item[1])
    return tuple(dict.fromkeys(logs[number] for number, share in ranked if share > LEAST_PART * every))


def not_told_apart(made: Joint) -> tuple[str, ...]:
    """Return the pairs of told numbers that move together, in words."""
    keys = [key for key in (*LEARNED, *NARROWED) if key in made.told]
    words = []
    for place, one in enumerate(keys):
        for other in keys[place + 1 :]:
            alike = made.fitted.alike(one, other)
            if abs(alike) >= ALIKE:
                how = "rise together" if alike > 0.0 else "one rises as the other falls"
                words.append(f"{one} and {other} are hardly told apart (correlation {alike:.2f}): {how}")
    return tuple(words)


def figures(made: Joint) -> tuple[Figure, ...]:
    """Return what the logs tell as sums and ratios, and as it was on that day."""
    found: list[Figure] = []
    if any(model.evidence.pack is not None for model in made.models) and "pack.resistance" in made.told:
        found.append(
            _figure(made, "pack_resistance_as_flown", "quick resistance of the pack as warm as it was", "mohm",
                    lambda n: 1e3 * n["pack.resistance"])
        )  # fmt: skip
    if "motor.resistance" in made.told:
        found.append(
            _figure(made, "motor_and_controller_resistance", "winding at 20 °C and controller in series", "mohm",
                    lambda n: 1e3 * (n["motor.resistance"] + n["controller.resistance"]))
        )  # fmt: skip
    for model in made.models:
        found += _of_log(made, model)
    return tuple(found)


def _of_log(made: Joint, model: LogModel) -> list[Figure]:
    found, inertia = [], model.inertia_key
    name, speed = Path(model.evidence.log).name, model.drag.reference_rad_s
    if inertia in made.told:

        def whole(n: Numbers) -> float:
            return 1e3 * (n[inertia] + n["gears.efficiency"] * model.ratio**2 * n["motor.inertia"])

        says = f"{name}: head and, through the gears, motor together"
        found.append(_figure(made, "whole_inertia", says, "g m2", whole))
    if model.evidence.coasts:

        def slowing(n: Numbers) -> float:
            return -slowing_rate(model.slowing(n), speed) * RPM

        says = f"{name}: how fast the head slows down by itself at {speed * RPM:.0f} rpm: drag torque over inertia"
        found.append(_figure(made, "coast_down_rate", says, "rpm/s", slowing))
    return found


def _figure(made: Joint, name: str, says: str, unit: str, of: Callable[[Numbers], float]) -> Figure:
    value, half = made.fitted.figure(of)
    return Figure(name=name, says=says, unit=unit, value=value, value_interval=(value - half, value + half))
