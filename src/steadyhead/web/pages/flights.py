"""The page that flies a scenario before the real flight."""

from functools import partial
from typing import Any

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.views.flown import flight_view
from steadyhead.web.charts import show_chart
from steadyhead.web.choices import Choice
from steadyhead.web.desk import Desk
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_begun, show_view_of, show_work
from steadyhead.words import cautions


def add_pages(desk: Desk) -> None:
    """Add the page of simulated flights."""
    add_page(desk, "fly", "Simulate", partial(_fly, desk), warned=cautions.ALL)


def _fly(desk: Desk, revision: Revision, machine: Machine) -> None:
    ui.label("A simulation shows what to expect. It is no evidence of what the machine does.").classes("told")
    every = job.scenarios()
    names = {name: f"{scenario.name}: {scenario.says}" for name, scenario in every.items()}
    with ui.element("div").classes("row-of"):
        begun = [words[0] for _, _, words in desk.going_on(revision.id, "fly") if words[0] in names]
        chosen = Choice("Scenario", names, chosen=next(iter(begun), ""))
        go = primary("Fly it")
    place = ui.element("div")

    def fly() -> None:
        kind = (revision.id, "fly", (chosen.value,))
        ask = partial(desk.ask, kind, f"Fly {every[chosen.value].name}", "fly", machine, chosen.value)
        place.clear()
        with place:
            show_work(desk, kind, "Fly it", ask, show)

    show = partial(_show, machine)
    go.on_click(fly)
    show_begun(desk, (revision.id, "fly"), "Fly it", show, place)


def _show(machine: Machine, flown: Any) -> None:
    show_chart(flown.judgement, machine)
    show_view_of(partial(flight_view, machine, flown.flight, flown.judgement, flown.residuals))
