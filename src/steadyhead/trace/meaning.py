"""What each column may mean, from its heading and unit: claims, before the data has its say."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

from steadyhead.trace.headings import Heading, heading_of, plain, word_patterns, word_table
from steadyhead.trace.mapping import Chosen, dimensions_of
from steadyhead.trace.table import RawColumn, RawTable

SURE = 9
_NO_LETTERS = re.compile(r"[\W\d_]+")
_NEVER_QUALIFIED = ("time", "link_percent", "air_temperature_c", "air_pressure_hpa")


@dataclass(frozen=True, kw_only=True)
class Claim:
    """A column with the meaning that its heading, or a person, gives it; a higher rank is surer."""

    at: int
    column: RawColumn
    heading: Heading
    meaning: str
    rank: int
    chosen: Chosen | None = None
    of_another_log: bool = False
    """Whether a person said so of an earlier log with the same headings."""
    not_plain: str = ""
    """Why the column is another quantity than the plain measurement, in words; empty when it is plain."""

    @property
    def by_person(self) -> bool:
        """Whether a person said so."""
        return self.chosen is not None

    @property
    def said_of_this_log(self) -> bool:
        """Whether a person said so of this very log, not of an earlier one."""
        return self.chosen is not None and not self.of_another_log


def claims_of(table: RawTable, chosen: dict[int, Chosen], said_now: Collection[int] | None = None) -> tuple[Claim, ...]:
    """Return a claim for every column that has a meaning; time columns claim `time`, ignored ones `ignore`.

    `said_now` are the chosen columns that were not said of an earlier log; without it all are.
    """
    claims = []
    headings = [heading_of(column.heading, column.unit) for column in table.columns]
    attitude = any("tilt" in heading.words for heading in headings)
    for at, (column, heading) in enumerate(zip(table.columns, headings, strict=True)):
        if at in chosen:
            said = _said(at, column, heading, chosen[at])
            claims.append(replace(said, of_another_log=said_now is not None and at not in said_now))
            continue
        not_plain, rule = _qualified(heading) or _not_in_degrees(heading) or ("", _rule_for(heading))
        if rule is None or (attitude and str(rule["is"]).startswith("collective") and _is_bare_pitch(heading)):
            continue
        if heading.unread and not not_plain:
            not_plain = f"in a unit that is not understood ({heading.unread})"
        rank = rule["rank"] + int("measured" in heading.words)
        claims.append(Claim(at=at, column=column, heading=heading, meaning=rule["is"], rank=rank, not_plain=not_plain))
    return tuple(claims)


def _said(at: int, column: RawColumn, heading: Heading, chosen: Chosen) -> Claim:
    fits = dimensions_of(chosen.target)
    if chosen.unit is not None:
        heading = replace(heading, unit=chosen.unit, dimension=chosen.unit.dimension, unread="")
    elif heading.unit is not None and fits and heading.unit.dimension not in fits:
        heading = replace(heading, unit=None, dimension=fits[0], unread="")  # `h` and `k` are names here, not units
    meaning = "time" if chosen.target == "time_s" else chosen.target
    return Claim(at=at, column=column, heading=heading, meaning=meaning, rank=SURE, chosen=chosen)


def _rule_for(heading: Heading) -> Any:
    dimension = heading.dimension
    pulse = heading.words & {"throttle", "pulse", "duty"} and "time" not in heading.words
    if heading.unit is not None and dimension == "time" and pulse:
        dimension = "pulse"
    for rule in word_table()["rule"]:
        if rule["dimension"] != dimension or heading.words & set(rule["none"]):
            continue
        if not set(rule.get("all", ())) <= heading.words or not _only(heading, rule.get("only")):
            continue
        if not rule.get("any") or heading.words & set(rule["any"]):
            return rule
    return None


def _only(heading: Heading, classes: Sequence[str] | None) -> bool:
    """Whether every word of a heading belongs to one of the classes, or is a number."""
    if classes is None:
        return True
    parts = [part for part in _NO_LETTERS.split(plain(heading.name)) if part]
    return all(any(word_patterns()[name].match(part) for name in classes) for part in parts)


def _qualified(heading: Heading) -> tuple[str, Any] | None:
    """Return why a column is no plain measurement, and the rule it would fit if it were one; None where it is plain."""
    qualifiers = word_table("qualifying_words")["qualifier"]
    named = {word for qualifier in qualifiers for word in qualifier["any"]} | {"highest"}
    bare = heading.words - named - (set() if "cell" in heading.words else {"lowest"})
    rule = _rule_for(replace(heading, words=bare, name=""))
    if rule is None or rule["is"] in _NEVER_QUALIFIED:
        return None
    for qualifier in qualifiers:
        if not heading.words & set(qualifier["any"]) or heading.words & set(qualifier.get("unless", ())):
            continue
        if qualifier.get("without_unit") and heading.unit is not None:
            continue
        if rule["is"] in qualifier.get("of", (rule["is"],)):
            return qualifier["says"], rule
    return None


def _not_in_degrees(heading: Heading) -> tuple[str, Any] | None:
    """Return what is said of a temperature in a unit that measures none, and its rule; None for any other column."""
    unit = heading.unit
    if unit is None or unit.dimension in ("temperature", "time") or "temperature" not in heading.words:
        return None
    rule = _rule_for(replace(heading, dimension="temperature"))
    return None if rule is None else (f"in a unit that measures no temperature ({unit.said})", rule)


def _is_bare_pitch(heading: Heading) -> bool:
    """In a log with roll and yaw, `pitch` alone is the attitude of the machine."""
    return heading.words <= {"collective", "attitude", "tilt"} and "coll" not in heading.text.casefold()
