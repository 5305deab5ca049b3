"""What stands on the sheet, in words, before it becomes HTML or PDF: both faces of the sheet show the same content."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from steadyhead.report.figures.canvas import Drawing
from steadyhead.report.sentences import sentence
from steadyhead.words.verdict import Outcome


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One cell of a table; with a verdict it shows mark and word, and never colour alone."""

    text: str
    verdict: str = ""
    strong: bool = False
    aside: str = ""
    """What stands small behind it: the interval, or for how long."""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a table; `numeric` ones are set to the right, `weight` says how much room it takes."""

    title: str
    numeric: bool = False
    weight: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Table:
    """One table with its caption; the first cell of each row is its heading."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    shape: str = "cards"
    """On a phone: "cards" makes each row a card, "pairs" and "checks" a short one, "slide" moves it sideways."""


@dataclass(frozen=True, kw_only=True)
class Points:
    """A list of sentences with its heading."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Section:
    """One part of the full sheet."""

    anchor: str
    title: str
    short: str
    """The name in the list of parts."""
    lead: tuple[str, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    tables: tuple[Table, ...] = ()
    points: tuple[Points, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Part:
    """One of the parts that the overall verdict is made of."""

    name: str
    verdict: Outcome
    says: str


@dataclass(frozen=True, kw_only=True)
class Heading:
    """The top of the sheet."""

    machine: str
    facts: tuple[str, ...]
    invented: str
    verdict: Outcome
    says: str
    parts: tuple[Part, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FullSheet:
    """The full version."""

    heading: Heading
    sections: tuple[Section, ...]


@dataclass(frozen=True, kw_only=True)
class PageSheet:
    """The one-page version."""

    heading: Heading
    settings: Table
    others: Table
    plan: Table
    checks: tuple[Cell, ...]
    checks_title: str
    drawings: tuple[Drawing, ...]
    notes: tuple[tuple[str, str], ...]
    """Pairs of a bold word and a sentence: what fails, what to measure next, what a change makes void."""


def cells(*words: str) -> tuple[Cell, ...]:
    """Return plain cells."""
    return tuple(Cell(text=word) for word in words)


def points(title: str, sentences: Iterable[str]) -> tuple[Points, ...]:
    """Return one list of sentences, each once, or none when there is nothing to say."""
    items = tuple(dict.fromkeys(sentence(words) for words in sentences))
    return (Points(title=title, items=items),) if items else ()


def doubtful(words: str) -> Cell:
    """Return the cell of a figure with its interval, `2250 rpm (2240–2260)`, the interval set aside."""
    main, bracket, rest = words.partition(" (")
    return Cell(text=main, aside=bracket.strip() + rest)


def verdict_cell(outcome: Outcome) -> Cell:
    """Return the cell that says a verdict."""
    return Cell(text="", verdict=outcome.value)


def columns(*titles: str, words: Sequence[int] = (0,), weights: Sequence[float] = ()) -> tuple[Column, ...]:
    """Return columns, numeric save those whose place stands in `words`."""
    return tuple(
        Column(title=title, numeric=place not in words, weight=weights[place] if weights else 1.0)
        for place, title in enumerate(titles)
    )
