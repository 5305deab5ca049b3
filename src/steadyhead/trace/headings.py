"""What a heading says: the words in it, and the unit, wherever it was written."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from steadyhead.trace.units import Unit, is_span, scale_alone, units_named

_BRACKET = re.compile(r"^(?P<name>.*?)[\s_]*[(\[{<]\s*(?P<inside>[^)\]}>]*?)\s*[)\]}>]\s*$")
_GLUED_PERCENT = re.compile(r"^(.*\w)%$")
"""`THR%`: nothing stands between the name and its unit."""
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_NUMBERED = re.compile(r"^\d{1,2}(?![\d.,/])")
"""`Cell 6 V` is the voltage of the sixth cell, not six volts a count."""
_BETWEEN_WORDS = re.compile(r"(?:[^\w%]|_)+")
_RUNNING_NUMBER = re.compile(r"(?<=[a-z]{3})\d{1,2}$")
"""`ESC1` is a controller; words of one or two letters may end in a figure by themselves, as `n1` does."""
_NUMBER_BEFORE = re.compile(r"\b(?:no|nr|num|number|nummer|numero)\W*(?=\d)")
"""`Cell no. 3` is the third cell; `cell no.` alone is a number."""
_NUMBER_SIGN = re.compile(r"\w\W*#(?!\d)|#\s*(?=[^\W\d])")
_NO_MARK = str.maketrans({"ø": "o", "ł": "l", "ı": "i"})
"""Letters that Unicode does not part into a letter and a mark: with a stroke, or without their dot."""
_LIKE_A_UNIT = re.compile(r"[/*%°^×‰]|\b[x:]\s?\d|\d\s?x\b|\d[.,]\d|^[a-zµμ°]{1,3}$")
_NO_UNIT = re.compile(
    r"raw|val|none|bool\w*|u?int\d*|integer|float\d*|double|text|str(ing)?|counts?|digits?|lsb|#?\d+"
    r"|utc|gmt|cet|mez|sum|all|tot|abs|rel|new|old|in|out|on|off|[+]/-|±"
)
"""What stands in the place of a unit and is none: the kind of the numbers, or a number of the sensor."""
_SCALE = re.compile(
    r"(?<![a-z0-9])x\s*\d[\d.,]*|[/*·×]\s*\d[\d.,]*|10\s*(?:\^|\*\*)\s*-?\d|\b(?:tenth|hundredth|thousandth|zehntel|hundertstel|"
    r"tausendstel|dixieme|centieme|millieme|decim[oi]|centesim|millesim|decima|tiende|honderdste|dziesiat|setn)\w*"
)
"""A factor, in figures or in words."""
_PER_SECOND = re.compile(r"\b(?:per|pro|par|al|por|na)\s(?:s|sec|second[eoa]?|segundo|sekund[ey]?)\b|\bpps\b|[a-z]/s\b")
_SCALE_BEHIND = re.compile(r"[\s_]([x*/×]\s?10{1,4}|10{1,4}\s?[x×])$", re.IGNORECASE)
"""A factor without a unit, behind the name: `Voltage x100`."""
_PER = re.compile(r"\b(?:per|pro|par|al|por|na)$")
_NOW = re.compile(r"^current[\s_]+(?=\w)", re.IGNORECASE)
"""`Current rpm` is the speed of now, no current."""
_AFTER_NOW = ("rotation", "length", "velocity", "share")
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
    ("countdown", "time"),
    ("cell", "voltage"),
    ("time", "time"),
    ("pack", "voltage"),
)


@dataclass(frozen=True, kw_only=True)
class Heading:
    """A heading, taken apart. `unit` is None when none was understood; the words may still give the dimension."""

    text: str
    words: frozenset[str]
    unit: Unit | None
    dimension: str | None
    name: str = ""
    """The heading without its unit."""
    unread: str = ""
    """A unit that was written and is not understood."""


_LOST_MINUS = re.compile(r"(?<=[a-z])[?\ufffd](?=¹)", re.IGNORECASE)
"""The raised minus of `min⁻¹`, which Latin-1 does not hold: programs write a question mark in its place."""


def heading_of(text: str, unit_row: str = "") -> Heading:
    """Return what a heading and the cell of the unit row below it say."""
    text, unit_row = (_LOST_MINUS.sub("⁻", written) for written in (text, unit_row))
    name, said = _name_and_unit(text, unit_row)
    name = _without_now(name)
    words = words_in(name)
    wanted = _dimension_of(words)
    units = units_named(said) if said else ()
    unit = _fitting(units, wanted)
    if said and (unit is None or unit.dimension != wanted):
        unit = scale_alone(said, wanted) or unit
    if unit is None and not said:
        name, unit = _unit_at_the_end(name, wanted)
        words = words_in(name) if unit else words
        behind = _SCALE_BEHIND.search(name) if unit is None else None
        if behind and (unit := scale_alone(behind[1], wanted)):
            name = name[: behind.start()]
    dimension = unit.dimension if unit else wanted
    unread = said.strip() if unit is None and not units else ""
    unread = unread or _left_over(text, unit, dimension)
    return Heading(
        text=text.strip() or "(no heading)",
        words=words,
        unit=unit,
        dimension=dimension,
        name=name.strip(),
        unread="" if _NO_UNIT.fullmatch(unread.casefold()) else unread,
    )


def _left_over(text: str, unit: Unit | None, dimension: str | None) -> str:
    """Return what of a unit or a factor was written and is not part of the unit that was understood."""
    whole, understood = plain(text), plain(unit.said) if unit else ""
    scale = next((found[0] for found in _SCALE.finditer(whole) if found[0].strip(" /*x·×.,") not in understood), "")
    if scale:
        return scale
    if unit is not None and unit.other_factor is not None and text.count("(") + text.count("[") > 1:
        return text[text.index(next(mark for mark in text if mark in "([")) :]
    per = _PER_SECOND.search(whole) if unit is None and dimension == "rotation" else None
    return per[0] if per else ""


def words_in(name: str) -> frozenset[str]:
    """Return the meanings of the words in a heading, and of two words side by side, from the words tables."""
    found: set[str] = set()
    for spelling in (plain(name), plain(_CAMEL.sub(" ", name))):
        signed = _NUMBER_SIGN.sub(lambda sign: sign[0].replace("#", " number "), spelling)
        spelled = _NUMBER_BEFORE.sub("", signed)
        parts = [part for part in _BETWEEN_WORDS.split(spelled) if part]
        parts = [_RUNNING_NUMBER.sub("", part) for part in parts]
        told = {*parts, *(f"{one} {two}" for one, two in pairwise(parts))}
        found |= {meaning for meaning, pattern in word_patterns().items() if any(pattern.match(part) for part in told)}
    return frozenset(found)


def plain(text: str) -> str:
    """Return the text in lower case and without accents: `Höhe` is `hohe`."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).translate(_NO_MARK)


