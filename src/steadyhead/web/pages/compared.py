"""The page that holds logs from before a change against logs from after it."""

from functools import partial

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.judge.air_logged import stated_density
from steadyhead.machine.description import Machine
from steadyhead.report.views.compared import compared_view
from steadyhead.web.desk import Desk
from steadyhead.web.fields import NumberField
from steadyhead.web.pages.chosen import AFTER, BEFORE, no_logs, show_sides
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_answer, show_begun, show_refusal, show_work
from steadyhead.words.errors import SteadyheadError


def add_pages(desk: Desk) -> None:
    """Add the page of comparisons."""
    add_page(desk, "compare", "Compare", partial(_compare, desk))


def _compare(desk: Desk, revision: Revision, machine: Machine) -> None:
    ui.label(
        "One change between the sides; more cannot be told apart. Several flights on each side tell more."
    ).classes("told")
    if not job.shelf.logs(desk.record, machine.name):
        no_logs(machine.name)
        return
    with ui.element("section").classes("card").props('aria-label="Logs to compare"'):
        with ui.element("h2"):
            ui.label("Before or after the change?")
        of_side = show_sides(desk, machine.name)
        ui.label("Air density, if you know it: thin air alone moves duty and droop.").classes("soft")
        with ui.element("div").classes("row-of"):
            air = [NumberField(f"Air {side}, kg/m³") for side in (BEFORE, AFTER)]
        go = primary("Compare them")
    place = ui.element("div")

    def begin() -> None:
        place.clear()
        with place:
            before, after = of_side(BEFORE), of_side(AFTER)
            if not before or not after:
                show_refusal("Choose one log or more on each side.")
                return
            try:
                density = stated_density(BEFORE, air[0].number), stated_density(AFTER, air[1].number)
            except SteadyheadError as error:
                show_refusal(str(error))
                return
            kind = (revision.id, "compare", (*map(str, before), AFTER, *map(str, after), str(density)))
            ask = partial(
                desk.ask, kind, "Judge both sides and compare", "compare", machine, before, after, density_kg_m3=density
            )
            show_work(desk, kind, "Compare them", ask, show_answer(desk, "compare", compared_view))

    go.on_click(begin)
    show_begun(desk, (revision.id, "compare"), "Compare them", show_answer(desk, "compare", compared_view), place)
