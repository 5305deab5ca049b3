"""One judged log or flight, as the sheet shows it."""

from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.content import Section, points
from steadyhead.report.full import Evidence, log_sections
from steadyhead.report.sheet import drawings
from steadyhead.report.view import View, view


def judge_view(machine: Machine, judgement: Judgement) -> View:
    """Return the stretches, figures, checks, and advice of one log."""
    evidence = Evidence(
        machine=machine,
        plan=None,
        channel=None,
        judgements=(judgement,),
        drawings=drawings(machine, None, None, (judgement,)),
    )
    sections = log_sections(evidence)[1:]
    unknown = Section(anchor="unknown", title="Not known", short="Unknown", points=points("Needed", judgement.unknowns))
    more = [unknown] if judgement.unknowns else []
    return view(judgement.log, judgement.verdict, [*sections, *more], [f"{judgement.rows_read} rows read"])
