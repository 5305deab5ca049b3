"""What besides the change may differ between the logs before and after it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from steadyhead.judge.air_logged import density_of
from steadyhead.judge.compare_figures import (
    AIR,
    AT_HEAD,
    CLIMB_LOAD,
    CLIMB_PITCH,
    HOVER_VOLTS,
    LAG,
    NOISE,
    OTHER_HEAT,
    PACK_HEAT,
    PITCH_SEEN,
    ROWS,
    START,
    Side,
    climb_pitches,
    climb_powers,
)
from steadyhead.judge.compare_result import Condition
from steadyhead.judge.compare_sensing import Sensing, sensing
from steadyhead.judge.result import FlightFigures
from steadyhead.machine.description import Machine

MATTERS = {
    START: 0.05, HOVER_VOLTS: 0.02, PACK_HEAT: 5.0, OTHER_HEAT: 5.0, AIR: 0.01, CLIMB_PITCH: 0.5,
    CLIMB_LOAD: 0.05, AT_HEAD: 0.0, PITCH_SEEN: 0.0,
    ROWS: 0.5, NOISE: 0.02,
}  # fmt: skip
"""From when a condition counts as different: V a cell, share of it, °C, °C, share, degrees, share, any, share of the
shorter, percent of the set speed; common practice, no source."""
Pair = tuple[float | None, float | None]


def conditions_of(machine: Machine, before: Side, after: Side, density: Pair) -> tuple[Condition, ...]:
    """Return every condition, whether it is alike, differs, or is not known on both sides."""
    cells = max(machine.cells, 1)

    def rest(flight: FlightFigures) -> float | None:
        return None if flight.rest_voltage_v is None else flight.rest_voltage_v / cells

    def started(part: str) -> Callable[[FlightFigures], float | None]:
        return lambda flight: next((h.start_c for h in flight.heat if h.part == part), None)

    pitches = [climb_pitches(side) for side in (before, after)]
    # The middle one: a swing that is taken for a climb beside the others moves it less.
    pitch = [float(np.median(found)) if found else None for found in pitches]
    power = [float(np.median(found)) if (found := climb_powers(side)) else None for side in (before, after)]
    old, new = (sensing(machine, side.logs) for side in (before, after))
    return (
        _air(machine, before, after, density),
        _condition(START, "V a cell", _mean_of(before, rest), _mean_of(after, rest)),
        _condition(HOVER_VOLTS, "V", _hover_volts(before), _hover_volts(after), relative=True),
        _condition(PACK_HEAT, "°C", _mean_of(before, started("pack")), _mean_of(after, started("pack"))),
        _condition(OTHER_HEAT, "°C", _mean_of(before, started("controller")), _mean_of(after, started("controller"))),
        _condition(CLIMB_PITCH, "deg", *pitch),
        _condition(CLIMB_LOAD, "W", *power, relative=True),
        _shares(AT_HEAD, old.at_head, new.at_head),
        _shares(PITCH_SEEN, old.pitch_seen, new.pitch_seen),
        _condition(ROWS, "s", old.rows_s, new.rows_s, relative=True),
        _lag(old, new),
        _condition(NOISE, "%", old.noise_percent, new.noise_percent),
    )


def _shares(name: str, before: float | None, after: float | None) -> Condition:
    """Return the share of the logs that hold something."""
    found = _condition(name, "of the logs", before, after)
    if before is None or after is None:
        return found
    shares = f"{before:.0%} of the logs before, {after:.0%} after"
    return replace(found, reason=f"differs: {shares}" if found.differs else f"alike: {shares}")


def _lag(old: Sensing, new: Sensing) -> Condition:
    """Return the lag of the logged speed; it differs where the two intervals do not meet."""
    found = Condition(
        condition=LAG, unit="s", before=old.lag_s, after=new.lag_s, differs=None,
        reason="not shown on both sides: the motor was not cut from a steady speed",
    )  # fmt: skip
    if old.lag_interval_s is None or new.lag_interval_s is None:
        return found
    (low, high), (other_low, other_high) = old.lag_interval_s, new.lag_interval_s
    if other_low > high or low > other_high:
        return replace(found, differs=True, reason="one side's speed sensor is slower than the other's")
    return replace(found, differs=False, reason="the two can be alike")


def _air(machine: Machine, before: Side, after: Side, stated: Pair) -> Condition:
    """Return the air density of both sides; what rests on the site alone is never said to be alike."""
    old, new = (
        density_of(machine, [log.trace for log in side.logs], told)
        for side, told in ((before, stated[0]), (after, stated[1]))
    )
    found = _condition(AIR, "kg/m³", old.kg_m3, new.kg_m3, relative=True)
    origins = [f"{name}: {one.origin}" for name, one in (("before", old), ("after", new)) if one.origin]
    found = replace(found, origin="; ".join(origins))
    if old.kg_m3 is None or new.kg_m3 is None or not (doubt := max(old.doubt_share, new.doubt_share)):
        return found
    if abs(new.kg_m3 - old.kg_m3) > (MATTERS[AIR] + doubt) * old.kg_m3:
        return found
    return replace(found, differs=None, reason="the day's air is not known on both sides: it may have differed")


def _condition(name: str, unit: str, before: float | None, after: float | None, *, relative: bool = False) -> Condition:
    differs: bool | None = None
    reason = "not known on both sides: it may have differed"
    if before is not None and after is not None:
        away = abs(after - before) / (min(abs(before), abs(after)) if relative and before and after else 1.0)
        differs = away > MATTERS[name]
        reason = f"differs by {after - before:+.3g} {unit}" if differs else f"alike, {after - before:+.2g} {unit}"
    return Condition(condition=name, unit=unit, before=before, after=after, differs=differs, reason=reason)


def _mean_of(side: Side, read: Callable[[FlightFigures], float | None]) -> float | None:
    known = [value for _, flight in side.flights if (value := read(flight)) is not None]
    return float(np.mean(known)) if known else None


def _hover_volts(side: Side) -> float | None:
    known = [w.pack_voltage_mean_v for log in side.logs for w in log.steady if w.hover]
    there = [volts for volts in known if volts is not None]
    return float(np.mean(there)) if there else None
