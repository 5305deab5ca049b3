"""From a column with a meaning to a channel in the trace's own unit; every guess is said."""

import re

import numpy as np

from steadyhead.trace.cell_columns import CELL_HIGH_V, CELL_LOW_V
from steadyhead.trace.charge_columns import charge_used
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.headings import Heading
from steadyhead.trace.impossible import level_of
from steadyhead.trace.mapping import option_for
from steadyhead.trace.meaning import Claim
from steadyhead.trace.offered import Converted
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.trace import Series

_FAHRENHEIT = ("degf", "f", "fahrenheit")
_KELVIN = ("k", "kelvin")
_PULSE_REMARK = re.compile(
    r"(\d{3,4}(?:[.,]\d+)?)\s*(?:us|µs|μs|usec|microseconds?|mikrosekunden)\b\D{0,20}?(-?\d{1,3}(?:[.,]\d+)?)\s*"
    r"(?:%|percent|prozent|pct|pour ?cent|per ?cento|por ?ciento)",
    re.IGNORECASE,
)
_PULSE_SHARE = 0.03
_MOST_PERCENT = 130.0
"""A channel or duty without a unit that reaches more is written in counts."""
_MOST_CELLS = 16.0
"""More are not in one pack of such a machine; common practice, no source."""
WARM_FROM_THE_START_C = 60.0
"""No air is so hot in which a machine stands that has not run, and °F without a unit begin there: 60 is 16 °C; own
choice."""
_MOST_AMPERES = 400.0
"""A current without a unit that reaches more is written in tenths or thousandths; own choice."""
_LEAST_PULSE_MS, _MOST_PULSE_MS = 1.3, 2.5
"""What the highest pulse of a throttle channel may be; common practice, no source."""
_FULL_SCALES = (255.0, 1000.0, 1024.0, 2048.0, 4096.0)
"""What a count usually runs to; common practice, no source."""
_BELOW_NOTHING = 0.1
"""A count from nothing up is trimmed below it by no such share of what it reaches; own choice."""


def converted(claim: Claim, gearing: Gearing, remarks: tuple[str, ...]) -> Converted | None:
    """Return the channel of a claim that is no speed, or None when it cannot be made.

    Valid: the claim's column holds numbers.
    """
    raw = claim.column.number
    if raw is None:
        return None
    values = raw * claim.heading.unit.factor if claim.heading.unit and claim.heading.unit.factor != 1.0 else raw
    name, meaning = claim.heading.text, claim.meaning
    if meaning.endswith("_temperature_c"):
        return _temperature(meaning, name, values, claim.heading, by_person=claim.by_person)
    if meaning in ("pack_voltage_v", "cell_voltage_v", "lowest_cell_v"):
        return _voltage(meaning, name, values, claim, gearing)
    if meaning in ("throttle_percent", "duty", "throttle_pulse_us"):
        return _channel_share(meaning, name, raw, claim, gearing, remarks)
    if meaning in ("collective_deg", "collective_percent"):
        return _collective(name, values, claim)
    if meaning in ("charge_used_mah", "charge_left_mah"):
        return charge_used(meaning, name, values, claim.heading)
    bare = claim.heading.unit is None and not claim.by_person
    if meaning == "pack_current_a" and bare and level_of(np.abs(values)) > _MOST_AMPERES:
        return None
    if meaning == "height_m":
        return _height(name, values)
    if meaning == "air_pressure_hpa" and claim.heading.unit is None:
        return _pressure_without_unit(name, values)
    if meaning == "link_percent" and claim.heading.unit is None and float(np.nanmin(values, initial=0.0)) < -10.0:
        return None
    return Converted(meaning, values, (f"{name}: {meaning}",))


def _temperature(meaning: str, name: str, values: Series, heading: Heading, *, by_person: bool) -> Converted | None:
    key = heading.unit.key if heading.unit else ""
    if key in _FAHRENHEIT:
        return Converted(meaning, (values - 32.0) / 1.8, (f"{name}: {meaning}, from °F",))
    if key in _KELVIN:
        return Converted(meaning, values - 273.15, (f"{name}: {meaning}, from K",))
    if heading.unit is None and not by_person and coolest(values) >= WARM_FROM_THE_START_C:
        return None
    return Converted(meaning, values, (f"{name}: {meaning}",))


