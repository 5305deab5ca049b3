"""The descent without the motor, as the sheet shows it."""

from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.machine.description import Machine
from steadyhead.report.descent_tables import descent_section
from steadyhead.report.sheet import drawings
from steadyhead.report.view import View, view


def descent_view(machine: Machine, answer: DescendAnswer) -> View:
    """Return glides, where the rotor settles, energy and checks; the cautions stand first."""
    drawn = drawings(machine, None, None, (), answer)
    return view(answer.machine, answer.verdict, [descent_section(answer, drawn)])
