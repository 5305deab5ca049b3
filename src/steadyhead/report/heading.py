"""The top of both versions: machine, date, verdict with its parts, cautions."""

from collections.abc import Sequence
from datetime import date

from steadyhead.channel.result import ChannelAnswer
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Plan
from steadyhead.report.content import Heading
from steadyhead.report.overall import sheet_parts, sheet_verdict
from steadyhead.report.sentences import listed
from steadyhead.words import cautions
from steadyhead.words.verdict import Outcome

INVENTED = "Invented machine: these figures show the sheet. They belong to no real helicopter."
_SAYS = {
    Outcome.PASS: "Every check passed on the evidence below.",
    Outcome.FAIL: "Do not fly it like this: something failed. See the checks marked ✗.",
    Outcome.UNKNOWN: "Not proved yet: nothing failed, but something is not known. Unknown is not a pass.",
}


def heading(
    machine: Machine,
    plan: Plan | None,
    channel: ChannelAnswer | None,
    judgements: Sequence[Judgement],
    made_on: date,
) -> Heading:
    """Return the top of the sheet."""
    outcome = sheet_verdict(plan, channel, judgements)
    logs = listed([judgement.log for judgement in judgements], most=3) if judgements else "no log"
    return Heading(
        machine=machine.name,
        facts=(
            f"Size class {machine.size_class:g}",
            f"Revision {machine.revision}",
            f"Made {made_on:%d %B %Y}",
            f"Evidence: {logs}",
        ),
        invented=INVENTED if machine.invented else "",
        verdict=outcome,
        says=_SAYS[outcome],
        parts=sheet_parts(plan, channel, judgements),
        cautions=cautions.ALL,
    )
