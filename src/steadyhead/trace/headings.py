"""What a heading says: the words in it, and the unit, wherever it was written."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_BRACKET = re.compile(r"^(?P<name>.*?)[\s_]*[(\[{<]\s*(?P<inside>[^)\]}>]*?)\s*[)\]}>]\s*$")
_FACTOR = re.compile(r"^(?:[x*]\s*)?(?P<factor>\d+(?:\.\d+)?)\s*[x*]?\s*(?P<unit>[^\d\s].*)$")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_RANGE = re.compile(r"^(?P<low>-?\d+(?:\.\d+)?)\s*(?:\.{2,3}|…|-|–|to|bis)\s*(?P<high>\d+(?:\.\d+)?)$")
_PART = re.compile(r"^(?P<unit>[a-z][a-z0-9/^-]*?)\s*[/x*:]\s*(?P<times>10{1,4})$")
"""A unit of which only a tenth, a hundredth ... is written: `eRPM/100`, `rpm x10`."""
_NUMBERED = re.compile(r"^\d{1,2}(?![\d.,/])")
"""`Cell 6 V` is the voltage of the sixth cell, not six volts a count."""
_NO_MARK = str.maketrans({"ø": "o", "ł": "l"})
"""Letters with a stroke, which Unicode does not part into a letter and a mark."""
_DIMENSION_OF_WORDS = (
    ("temperature", "temperature"),
    ("pressure", "pressure"),
    ("voltage", "voltage"),
    ("current", "current"),
    ("vertical", "velocity"),
    ("height", "length"),
    ("throttle", "share"),
    ("duty", "share"),
    ("speed", "rotation"),
    ("electrical", "rotation"),
    ("head", "rotation"),
    ("charge", "charge"),
    ("collective", "share"),
    ("link", "share"),
    ("cell", "voltage"),
    ("time", "time"),
    ("pack", "voltage"),
)


@dataclass(frozen=True, kw_only=True)
class Unit:
    """A unit as written and as understood: `factor` times the number is in the trace's own unit."""

    said: str
    key: str
    dimension: str
    factor: float


@dataclass(frozen=True, kw_only=True)
class Heading:
    """A heading, taken apart. `unit` is None when none was written; the words may still give the dimension."""

    text: str
    words: frozenset[str]
    unit: Unit | None
    dimension: str | None


def heading_of(text: str, unit_row: str = "") -> Heading:
    """Return what a heading and the cell of the unit row below it say."""
    name, said = _name_and_unit(text, unit_row)
    words = words_in(name)
    wanted = _dimension_of(words)
    units = units_named(said) if said else ()
    unit = _fitting(units, wanted)
    if unit is None and not said:
        name, unit = _unit_at_the_end(name, wanted)
        words = words_in(name) if unit else words
    dimension = unit.dimension if unit else wanted
    return Heading(text=text.strip() or "(no heading)", words=words, unit=unit, dimension=dimension)


def words_in(name: str) -> frozenset[str]:
    """Return the meanings of the words in a heading, from the words table."""
    parted = plain(f"{name} {_CAMEL.sub(' ', name)}")
    parts = {part for part in re.split(r"[^a-z0-9%]+", parted) if part}
    return frozenset(meaning for meaning, pattern in word_patterns().items() if any(pattern.match(p) for p in parts))


