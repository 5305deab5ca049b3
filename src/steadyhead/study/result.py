"""What `study` answers; field names are the JSON keys."""

from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from steadyhead.words.verdict import Outcome, Verdict

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class FigureSpread:
    """One figure over the machines at one point of the grid; five in a hundred lie below the interval, five above."""

    figure: str
    mean: float
    interval: Interval
    known: int
    """On how many machines it is known."""


@dataclass(frozen=True, kw_only=True)
class PointTold:
    """One point of the grid: what was swept, how its machines fared."""

    point: str
    """What was swept, in words; "as described" without a sweep."""
    machines: int
    passed: int
    failed: int
    unknown: int
    pass_share: float
    """Share of the drawn machines that pass; unknown is never pass."""
    pass_share_interval: Interval
    """90 % interval for the number of machines drawn, by Clopper and Pearson."""
    figures: tuple[FigureSpread, ...]
    on_front: bool | None = None
    """For a trade: whether no other point has more of both figures; null for other questions."""


@dataclass(frozen=True, kw_only=True)
class Influence:
    """How much of a figure's variance one input carries."""

    key: str
    first_order: float
    """By itself."""
    first_order_interval: Interval
    total: float
    """Together with the others."""
    total_interval: Interval


@dataclass(frozen=True, kw_only=True)
class Corner:
    """The worst of all corners: every spread input at one end of its interval."""

    point: str
    row: int
    at: dict[str, str]
    """By input: low or high."""
    figure: str
    value: float | None
    """Null where the worst corner does not have the figure."""
    verdict: Outcome
    why: str


@dataclass(frozen=True, kw_only=True)
class StudyAnswer:
    """A study, worked out. What is drawn is the machine file's own doubt: a wrong spread gives a wrong share."""

    study: str
    machine: str
    collects: str
    question: str
    rows: int
    seed: int
    inputs: tuple[str, ...]
    """What was drawn."""
    points: tuple[PointTold, ...]
    influences: tuple[Influence, ...]
    influence_of: str | None
    """The figure whose variance is shared out."""
    trade_of: tuple[str, str] | None
    worst: Corner | None
    checks: tuple[Verdict, ...]
    verdict: Outcome | None
    """Null for a question that has no verdict: sensitivity and trade."""
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    device: str = "cpu"
    """What worked it out: cpu, or a graphics card by its name."""
    written: tuple[Path, ...] = ()
    table: pl.DataFrame = field(default_factory=pl.DataFrame, metadata={"json": False}, repr=False, compare=False)