@cache
def word_table(name: str = "column_words") -> dict[str, Any]:
    """Return a table of words as it stands in its file: column_words or qualifying_words."""
    return tomllib.loads(files(__package__).joinpath(f"{name}.toml").read_text("utf-8"))


@cache
def word_patterns() -> dict[str, re.Pattern[str]]:
    """Return one pattern for each meaning in the words tables; `*` is any letters of one word."""
    words = word_table()["words"] | word_table("qualifying_words")["words"]
    return {
        meaning: re.compile("|".join(f"(?:{re.escape(plain(w)).replace(re.escape('*'), '[^ ]*')})$" for w in listed))
        for meaning, listed in words.items()
    }


def _name_and_unit(text: str, unit_row: str) -> tuple[str, str]:
    if unit_row.strip(" ()[]{}<>-"):
        return text, unit_row.strip().strip("()[]{}<>")
    bracket = _BRACKET.match(text.strip())
    if not bracket:
        glued = _GLUED_PERCENT.match(text.strip())
        return (glued[1], "%") if glued else (text, "")
    inside = bracket["inside"]
    if units_named(inside):
        return bracket["name"] or inside, inside
    first = re.split(r"[,;]", inside)[0]
    if units_named(first):
        return f"{bracket['name']} {inside[len(first) :]}", first
    if bracket["name"] and _LIKE_A_UNIT.search(plain(inside)) and not words_in(inside):
        return bracket["name"], inside
    return f"{bracket['name']} {inside}", ""


def _without_now(name: str) -> str:
    """Cut a leading `current` that only says now: what follows is another quantity."""
    now = _NOW.match(name)
    if now is None:
        return name
    rest = name[now.end() :]
    dimension = _dimension_of(words_in(rest)) or next((u.dimension for u in units_named(rest)), None)
    return rest if dimension in _AFTER_NOW else name


def _fitting(units: tuple[Unit, ...], wanted: str | None) -> Unit | None:
    for unit in units:
        if unit.dimension == wanted:
            return unit
    if units and wanted not in (None, "share") and is_span(units[0]):
        return None  # a span of the sensor, not a share
    return units[0] if units else None


def _unit_at_the_end(name: str, wanted: str | None) -> tuple[str, Unit | None]:
    """Find a unit after a space, dash, underscore, slash or comma; it must not contradict the words."""
    whole = units_named(name)
    if whole and (wanted is None or any(u.dimension == wanted for u in whole)):
        return name, _fitting(whole, wanted)
    for cut in re.finditer(r"[\s_\-/,:|.]+(?:in\s+)?", name.strip()):
        head, end = name.strip()[: cut.start()], name.strip()[cut.end() :]
        if not head or not end or _NUMBERED.match(end) or _PER.search(plain(head)):
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
    told = words - {"head"} if words & {"pack", "cell"} else words  # a main pack, the nr of a cell
    return next((dimension for word, dimension in _DIMENSION_OF_WORDS if word in told), None)