def plain(text: str) -> str:
    """Return the text in lower case and without accents: `Höhe` is `hohe`."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).translate(_NO_MARK)


def units_named(said: str) -> tuple[Unit, ...]:
    """Return every reading of a written unit; `m` may only be metres, `deg` an angle or a temperature.

    A span from zero, or from one end to the other, is a share of its top: `0..255`, `-100..100`.
    """
    key = _unit_key(said)
    found = _units().get(key, ())
    if found:
        return tuple(Unit(said=said.strip(), key=key, dimension=d, factor=f) for d, f in found)
    span = _RANGE.match(key)
    if span and float(span["low"]) in (0.0, -float(span["high"])) and float(span["high"]) > 0.0:
        return (Unit(said=said.strip(), key=key, dimension="share", factor=100.0 / float(span["high"])),)
    part = _PART.match(key)
    if part and part["unit"] in _units():
        times = float(part["times"])
        return tuple(Unit(said=said.strip(), key=key, dimension=d, factor=f * times) for d, f in _units()[part["unit"]])
    scaled = _FACTOR.match(key)
    if scaled and scaled["unit"] in _units():
        times = float(scaled["factor"])
        return tuple(
            Unit(said=said.strip(), key=key, dimension=d, factor=f * times) for d, f in _units()[scaled["unit"]]
        )
    return ()


@cache
def word_table() -> dict[str, object]:
    """Return the words table as it stands in column_words.toml."""
    return tomllib.loads(files(__package__).joinpath("column_words.toml").read_text("utf-8"))


@cache
def word_patterns() -> dict[str, re.Pattern[str]]:
    """Return one pattern for each meaning in the words table."""
    words = word_table()["words"]
    if not isinstance(words, dict):
        raise TypeError("column_words.toml: [words] is a table")
    return {
        meaning: re.compile("|".join(f"(?:{re.escape(w).replace(re.escape('*'), '.*')})$" for w in listed))
        for meaning, listed in words.items()
    }


@cache
def _units() -> dict[str, tuple[tuple[str, float], ...]]:
    table = tomllib.loads(files(__package__).joinpath("units.toml").read_text("utf-8"))
    out: dict[str, tuple[tuple[str, float], ...]] = {}
    for dimension, units in table.items():
        for unit, factor in units.items():
            out[unit] = (*out.get(unit, ()), (dimension, float(factor)))
    return out


def _unit_key(said: str) -> str:
    text = unicodedata.normalize("NFKC", said.strip().replace("º", "°").replace("⁻¹", "-1")).casefold()
    text = text.replace("μ", "u").replace("µ", "u").replace("·", "").replace("°c", "degc").replace("°f", "degf")
    text = text.replace("° c", "degc").replace("° f", "degf").replace("°", "deg").replace("‰", "promille")
    text = text.replace("r.p.m", "rpm").replace("./", "/")
    return re.sub(r"\s+", " ", text).strip(" .")


def _name_and_unit(text: str, unit_row: str) -> tuple[str, str]:
    if unit_row.strip(" ()[]{}<>-"):
        return text, unit_row.strip().strip("()[]{}<>")
    bracket = _BRACKET.match(text.strip())
    if not bracket:
        return text, ""
    inside = bracket["inside"]
    if units_named(inside):
        return bracket["name"] or inside, inside
    first = re.split(r"[,;]", inside)[0]
    if units_named(first):
        return f"{bracket['name']} {inside[len(first) :]}", first
    return f"{bracket['name']} {inside}", ""


def _fitting(units: tuple[Unit, ...], wanted: str | None) -> Unit | None:
    for unit in units:
        if unit.dimension == wanted:
            return unit
    if units and wanted not in (None, "share") and _RANGE.match(units[0].key):
        return None  # a span of the sensor, not a share
    return units[0] if units else None


def _unit_at_the_end(name: str, wanted: str | None) -> tuple[str, Unit | None]:
    """Find a unit after a space, dash, underscore, slash or comma; it must not contradict the words."""
    whole = units_named(name)
    if whole and (wanted is None or any(u.dimension == wanted for u in whole)):
        return name, _fitting(whole, wanted)
    for cut in re.finditer(r"[\s_\-/,:|.]+(?:in\s+)?", name.strip()):
        head, end = name.strip()[: cut.start()], name.strip()[cut.end() :]
        if not head or not end or _NUMBERED.match(end):
            continue
        words = words_in(head)
        before = _dimension_of(words)
        for unit in units_named(end):
            if before in (None, unit.dimension) or (before == "share" and unit.dimension in ("angle", "time")):
                return head, unit
            if unit.dimension == "time" and "time" in words:  # `Temps` begins like a temperature
                return head, unit
    return name, None


def _dimension_of(words: frozenset[str]) -> str | None:
    if "letter_t" in words and words & {"controller", "motor", "pack"}:
        return "temperature"
    return next((dimension for word, dimension in _DIMENSION_OF_WORDS if word in words), None)
