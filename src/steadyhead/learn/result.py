"""What `learn` answers; field names are the JSON keys."""

from dataclasses import dataclass, field
from pathlib import Path

from steadyhead.channel.result import Law, Reading
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome, Verdict


@dataclass(frozen=True, kw_only=True)
class Parameter:
    """One number of the machine file that logs can tell. Value, interval and the file's own are in `unit`."""

    key: str
    says: str
    unit: str
    told: bool
    """Whether these logs tell it, and not the file: the fit within a factor of 1.5, with what it does not see of 2.

    The loss at part duty where they leave half of the file's doubt or less.
    """
    value: float | None
    value_interval: tuple[float, float] | None
    file_value: float | None
    file_value_interval: tuple[float, float] | None
    file_origin: str
    rests_on: tuple[str, ...]
    """What was taken from the file or from common practice and makes a quarter or more of the doubt."""
    told_by: tuple[str, ...]
    """The logs that tell it, the one that tells most first; empty where it is not told."""
    needs: str
    """What would tell it, where it is not told."""
    remarks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A figure that the logs tell better than its parts: a sum, a ratio, or a thing as it was on that day."""

    name: str
    says: str
    unit: str
    value: float
    value_interval: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class GovernorSeen:
    """How the governor acted in flight, in physical units: gains that no device shows."""

    log: str
    told: bool
    gain: float | None
    """Duty for a speed error as large as the set speed."""
    gain_interval: tuple[float, float] | None
    gain_per_s: float | None
    """The same for each second that the error lasts."""
    gain_per_s_interval: tuple[float, float] | None
    integral_time_s: float | None
    integral_time_s_interval: tuple[float, float] | None
    log_lag_s: float | None
    """By how much the logged speed lags what the governor sees."""
    explained: float | None
    """Share of the duty's movement that these gains explain, 0 to 1."""
    needs: str


@dataclass(frozen=True, kw_only=True)
class LawSeen:
    """The set-point law as these logs show it, and the readings it was made from."""

    told: bool
    """Whether the law is known and a third reading tested it."""
    law: Law
    readings: tuple[Reading, ...]
    needs: str


@dataclass(frozen=True, kw_only=True)
class Change:
    """One line of the proposed machine file."""

    key: str
    before: str
    after: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """A machine file that holds what was learned; the person's own file stays as it is."""

    changes: tuple[Change, ...]
    text: str
    """The whole file, the person's own lines and remarks kept."""
    written: Path | None


@dataclass(frozen=True, kw_only=True)
class Replayed:
    """One figure of one log, flown with the log's own inputs by the file as it is and by the proposed one."""

    log: str
    figure: str
    unit: str
    before_rms: float
    """Root mean square of simulation less log while the motor drives, file as it is; of voltage about its mean."""
    after_rms: float
    """The same with the proposed file."""


@dataclass(frozen=True, kw_only=True)
class FlownLog:
    """A log, and what the file as it is and the proposed one fly with its inputs."""

    log: Trace
    before: Trace
    after: Trace
    driven: tuple[tuple[str, float, float], ...]
    """Stretches in which the motor drives: kind, start and end, s."""


@dataclass(frozen=True, kw_only=True)
class Learned:
    """What the logs tell of a machine."""

    machine: str
    machine_revision: int
    logs: tuple[str, ...]
    parameters: tuple[Parameter, ...]
    figures: tuple[Figure, ...]
    not_told_apart: tuple[str, ...]
    """Pairs that move together, in words."""
    governors: tuple[GovernorSeen, ...]
    law: LawSeen
    converged: bool
    warnings: tuple[str, ...]
    unknowns: tuple[str, ...]
    proposal: Proposal
    replayed: tuple[Replayed, ...]
    """Empty where nothing is proposed or no log could be flown."""
    flown: tuple["FlownLog", ...] = field(metadata={"json": False}, repr=False)
    """What the drawing shows of the logs that could be flown."""
    checks: tuple[Verdict, ...]
    verdict: Outcome
    """Pass: something was told, the fit converged and ran to no limit, and every check passes; fail where one fails."""
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
