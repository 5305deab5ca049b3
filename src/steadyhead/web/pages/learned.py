"""The page that learns from kept logs, and keeps the proposed machine file only after a tick."""

from functools import partial
from typing import Any

from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.sentences import listed
from steadyhead.report.views.learned import learned_view
from steadyhead.report.views.revised import lines_html, void_checks
from steadyhead.web.addresses import page_of
from steadyhead.web.desk import Desk
from steadyhead.web.pages.chosen import show_ticks
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_answer, show_begun, show_refusal, show_work
from steadyhead.words.errors import SteadyheadError

TICK = "I have read what changes, and which checks are to be run again."


def add_pages(desk: Desk) -> None:
    """Add the page of learning."""
    add_page(desk, "learn", "Learn", partial(_learn, desk))


def _learn(desk: Desk, revision: Revision, machine: Machine) -> None:
    ui.label("Logs of one build of this machine. What they cannot tell is said; your file stays as it is.").classes(
        "told"
    )
    with ui.element("section").classes("card").props('aria-label="Logs to learn from"'):
        chosen = show_ticks(desk, machine.name)
        go = primary("Learn from them")
    place = ui.element("div")

    def begin() -> None:
        place.clear()
        with place:
            logs = [desk.log_file(log) for log in chosen()]
            if not logs:
                show_refusal("Tick one log or more.")
                return
            kind = (revision.id, "learn", tuple(map(str, logs)))
            ask = partial(desk.ask, kind, "Fit the machine to its logs", "learn", desk.file_of(revision), logs)
            show_work(desk, kind, "Learn from them", ask, partial(_show, desk, revision))

    go.on_click(begin)
    show_begun(desk, (revision.id, "learn"), "Learn from them", partial(_show, desk, revision), place)


def _show(desk: Desk, revision: Revision, learned: Any) -> None:
    show_answer(desk, "learn", learned_view)(learned)
    if not learned.proposal.changes:
        return
    with ui.element("section").classes("card").props('aria-label="Keep the proposed file"'):
        with ui.element("h2"):
            ui.label("Keep the proposed file?")
        void = void_checks(job.shelf.difference_from_text(desk.record, revision, learned.proposal.text))
        ui.label(f"Void once it is kept, to be run again: {listed(void)}." if void else "It makes no check void.")
        with ui.element("details"):
            with ui.element("summary"):
                ui.label("The file, line by line")
            kept_text = job.shelf.kept_text(desk.record, revision.id)
            ui.html(lines_html(kept_text, learned.proposal.text), sanitize=False)
        tick = ui.checkbox(TICK).classes("tick")
        button = primary("Keep as a new revision")
        refused = ui.element("div")

    def keep() -> None:
        refused.clear()
        try:
            if not tick.value:
                raise SteadyheadError("Tick first that you have read it. Nothing was kept.")
            if desk.newest(revision.machine)[0].id != revision.id:
                raise SteadyheadError("The machine file was changed since: learn anew from it. Nothing was kept.")
            kept = job.record.keep_next(desk.record, revision, learned.proposal.text)
        except SteadyheadError as error:
            with refused:
                show_refusal(str(error))
            return
        ui.navigate.to(page_of(kept.machine, "machine"))

    button.on_click(keep)
