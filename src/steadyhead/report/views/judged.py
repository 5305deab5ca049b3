"""One judged log or flight, as the sheet shows it."""

from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.content import Section, points
from steadyhead.report.evidence import Evidence
from steadyhead.report.full import log_sections
from steadyhead.report.sheet import drawn
from steadyhead.report.view import View, view


def judge_view(machine: Machine, judgement: Judgement) -> View:
    """Return the stretches, figures, checks, and advice of one log."""
    evidence = drawn(Evidence(machine=machine, judgements=(judgement,)))
    sections = log_sections(evidence)[1:]
    unknown = Section(anchor="unknown", title="Not known", short="Unknown", points=points("Needed", judgement.unknowns))
    more = [unknown] if judgement.unknowns else []
    return view(judgement.log, judgement.verdict, [*sections, *more], [f"{judgement.rows_read} rows read"])
