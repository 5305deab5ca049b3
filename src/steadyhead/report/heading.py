"""The top of both versions: machine, date, verdict with its parts, cautions."""

from datetime import date

from steadyhead.report.bench_tables import bench_part
from steadyhead.report.content import Heading, Part
from steadyhead.report.evidence import Evidence
from steadyhead.report.overall import sheet_parts
from steadyhead.report.sentences import counted, listed
from steadyhead.words import cautions
from steadyhead.words.verdict import Outcome, worst

INVENTED = "Invented machine: these figures show the sheet. They belong to no real helicopter."
_SAYS = {
    Outcome.PASS: "Every check passed on the evidence below.",
    Outcome.FAIL: "Do not fly it like this: something failed. See the checks marked ✗.",
    Outcome.UNKNOWN: "Not proved yet: nothing failed, but something is not known. Unknown is not a pass.",
}


def heading(evidence: Evidence, made_on: date) -> Heading:
    """Return the top of the sheet."""
    machine, bench, judgements = evidence.machine, evidence.bench, evidence.judgements
    parts = (*sheet_parts(evidence.plan, evidence.channel, judgements, evidence.descent), *bench_part(bench))
    parts += (*_unread(evidence), *_stale(evidence))
    outcome = worst(part.verdict for part in parts)
    told = [*([f"bench run of {bench.started_on[:10]}"] if bench else []), *(judgement.log for judgement in judgements)]
    logs = listed(told, most=3) if told else "no log"
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
        parts=parts,
        cautions=cautions.ALL,
    )


def _unread(evidence: Evidence) -> tuple[Part, ...]:
    """Return the part that names the logs that could not be read; what they would show is unknown."""
    if not evidence.unread:
        return ()
    says = f"{counted(len(evidence.unread), 'log')} left out, and not judged: {'. '.join(evidence.unread)}."
    return (Part(name="Not read", verdict=Outcome.UNKNOWN, says=says),)


def _stale(evidence: Evidence) -> tuple[Part, ...]:
    """Return the part that says what was made for another revision or machine; such evidence proves nothing here."""
    logs = ((judgement.log, judgement) for judgement in evidence.judgements)
    named = [("the plan", evidence.plan), ("the channel", evidence.channel), ("the bench run", evidence.bench), *logs]
    ours = (evidence.machine.name, evidence.machine.revision)
    other = [name for name, made in named if made is not None and (made.machine, made.machine_revision) != ours]
    if not other:
        return ()
    says = f"Made for another revision or machine: {listed(other, most=4)}. Run it again for this one."
    return (Part(name="Revision", verdict=Outcome.UNKNOWN, says=says),)