def coolest(values: Series) -> float:
    """Return the least that a channel reads, blind to a few wild samples; nothing for an empty one. Shapes: (n,)"""
    some = sample_of(values)
    return float(np.quantile(some, 0.01)) if some.size else 0.0


def _pressure_without_unit(name: str, values: Series) -> Converted | None:
    """Return an air pressure by its size: a few hundred to a thousand is hPa, a hundred times that Pa."""
    for factor, unit in ((1.0, "hPa"), (0.01, "Pa")):
        if 500.0 < factor * level_of(values) < 1100.0:
            return Converted("air_pressure_hpa", factor * values, (f"{name}: air_pressure_hpa, taken as {unit}",))
    return None


def _voltage(meaning: str, name: str, values: Series, claim: Claim, gearing: Gearing) -> Converted | None:
    bare = (
        claim.heading.unit is None and not claim.by_person and not claim.heading.words & {"voltage", "cell", "lowest"}
    )
    if bare and not _is_pack_voltage(level_of(values), gearing):
        return None
    if claim.heading.unit is None:
        values, scaled = _scaled_voltage(values, 1.0 if meaning != "pack_voltage_v" else gearing.cells)
    else:
        scaled = ()
    level = level_of(values)
    if (
        meaning != "pack_voltage_v"
        and not claim.by_person
        and "voltage" not in claim.heading.words
        and counts_cells(values)
    ):
        return None
    if meaning == "lowest_cell_v":
        if not CELL_LOW_V <= level <= CELL_HIGH_V and not claim.by_person and "cell" not in claim.heading.words:
            return None
        return Converted(meaning, values, (f"{name}: voltage of the weakest cell", *scaled))
    looks_per_cell = CELL_LOW_V <= level <= CELL_HIGH_V
    if meaning == "cell_voltage_v" and level > CELL_HIGH_V * 1.3:
        return Converted(
            "pack_voltage_v", values, scaled, (f"{name}: named per cell, but {level:.1f} V is a whole pack",)
        )
    per_cell = meaning == "cell_voltage_v" or (looks_per_cell and not claim.by_person and (gearing.cells or 2) > 1)
    if not per_cell:
        if not claim.by_person and level > 0.0 and not fits_the_pack(level, gearing):
            return None
        doubts = _cells_check(name, level, gearing)
        if bare:
            doubts = (f"{name}: no unit and no such word, {level:.1f} V fits the pack: taken as its voltage",)
        return Converted("pack_voltage_v", values, (f"{name}: pack voltage", *scaled), doubts)
    if not gearing.cells:
        return None
    said = f"{name}: voltage per cell, times {gearing.cells:g} cells"
    doubt = (
        () if meaning == "cell_voltage_v" else (f"{name}: {level:.2f} V can only be one cell: times {gearing.cells:g}",)
    )
    return Converted("pack_voltage_v", values * gearing.cells, (said, *scaled), doubt)


def counts_cells(values: Series) -> bool:
    """Whether a column holds whole numbers from 1 on only, as the number of a cell does: no voltage is so coarse.

    Shapes: (n,)
    """
    some = sample_of(values)
    some = some[some != 0.0]
    return (
        bool(some.size)
        and bool(np.all(some == np.round(some)))
        and float(some.min()) >= 1.0
        and float(some.max()) <= _MOST_CELLS
    )


def _is_pack_voltage(level: float, gearing: Gearing) -> bool:
    return bool(gearing.cells) and CELL_LOW_V <= level / (gearing.cells or 1.0) <= CELL_HIGH_V


def fits_the_pack(level_v: float, gearing: Gearing) -> bool:
    """Whether a pack of the machine can read so much; anything fits where its cells are not known."""
    return not gearing.cells or _is_pack_voltage(level_v, gearing)


