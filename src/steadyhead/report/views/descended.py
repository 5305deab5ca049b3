"""The descent without the motor, as the sheet shows it."""

from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.flight.ramp_limits import known_limits
from steadyhead.machine.description import Machine
from steadyhead.report.bail_out_tables import bail_out_section
from steadyhead.report.descent_tables import descent_section
from steadyhead.report.evidence import Evidence
from steadyhead.report.sheet import drawn
from steadyhead.report.view import View, view


def descent_view(machine: Machine, answer: DescendAnswer) -> View:
    """Return bail-out, landing and heights to avoid, then glides, energy and checks; the cautions stand first."""
    evidence = drawn(Evidence(machine=machine, descent=answer))
    glide = evidence.drawn("glide")
    rest = tuple(one for one in evidence.drawings if one.name != "glide")
    sections = [bail_out_section(answer, rest, known_limits(machine)), descent_section(answer, glide)]
    return view(answer.machine, answer.verdict, sections)
