"""One quantity as people write it: "12 mohm +- 10 %", or a table {value, spread, from, note}."""

import math
import re
from typing import Any

from steadyhead.machine.kind import Kind
from steadyhead.machine.units import DIFFERENCES, FAMILIES, explained, family_of
from steadyhead.words.errors import did_you_mean
from steadyhead.words.value import Origin, Value

UNSIGNED = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
SPREAD_MARK = r"(?:\+-|\+/-|±)"
FILE_ORIGINS = ("measured", "maker", "fitted", "typical")
NOTE = r"[^\u0000-\u001f\u007f-\u009f]{0,400}"
TABLE_KEYS = ("value", "spread", "from", "note")

_NUMBER_THEN_UNIT = re.compile(rf"[ \t]*([+-]?{UNSIGNED})[ \t]*(.*?)[ \t]*", re.ASCII)


class NotAQuantity(ValueError):
    """The text cannot be used as a quantity: what was read, and what would be right."""

    def __init__(self, read: str, right: str) -> None:
        self.read = read
        self.right = right
        super().__init__(f"read {read}; right would be {right}")


def parsed(raw: Any, kind: Kind) -> Value:
    """Return the value that `raw` states.

    Raises: NotAQuantity with what was read and what would be right.
    """
    if isinstance(raw, dict):
        return _from_table(raw, kind)
    return _value(raw, kind, spread=None, origin=Origin.MAKER, note="")


def told(raw: dict[str, Any]) -> tuple[Origin, str]:
    """Return the origin and the note of a table {value, spread, from, note}.

    Raises: NotAQuantity when one of them, or another key, cannot be.
    """
    for key in raw:
        if key not in TABLE_KEYS:
            raise NotAQuantity(f"unknown key {shown(key)[1:-1]}", did_you_mean(str(key)[:60], TABLE_KEYS))
    origin, note = raw.get("from", "maker"), raw.get("note", "")
    if origin not in FILE_ORIGINS:
        raise NotAQuantity(f"from = {shown(origin)}", "one of " + ", ".join(FILE_ORIGINS))
    if not isinstance(note, str) or not re.fullmatch(NOTE, note):
        raise NotAQuantity(f"note = {shown(note)}", "a text in quotes, of at most 400 printable characters")
    return Origin(origin), note


def _from_table(raw: dict[str, Any], kind: Kind) -> Value:
    origin, note = told(raw)
    if "value" not in raw:
        raise NotAQuantity("a table without value", f'{{value = {kind.shown_example}, from = "measured"}}')
    return _value(raw["value"], kind, spread=raw.get("spread"), origin=origin, note=note)


def _value(raw: Any, kind: Kind, *, spread: Any, origin: Origin, note: str) -> Value:
    text, spread_text = _split(raw, kind)
    if spread is not None:
        if spread_text:
            raise NotAQuantity(shown(raw), "one spread only, in the text or in spread")
        if not isinstance(spread, str):
            raise NotAQuantity(f"spread = {shown(spread)}", 'a text such as "10 %"')
        spread_text = spread
    number, unit = _number_and_unit(text, kind)
    spelling = FAMILIES[kind.family][unit]
    si = spelling.si(number)
    in_unit = kind.number(si)
    slack = 1e-12 * max(1.0, abs(kind.low), abs(kind.high))
    if not kind.low - slack <= in_unit <= kind.high + slack:
        raise NotAQuantity(shown(raw), kind.wanted)
    if spread_text:
        half = _half_width(spread_text, kind, si, unit)
    else:
        half = (kind.doubt * abs(si) + kind.doubt_kelvin) * (0.5 if origin is Origin.MEASURED else 1.0)
    return Value(number=number, unit=unit, si=si, spread_si=half, origin=origin, note=note, unit_si=spelling.factor)


