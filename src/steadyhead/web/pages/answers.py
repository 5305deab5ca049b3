"""The pages that show one answer for a machine: plan, switches, governor, descent."""

from functools import partial
from typing import Any

from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.views.descended import descent_view
from steadyhead.report.views.governed import governor_view
from steadyhead.report.views.planned import plan_view
from steadyhead.report.views.switched import logic_view
from steadyhead.web.desk import Desk
from steadyhead.web.pages.glimpsed import show_glimpse
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import show_view_of, show_work
from steadyhead.words import cautions


def add_pages(desk: Desk) -> None:
    """Add the pages of plan, switches, governor and descent."""

    def plan(revision: Revision, machine: Machine) -> None:
        show_glimpse(machine)
        kind = (revision.id, "plan", ())
        ask = partial(desk.ask, kind, "Solve every condition", "plan", machine)
        show_work(desk, kind, "Make the plan", ask, partial(_plan, machine))

    def logic(revision: Revision, machine: Machine) -> None:
        kind = (revision.id, "logic", ())
        ask = partial(desk.ask, kind, "Walk over every switch sequence", "logic", machine)
        show_work(desk, kind, "Check every switch sequence", ask, _logic)

    def governor(revision: Revision, machine: Machine) -> None:
        kind = (revision.id, "governor", ())
        ask = partial(desk.ask, kind, "Margins, load steps, gains, ramps", "governor", machine)
        show_work(desk, kind, "Look at the governor", ask, partial(_governor, machine), at_once=False)

    def descent(revision: Revision, machine: Machine) -> None:
        kind = (revision.id, "descend", ())
        ask = partial(desk.ask, kind, "Glides, energy, the height of a bail-out", "descend", machine)
        show_work(desk, kind, "Work out the descent", ask, partial(_descent, machine), at_once=False)

    add_page(desk, "plan", "Plan", plan)
    add_page(desk, "logic", "Switches", logic)
    add_page(desk, "governor", "Governor", governor, warned=cautions.ALL)
    add_page(desk, "descent", "Descent", descent, warned=cautions.DESCENT)


def _plan(machine: Machine, answer: Any) -> None:
    show_view_of(partial(plan_view, machine, answer))


def _logic(answer: Any) -> None:
    show_view_of(partial(logic_view, answer))


def _governor(machine: Machine, answer: Any) -> None:
    show_view_of(partial(governor_view, machine, answer))


def _descent(machine: Machine, answer: Any) -> None:
    show_view_of(partial(descent_view, machine, answer))
