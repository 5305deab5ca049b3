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
    def would_pass(self) -> bool:
        """Whether the check passes as described, while the doubt on its figure was not worked out: no pass.

        What has no figure is looked at on the drawn machines, too; the autorotation window has the doubt of its edges
        inside, but for a value on the edge itself.
        """
        found = self.check
        held = found.check == "autorotation_window" and self.excess < 0.0
        bare = found.figure is not None and found.figure_interval is None
        return found.verdict is Outcome.PASS and bare and not held

    @property
    def outcome(self) -> Outcome:
        """The verdict as a change may be told to bring it about: unknown is never pass."""
        return Outcome.UNKNOWN if self.would_pass else self.check.verdict

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
