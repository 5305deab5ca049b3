"""The page that says what to change and by how much, and what to measure next."""

from functools import partial

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.law_kept import law_words
from steadyhead.report.sentences import counted
from steadyhead.report.views.advised import advised_view
from steadyhead.web.desk import Desk
from steadyhead.web.pages.chosen import show_ticks
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_answer, show_begun, show_work
from steadyhead.words import cautions


def add_pages(desk: Desk) -> None:
    """Add the page of advice."""
    add_page(desk, "advise", "Advise", partial(_advise, desk), warned=cautions.ALL)


def _advise(desk: Desk, revision: Revision, machine: Machine) -> None:
    ui.label("Every figure after a change is computed; only a log proves it. Change one thing at a time.").classes(
        "told"
    )
    law = job.law.law_evidence(desk.record, machine)
    with ui.element("section").classes("card").props('aria-label="What it rests on"'):
        ui.label(f"It takes the machine file and {counted(len(law.readings), 'reading')} that are kept.").classes(
            "soft"
        )
        for words in law_words(law):
            ui.label(words).classes("soft")
        chosen = show_ticks(desk, machine.name)
        go = primary("Say what to change")
    place = ui.element("div")

    def begin() -> None:
        taken = chosen()
        logs = [desk.log_file(log) for log in taken]
        since = [job.law.flown_since(desk.record, machine, log) for log in taken]
        kind = (revision.id, "advise", (*map(str, logs), *map(str, (*law.readings, *law.void))))
        ask = partial(desk.ask, kind, "Try changes one at a time", "advise", machine, logs, law=law, since=since)
        place.clear()
        with place:
            show_work(desk, kind, "Say what to change", ask, show_answer(desk, "advise", advised_view))

    go.on_click(begin)
    show_begun(desk, (revision.id, "advise"), "Say what to change", show_answer(desk, "advise", advised_view), place)