def _split(raw: Any, kind: Kind) -> tuple[str, str]:
    """Return the number-and-unit part and the spread part of what stands in the file."""
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise NotAQuantity(shown(raw), kind.wanted)
    if not isinstance(raw, str):
        if kind.unit:
            raise NotAQuantity(f"{shown(raw)} without a unit", kind.wanted)
        if not abs(raw) <= kind.high:
            raise NotAQuantity(shown(raw), kind.wanted)
        return repr(raw), ""
    parts = re.split(SPREAD_MARK, raw, maxsplit=1)
    if len(parts) == 2 and not parts[1].strip():
        raise NotAQuantity(shown(raw), f'a spread behind the sign, such as "{kind.example} +- 5 %"')
    return parts[0], parts[1] if len(parts) == 2 else ""


def _number_and_unit(text: str, kind: Kind) -> tuple[float, str]:
    match = _NUMBER_THEN_UNIT.fullmatch(text)
    if not match:
        raise NotAQuantity(shown(text), kind.wanted)
    unit = re.sub(r"[ \t]+", " ", match[2])
    if re.match(r"[,.]?[0-9]", unit):
        raise NotAQuantity(shown(text), f'a number with a decimal point, such as "{text.strip().replace(",", ".")}"')
    number = float(match[1])
    if not math.isfinite(number):
        raise NotAQuantity(shown(text), kind.wanted)
    if unit in FAMILIES[kind.family]:
        return number, unit
    raise NotAQuantity(*_unit_trouble(text, number, unit, kind))


def _unit_trouble(text: str, number: float, unit: str, kind: Kind) -> tuple[str, str]:
    if not unit:
        return f"{shown(text)} without a unit", kind.wanted
    family = family_of(unit)
    if family:
        return f"{shown(text)}, a {family}", kind.wanted
    known = ", ".join(name for name in FAMILIES[kind.family] if name)
    hint = explained(number, unit, kind.family, kind.unit)
    return f"{shown(text)} with the unit {unit[:40]}{hint}", f"a {kind.family} in one of the units {known}"


def _half_width(text: str, kind: Kind, si: float, value_unit: str) -> float:
    """Return the half width of the 90 % interval in SI; behind a value in %, percent are points."""
    match = _NUMBER_THEN_UNIT.fullmatch(text)
    right = f'a spread such as "10 %" or one in {kind.unit or "the same measure"}'
    if not match or float(match[1]) < 0 or not math.isfinite(float(match[1])):
        raise NotAQuantity(f"the spread {shown(text.strip())}", right)
    number, unit = float(match[1]), re.sub(r"[ \t]+", " ", match[2])
    if kind.family == "temperature":
        if unit not in DIFFERENCES:
            raise NotAQuantity(f"the spread {shown(text.strip())}", 'a difference of temperature such as "5 K"')
        return number * DIFFERENCES[unit]
    if unit == "%" != value_unit:
        half = number / 100.0 * abs(si)
    elif unit in FAMILIES[kind.family]:
        half = number * FAMILIES[kind.family][unit].factor
    else:
        raise NotAQuantity(f"the spread {shown(text.strip())}", right)
    if kind.low >= 0 and half > abs(si) > 0:
        most = f"{kind.number(abs(si)):g} {kind.unit}".strip()
        raise NotAQuantity(f"the spread {shown(text.strip())}", f"a spread no larger than the value itself, {most}")
    return half


def shown(raw: Any) -> str:
    """Return what was read, short enough for one sentence."""
    if isinstance(raw, bool):
        text = "true" if raw else "false"
    elif isinstance(raw, str):
        text = '"' + "".join(c if c.isprintable() else "?" for c in raw) + '"'
    elif isinstance(raw, int | float):
        text = f"{raw:g}" if isinstance(raw, float) else _int_text(raw)
    elif isinstance(raw, dict):
        text = "a table"
    elif isinstance(raw, list):
        text = "a list"
    else:
        text = str(raw)
    return text if len(text) <= 60 else text[:57] + "..."


def _int_text(raw: int) -> str:
    return str(raw) if abs(raw) < 10**30 else "a very large whole number"
