"""Written units: which quantity they measure and how much of the trace's own unit one count is."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

PARTS_OF_AN_AMPERE = {"1/10 A": 0.1, "1/100 A": 0.01, "mA": 0.001}
"""Units in which loggers write a current, beside the ampere; common practice, no source."""
_RANGE = re.compile(r"^(?P<low>-?\d+(?:\.\d+)?)\s*(?:\.{2,3}|…|-|–|to|bis)\s*(?P<high>\d+(?:\.\d+)?)$")
_FRACTION = re.compile(r"^(?:1\s*/\s*(?P<of>10{1,6})|(?P<point>0[.,]0{0,5}1))\s*[x*]?\s*(?P<unit>[^\d\s].*)$")
"""One count is a tenth, a hundredth ... of the unit: `1/10 A`, `0,1 A`."""
_FACTOR = re.compile(r"^(?P<mark>[x*]\s*)?(?P<factor>10{0,4})\s*(?P<behind>[x*])?\s*(?P<unit>[^\d\s].*)$")
_MAY_BE_A_SPAN = ("a", "amp", "amps", "v", "volt", "volts")
"""`100 A` may say how far a sensor reads; nobody writes that of milliamperes, seconds or turns."""
_PART = re.compile(r"^(?P<unit>(?:1/)?[a-z%][a-z0-9/^-]*?)\s*[/x*:]\s*(?P<times>10{1,4})$")
"""A unit with a factor behind it: `eRPM/100`, `V x 100`. To multiply or to divide: only the figures can tell."""
_PREFIX = re.compile(r"^(?P<prefix>deci|dezi|centi|zenti|milli|micro|mikro|kilo)[\s-]?(?P<unit>[a-z]+)$")
_PREFIXES = {"deci": 0.1, "dezi": 0.1, "centi": 0.01, "zenti": 0.01, "milli": 1e-3, "micro": 1e-6, "mikro": 1e-6}
_SHORT = re.compile(r"^(?P<prefix>[dc])(?P<unit>a|v|s|degc)$")
_SHORT_PREFIXES = {"d": 0.1, "c": 0.01}
_ALONE = re.compile(r"^(?:(?P<mark>[x*/:])\s*(?P<times>10{1,4})|(?P<before>10{1,4})\s*[x*]|1\s*/\s*(?P<of>10{1,4}))$")
_OWN_UNITS = {
    "time": "s", "rotation": "rpm", "voltage": "v", "current": "a", "charge": "mah", "temperature": "degc",
    "length": "m", "velocity": "m/s", "angle": "deg", "share": "%",
}  # fmt: skip
_LOST_DEGREE = re.compile(r"^[oø]\s?([cfk])$")
"""The degree sign of the code pages 437 and 850 is an ø to those who read Windows-1252; some write a small o."""
_THOUSANDS = {"k", "kilo", "tsd", "thousand", "thousands", "tausend"}


@dataclass(frozen=True, kw_only=True)
class Unit:
    """A unit as written and as understood: `factor` times the number is in the trace's own unit.

    `other_factor` is the second reading of a factor that may be meant both ways, as in `A/10`; `key` is the unit
    without its factor.
    """

    said: str
    key: str
    dimension: str
    factor: float
    other_factor: float | None = None


def units_named(said: str) -> tuple[Unit, ...]:
    """Return every reading of a written unit; `m` may only be metres, `deg` an angle or a temperature.

    A span from zero, or from one end to the other, is a share of its top: `0..255`, `-100..100`.
    """
    key = unit_key(said)
    if key in _units():
        return _readings(said, key, 1.0)
    span = _RANGE.match(key)
    if span:
        top = float(span["high"])
        fits = top > 0.0 and float(span["low"]) in (0.0, -top)
        return (Unit(said=said.strip(), key=key, dimension="share", factor=100.0 / top),) if fits else ()
    if fraction := _FRACTION.match(key):
        part = 1.0 / float(fraction["of"]) if fraction["of"] else float(fraction["point"].replace(",", "."))
        return _readings(said, fraction["unit"], part)
    for pattern, prefixes in ((_PREFIX, _PREFIXES | {"kilo": 1000.0}), (_SHORT, _SHORT_PREFIXES)):
        if prefixed := pattern.match(key):
            return _readings(said, prefixed["unit"], prefixes[prefixed["prefix"]])
    if part_of := _PART.match(key):
        times = float(part_of["times"])
        return _readings(said, part_of["unit"], times, 1.0 / times)
    if scaled := _FACTOR.match(key):
        times = float(scaled["factor"])
        marked = scaled["mark"] or scaled["behind"]
        if times == 1.0 or not (marked or scaled["unit"] in _MAY_BE_A_SPAN):
            return _readings(said, scaled["unit"], times)
        return _readings(said, scaled["unit"], times, 1.0 / times if marked else 1.0)
    return ()


def scale_alone(said: str, dimension: str | None) -> Unit | None:
    """Return what a factor without a unit means, `x10`, `1/1000`, `k`, in a column of this dimension; else None."""
    key = unit_key(said)
    if dimension not in _OWN_UNITS:
        return None
    own = _OWN_UNITS[dimension]
    if key in _THOUSANDS:
        return Unit(said=said.strip(), key=own, dimension=dimension, factor=1000.0)
    found = _ALONE.match(key)
    if found is None:
        return None
    if found["of"]:
        whole = 100.0 if dimension == "share" else 1.0
        return Unit(said=said.strip(), key=own, dimension=dimension, factor=whole / float(found["of"]))
    times = float(found["times"] or found["before"])
    return Unit(said=said.strip(), key=own, dimension=dimension, factor=times, other_factor=1.0 / times)


def unit_key(said: str) -> str:
    """Return a written unit in one spelling: lower case, `degc` for °C, `u` for µ, `x` for ×."""
    text = unicodedata.normalize("NFKC", said.strip().replace("º", "°").replace("⁻¹", "-1")).casefold()
    text = _LOST_DEGREE.sub(r"°\1", text)
    text = text.replace("μ", "u").replace("µ", "u").replace("·", "").replace("°c", "degc").replace("°f", "degf")
    text = (
        text.replace("deg c", "degc")
        .replace("deg f", "degf")
        .replace("° c", "degc")
        .replace("° f", "degf")
        .replace("°", "deg")
        .replace("‰", "promille")
    )
    text = text.replace("r.p.m", "rpm").replace("./", "/").replace("×", "x").replace("⁄", "/")
    return re.sub(r"\s+", " ", text).strip(" .")


def is_span(unit: Unit) -> bool:
    """Whether a unit is a span of figures, `0..255`."""
    return bool(_RANGE.match(unit.key))


def _readings(said: str, key: str, times: float, other: float | None = None) -> tuple[Unit, ...]:
    key = key.strip()
    return tuple(
        Unit(
            said=said.strip(),
            key=key,
            dimension=dimension,
            factor=factor * times,
            other_factor=None if other is None else factor * other,
        )
        for dimension, factor in _units().get(key, ())
    )


@cache
def _units() -> dict[str, tuple[tuple[str, float], ...]]:
    table = tomllib.loads(files(__package__).joinpath("units.toml").read_text("utf-8"))
    out: dict[str, tuple[tuple[str, float], ...]] = {}
    for dimension, units in table.items():
        for unit, factor in units.items():
            out[unit] = (*out.get(unit, ()), (dimension, float(factor)))
    return out
