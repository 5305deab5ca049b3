"""What `advise` answers; field names are the JSON keys."""

from collections.abc import Mapping
from dataclasses import dataclass

from steadyhead.words.verdict import Outcome

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Effect:
    """One check before and after a change, worked out for the machine with the change made; no measurement."""

    check: str
    place: str
    """Flight mode, ramp or scenario."""
    part: str
    """Who worked it out: plan (steady solve), channel, governor (margins and load steps), ramps, spool times, bail-out,
    soft start or climb-out (flown by the engine), glide, bail-out height."""
    unit: str
    limit_text: str
    before: float | None
    before_interval: Interval | None
    after: float | None
    after_interval: Interval | None
    before_verdict: Outcome
    after_verdict: Outcome
    moved: str
    """mended (failed, now does not), spoilt (did not fail, now does), better, worse (nearer to its limit)."""

    would_pass: bool = False
    """The figure after it keeps its limit, but the doubt on it was not worked out: the verdict after is unknown."""

    @property
    def happens(self) -> str:
        """What happens to the check, for people: "mended" only where it passes after; unknown is never pass."""
        if self.would_pass and self.moved == "mended":
            return "would pass, doubt not worked out"
        return "no longer fails" if self.moved == "mended" and self.after_verdict is not Outcome.PASS else self.moved


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change of one thing, tried on the machine of the file."""

    rank: int
    key: str
    """Key of the machine file; two gains are one change."""
    what: str
    today: str
    to: str
    numbers: Mapping[str, float]
    """Keys of the machine file that it sets and their new values, SI."""
    relative: bool
    """Whether `to` is told as a share of today's, because every device counts this in its own way."""
    why: tuple[str, ...]
    """The checks that fail today and this change is for, each with figure and limit."""
    mended: int
    """Failing checks that pass after it, less those that begin to fail."""
    effects: tuple[Effect, ...]
    """Checks that it moves, the mended first, then the spoilt, the worse and the better."""
    sure: str
    note: str
    makes_void: tuple[str, ...]
    """Checks of a log or of the bench to run again after it."""


@dataclass(frozen=True, kw_only=True)
class Withheld:
    """A change that would help, without a number yet: today's value is not known, or another has to come first."""

    key: str
    why: str
    measure: str


@dataclass(frozen=True, kw_only=True)
class MeasureNext:
    """One value that is not known well enough, and what knowing it would decide."""

    rank: int
    key: str
    """Key of the machine file; `readings` of the set-point law; `log:` and a channel that a log should have."""
    origin: str
    """unknown where nobody stated it, else where today's value came from."""
    decides: int
    """Unknown verdicts that this value alone lets be given: a value nobody stated, or half of today's spread."""
    has_part_in: int
    """Unknown verdicts that need this value among others."""
    verdicts: tuple[str, ...]
    share: float
    """Share of the variance of the doubtful figure nearest to its limit that rests on it, 0 to 1; 0 where none does."""
    of_figure: str
    how: str


@dataclass(frozen=True, kw_only=True)
class Advice:
    """What to change and what to measure next; advice is no permission."""

    machine: str
    machine_revision: int
    looked_at: tuple[str, ...]
    """The parts that gave checks, in words."""
    failing: int
    unknown: int
    changes: tuple[Change, ...]
    withheld: tuple[Withheld, ...]
    without_figures: tuple[str, ...]
    """Failing checks that no change tried here mends: no simulated after."""
    measure_next: tuple[MeasureNext, ...]
    verdict: Outcome
    says: str
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    first: tuple[str, ...] = ()
    """What the judged logs ask for, the most pressing first: it was flown, and stands before every change."""
