"""The page of sound: bring a recording, or listen live; either is judged as a log is."""

from functools import partial
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.views.heard import heard_view
from steadyhead.web.desk import Desk
from steadyhead.web.ear import add_line, show_ear
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import show_begun, show_view_of, show_work
from steadyhead.web.uploads import bring
from steadyhead.words import cautions

IN_PLACE = "The machine stood or hovered in one place while it was recorded"


def add_pages(desk: Desk, core: FastAPI) -> None:
    """Add the page of sound, and the line that a microphone speaks into."""
    add_line(core)
    add_page(desk, "sound", "Sound", partial(_sound, desk), warned=cautions.BENCH)


def _sound(desk: Desk, revision: Revision, machine: Machine) -> None:
    show_ear(machine)
    with ui.element("section").classes("card").props('aria-label="Bring a recording"'):
        with ui.element("h2"):
            ui.label("Bring a recording")
        ui.label("WAV, FLAC or OGG. It stays on this machine.").classes("soft")

        async def brought(event: UploadEventArguments) -> None:
            path = desk.place_for(event.file.name)
            await event.file.save(path)
            _listen(desk, revision, machine, path, place, in_place=bool(tick.value))

        tick = ui.checkbox(IN_PLACE).classes("tick")
        bring("Bring a recording", brought, accept=".wav,.flac,.ogg,.oga")
    place = ui.element("div")
    show_begun(desk, (revision.id, "listen"), "Listen to it", partial(_show, desk, machine), place)


def _listen(desk: Desk, revision: Revision, machine: Machine, path: Path, place: ui.element, *, in_place: bool) -> None:
    kind = (revision.id, "listen", (str(path),))

    def keep(heard: Any) -> None:
        job.record.keep_recording(desk.record, revision, path, duration_s=heard.duration_s)
        path.unlink(missing_ok=True)

    ask = partial(desk.ask, kind, f"Listen to {path.name}", "listen", machine, path, in_place=in_place, on_done=keep)
    place.clear()
    with place:
        show_work(desk, kind, "Listen to it", ask, partial(_show, desk, machine))


def _show(desk: Desk, machine: Machine, heard: Any) -> None:
    show_view_of(partial(heard_view, machine, heard), desk.in_words)
