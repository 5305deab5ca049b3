"""Everything that a sheet is made from."""

from dataclasses import dataclass

from steadyhead.bench.run_summary import RunSummary
from steadyhead.channel.result import ChannelAnswer
from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Plan
from steadyhead.report.figures.canvas import Drawing
from steadyhead.words.verdict import Verdict


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Everything that a sheet is made from."""

    machine: Machine
    plan: Plan | None = None
    channel: ChannelAnswer | None = None
    judgements: tuple[Judgement, ...] = ()
    descent: DescendAnswer | None = None
    drawings: tuple[Drawing, ...] = ()
    bench: RunSummary | None = None
    kept_logs: str = ""
    """How many of the logs that are kept are shown, and why the others are not; empty where all are."""
    unread: tuple[str, ...] = ()
    """Logs that could not be read, each with why."""

    def channel_checks(self) -> tuple[Verdict, ...]:
        """Return every check of the throttle channel once."""
        if self.channel is None:
            return ()
        found = (*self.channel.end_points.checks, *self.channel.thresholds.checks, *self.channel.checks)
        return tuple({check.check: check for check in found}.values())

    def drawn(self, *names: str) -> tuple[Drawing, ...]:
        """Return the drawings of these names, in that order."""
        return tuple(drawing for name in names for drawing in self.drawings if drawing.name == name)
