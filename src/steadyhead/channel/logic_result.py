"""What `logic` answers; field names are the JSON keys. Times are seconds after the pack was connected."""

from dataclasses import dataclass

from steadyhead.words.verdict import Outcome, Verdict


@dataclass(frozen=True, kw_only=True)
class StoryStep:
    """One line of a switch story."""

    time_s: float
    who: str
    """you, controller, rotor, channel or rule."""
    says: str


@dataclass(frozen=True, kw_only=True)
class RuleAnswer:
    """One safety rule, judged; with the shortest switch story that breaks it, where there is one."""

    rule: str
    says: str
    check: Verdict
    story: tuple[StoryStep, ...]
    switch_moves: int | None
    """How often the switches are moved in the story; None without a story."""


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One setting of the run logic as it was used."""

    key: str
    """Where it stands in the machine file."""
    value: str
    known: bool


@dataclass(frozen=True, kw_only=True)
class LogicAnswer:
    """Every switch sequence checked against the safety rules."""

    machine: str
    machine_revision: int
    settings: tuple[Setting, ...]
    rules: tuple[RuleAnswer, ...]
    states: int
    """How many different states of controller, channel and flyer were looked at."""
    tick_s: float
    """The switches may be moved at every tick."""
    seconds: float
    """How long the check took."""
    verdict: Outcome
    reasons: tuple[str, ...]
    unknowns: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