def _cells_check(name: str, level: float, gearing: Gearing) -> tuple[str, ...]:
    if gearing.cells and level > 1.0 and not fits_the_pack(level, gearing):
        return (f"{name}: {level:.1f} V does not fit a pack of {gearing.cells:g} cells",)
    return ()


def _scaled_voltage(values: Series, cells: float | None) -> tuple[Series, tuple[str, ...]]:
    """Find the unit of a voltage without one: volts, tenths, hundredths or thousandths."""
    level = level_of(values)
    low, high = (CELL_LOW_V * cells, CELL_HIGH_V * cells) if cells else (CELL_LOW_V, 16 * CELL_HIGH_V)
    for scale in (1.0, 1e-3, 1e-2, 1e-1):
        if low <= level * scale <= high:
            return values * scale, () if scale == 1.0 else (f"no unit: taken as {scale:g} V a count",)
    return values, ()


def _channel_share(
    meaning: str, name: str, raw: Series, claim: Claim, gearing: Gearing, remarks: tuple[str, ...]
) -> Converted | None:
    unit = claim.heading.unit
    level = level_of(raw)
    in_time = unit is not None and unit.dimension == "time"
    counts = unit is None and level > _MOST_PERCENT and meaning != "throttle_pulse_us"
    if counts and (not 700.0 < level < 2500.0 or _reaches_zero(raw)):
        return None if meaning == "duty" else _counted(name, raw, level)
    if meaning == "throttle_pulse_us" or in_time or counts:
        micro = raw * (unit.factor * 1e6) if unit is not None and in_time else raw
        return _pulse(name, micro, gearing, remarks)
    if unit is None and meaning == "throttle_percent" and _LEAST_PULSE_MS < level < _MOST_PULSE_MS:
        return None if _reaches_zero(raw) else _pulse_in_ms(name, raw, gearing, remarks)
    warnings: tuple[str, ...] = ()
    ends = "-100 to 100"
    percent = raw * unit.factor if unit is not None and unit.factor != 1.0 else raw
    top = level_of(np.abs(percent))
    some = sample_of(percent)
    fractions = bool(np.any(np.abs(some % 1.0) > 1e-9))
    if 0.2 < top <= 1.3 and fractions:
        percent, some, ends = percent * 100.0, some * 100.0, "-1 to 1"
        if unit is not None:
            warnings = (f"{name}: says {unit.said}, but never passes {top:.2f}: read as 0 to 1",)
    if meaning == "throttle_percent" and some.size and float(np.quantile(some, 0.01)) < -50.0:
        percent = (percent + 100.0) / 2.0
        warnings = (*warnings, f"{name}: runs from {ends}: read as 0 to 100 %")
    if meaning == "duty":
        return Converted("duty", percent / 100.0, (f"{name}: controller duty",), warnings)
    return Converted("throttle_percent", percent, (f"{name}: throttle channel",), warnings)


def _pulse_in_ms(name: str, raw: Series, gearing: Gearing, remarks: tuple[str, ...]) -> Converted:
    """Take a throttle channel that never leaves 1 to 2 for what it is: a pulse width in ms; a share would be no run."""
    made = _pulse(name, raw * 1000.0, gearing, remarks)
    doubt = f"{name}: no unit, and stays within {coolest(raw):.2f} to {level_of(raw):.2f}: taken as a pulse width in ms"
    return made._replace(warnings=(doubt, *made.warnings))


def _reaches_zero(raw: Series) -> bool:
    """Whether a channel in bare counts comes near zero for long: a pulse width never does."""
    return float(np.quantile(sample_of(raw), 0.02)) < 0.35 * level_of(raw)


def _counted(name: str, raw: Series, level: float) -> Converted:
    """Take bare counts of the throttle channel by the least full scale that holds them."""
    lowest = coolest(raw)
    if lowest < -_BELOW_NOTHING * level:
        return _counted_both_ways(name, raw, lowest, max(level, -lowest))
    full = next((full for full in _FULL_SCALES if level <= 1.02 * full), level)
    doubt = f'{name}: no unit, and reaches {level:.0f}: taken as 0 to {full:.0f}; to change that: --column "{{}}"'
    doubt = doubt.format(option_for(name, "throttle_percent", f"0..{full:.0f}"))
    return Converted("throttle_percent", raw * (100.0 / full), (), (doubt,))


