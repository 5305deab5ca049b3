"""What each column may mean, from its heading and unit: claims, before the data has its say."""

from dataclasses import dataclass
from typing import Any

from steadyhead.trace.headings import Heading, heading_of, word_table
from steadyhead.trace.mapping import Chosen
from steadyhead.trace.table import RawColumn, RawTable

SURE = 9
_TIME_LIKE_PULSE = ("us", "ms")


@dataclass(frozen=True, kw_only=True)
class Claim:
    """A column with the meaning that its heading, or a person, gives it; a higher rank is surer."""

    at: int
    column: RawColumn
    heading: Heading
    meaning: str
    rank: int
    chosen: Chosen | None = None

    @property
    def by_person(self) -> bool:
        """Whether a person said so."""
        return self.chosen is not None


def claims_of(table: RawTable, chosen: dict[int, Chosen]) -> tuple[Claim, ...]:
    """Return a claim for every column that has a meaning; time columns claim `time`."""
    claims = []
    headings = [heading_of(column.heading, column.unit) for column in table.columns]
    attitude = any("tilt" in heading.words for heading in headings)
    for at, (column, heading) in enumerate(zip(table.columns, headings, strict=True)):
        if at in chosen:
            claims.append(_said(at, column, heading, chosen[at]))
            continue
        rule = _rule_for(heading)
        if rule is None or (attitude and str(rule["is"]).startswith("collective") and _is_bare_pitch(heading)):
            continue
        claims.append(Claim(at=at, column=column, heading=heading, meaning=rule["is"], rank=rule["rank"]))
    return tuple(claim for claim in claims if claim.meaning != "ignore")


def _said(at: int, column: RawColumn, heading: Heading, chosen: Chosen) -> Claim:
    if chosen.unit is not None:
        heading = Heading(text=heading.text, words=heading.words, unit=chosen.unit, dimension=chosen.unit.dimension)
    meaning = "time" if chosen.target == "time_s" else chosen.target
    return Claim(at=at, column=column, heading=heading, meaning=meaning, rank=SURE, chosen=chosen)


def _rule_for(heading: Heading) -> Any:
    dimension = heading.dimension
    if heading.unit is not None and dimension == "time" and heading.words & {"throttle", "pulse", "duty"}:
        dimension = "pulse"
    for rule in _rules():
        if rule["dimension"] != dimension or heading.words & set(rule["none"]):
            continue
        if not set(rule.get("all", ())) <= heading.words:
            continue
        if not rule.get("any") or heading.words & set(rule["any"]):
            return rule
    return None


def _rules() -> Any:
    return word_table()["rule"]


def _is_bare_pitch(heading: Heading) -> bool:
    """In a log with roll and yaw, `pitch` alone is the attitude of the machine."""
    return heading.words <= {"collective", "attitude", "tilt"} and "coll" not in heading.text.casefold()
