"""One check as it is seen: which part worked it out, where, and how far beyond its limit it is."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from steadyhead.words.verdict import Outcome, Verdict

PLAN, CHANNEL, GOVERNOR, RAMPS, TIMES = "plan", "channel", "governor", "ramps", "spool times"
BAIL_OUT, SOFT_START, CLIMB_OUT = "bail-out", "soft start", "climb-out"
GLIDE, HEIGHT = "glide", "bail-out height"
PARTS = (PLAN, CHANNEL, GOVERNOR, RAMPS, TIMES, BAIL_OUT, SOFT_START, CLIMB_OUT, GLIDE, HEIGHT)
WORST_IN = ", worst in "
"""Parts a flight mode from the condition in which a check of the plan is worst; that condition may move."""


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One check of one part at one place."""

    part: str
    place: str
    check: Verdict
    everywhere: Mapping[str, Verdict] = field(default_factory=dict, compare=False)
    """Of the plan: the same check at each place in which it may be worst."""

    @property
    def key(self) -> tuple[str, str, str]:
        """What makes it the same check before and after."""
        return self.part, self.check.check, self.place.partition(WORST_IN)[0]

    @property
    def fails(self) -> bool:
        """Whether the check fails."""
        return self.check.verdict is Outcome.FAIL

    @property
    def excess(self) -> float:
        """How far the figure is beyond its limit, as a share of the limit; below 0 inside it."""
        figure, limit = self.check.figure, self.check.limit
        if figure is None or limit is None:
            return 1.0 if self.fails else 0.0
        sign = -1.0 if self.check.limit_text.startswith(">=") else 1.0
        return sign * (figure - limit) / (abs(limit) or 1.0)

    def __str__(self) -> str:
        """Say where and why."""
        return f"{self.part}, {self.place}: {self.check.reason}" if self.place else f"{self.part}: {self.check.reason}"
