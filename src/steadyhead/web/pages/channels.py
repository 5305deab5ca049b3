"""The page of the throttle channel: readings in, curve values out."""

from functools import partial

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.views.planned import channel_view
from steadyhead.web.desk import Desk
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_refusal, show_view_of
from steadyhead.words import cautions
from steadyhead.words.errors import SteadyheadError


def add_pages(desk: Desk) -> None:
    """Add the page of the throttle channel."""
    add_page(desk, "channel", "Throttle channel", partial(_channel, desk), warned=cautions.BENCH)


def _channel(desk: Desk, revision: Revision, machine: Machine) -> None:
    with ui.element("section").classes("card").props('aria-label="A reading"'):
        with ui.element("h2"):
            ui.label("A reading from the bench")
        ui.label("Blades off. Write the curve value and the head speed that was read at it.").classes("soft")
        with ui.element("div").classes("row-of"):
            percent = ui.number("Curve value, %", min=0, max=100, step=0.1)
            speed = ui.number("Head speed, rpm", min=0, step=1)
            spread = ui.number("Sure to, ± rpm", min=0, step=1)
            keep = primary("Keep the reading")
        refused = ui.element("div")
    place = ui.element("div").props('aria-live="polite"')

    def draw() -> None:
        place.clear()
        with place:
            kept = job.record.readings(desk.record, machine.name)
            show_view_of(lambda: channel_view(machine, job.channel(machine, kept=kept)))

    def add() -> None:
        refused.clear()
        try:
            reading = job.reading(percent.value, speed.value, spread.value)
            job.record.add_reading(desk.record, revision, reading)
        except SteadyheadError as error:
            with refused:
                show_refusal(str(error))
            return
        speed.set_value(None)
        draw()

    keep.on_click(add)
    draw()