def _counted_both_ways(name: str, raw: Series, lowest: float, most: float) -> Converted:
    """Take counts of the throttle channel that go far below nothing by the least scale, either way, that holds them."""
    full = next((full for full in _FULL_SCALES if most <= 1.02 * full), most)
    option = option_for(name, "throttle_percent", f"-{full:.0f}..{full:.0f}")
    doubt = f"{name}: no unit, and goes to {lowest:.0f}: taken as -{full:.0f} to {full:.0f}"
    doubt = f'{doubt}; to change that: --column "{option}"'
    return Converted("throttle_percent", 50.0 + raw * (50.0 / full), (), (doubt,))


def _pulse(name: str, micro: Series, gearing: Gearing, remarks: tuple[str, ...]) -> Converted:
    points = {float(m[1].replace(",", ".")): float(m[2].replace(",", ".")) for m in _pulse_points(remarks)}
    if len(points) >= 2:
        (low, at_low), (high, at_high) = min(points.items()), max(points.items())
        percent = at_low + (micro - low) * (at_high - at_low) / (high - low)
        said = (
            f"{name}: pulse width, {low:g} µs is {at_low:g} % and {high:g} µs is {at_high:g} % by a remark in the log"
        )
        return Converted("throttle_percent", percent, (said,))
    if gearing.pulse_low_us is not None and gearing.pulse_high_us is not None:
        low, high = gearing.pulse_low_us, gearing.pulse_high_us
        said = f"{name}: pulse width, {low:g} µs is 0 % and {high:g} µs is 100 % by the machine file"
        percent = (micro - low) * 100.0 / (high - low)
        return Converted("throttle_percent", percent, (said,), _least_pulse_check(name, micro, low, high))
    finite = sample_of(micro)
    finite = finite[finite > 500.0]
    low = float(np.min(finite)) if finite.size else 1000.0
    high = low + 2.0 * (1500.0 - low) if low < 1400.0 else 2000.0
    doubt = f"{name}: pulse width; which width is 0 and 100 % is not known, {low:g} and {high:g} µs assumed"
    return Converted("throttle_percent", (micro - low) * 100.0 / (high - low), (), (doubt,))


def _least_pulse_check(name: str, micro: Series, low_us: float, high_us: float) -> tuple[str, ...]:
    """Warn when the log's least pulse is not the machine's pulse at 0 %: one of the two is likely wrong."""
    some = sample_of(micro)
    least = float(np.min(some[some > 500.0], initial=np.inf))
    if not np.isfinite(least) or abs(least - low_us) <= _PULSE_SHARE * abs(high_us - low_us):
        return ()
    return (f"{name}: the least pulse is {least:g} µs, but the machine file says that {low_us:g} µs is 0 %",)


def _pulse_points(remarks: tuple[str, ...]) -> list[re.Match[str]]:
    return [match for remark in remarks for match in _PULSE_REMARK.finditer(remark[:400])]


def _collective(name: str, values: Series, claim: Claim) -> Converted | None:
    unit = claim.heading.unit
    if unit is None and not claim.by_person and level_of(np.abs(sample_of(values))) > _MOST_PERCENT:
        return None
    if unit is not None:
        angle = unit.dimension == "angle"
    else:
        angle = claim.meaning == "collective_deg" if claim.by_person else level_of(np.abs(sample_of(values))) <= 25.0
    channel = "collective_deg" if angle else "collective_percent"
    doubt = () if unit is not None or claim.by_person else (f"{name}: no unit, taken as {'degrees' if angle else '%'}",)
    return Converted(channel, values, (f"{name}: collective",), doubt)


def _height(name: str, values: Series) -> Converted:
    first = values[:1000][np.isfinite(values[:1000])][:20]
    ground = float(np.median(first)) if first.size else 0.0
    if abs(ground) < 20.0:
        return Converted("height_m", values, (f"{name}: height",))
    return Converted("height_m", values - ground, (f"{name}: height, {ground:.0f} m at the start taken off",))
