"""Choosing among the logs that are kept of a machine: a tick for each, or the side of a change that it stands on."""

from collections.abc import Callable
from pathlib import Path

from nicegui import ui

from steadyhead import job
from steadyhead.bench.shelf import KeptFile
from steadyhead.report.wording import moment
from steadyhead.web.addresses import page_of
from steadyhead.web.desk import Desk

BEFORE, AFTER, OUT = "before", "after", "leave out"
Chosen = Callable[[], list[Path]]
Sided = Callable[[str], list[Path]]


def show_ticks(desk: Desk, machine: str) -> Chosen:
    """Show a tick for each kept log, all ticked; the answer gives those that are ticked, oldest first."""
    with ui.element("fieldset").classes("choice"):
        with ui.element("legend"):
            ui.label("Logs to take")
        kept = _oldest_first(desk, machine)
        ticks = [(log, ui.checkbox(_said(log), value=True)) for log in kept]
        if not kept:
            no_logs(machine)
    return lambda: [desk.log_file(log) for log, tick in ticks if tick.value]


def show_sides(desk: Desk, machine: str) -> Sided:
    """Show a choice of side for each kept log; the answer gives the logs of one side, oldest first."""
    kept = _oldest_first(desk, machine)
    sides = []
    for log in kept:
        with ui.element("fieldset").classes("choice"):
            with ui.element("legend"):
                ui.label(_said(log))
            first = {kept[0].id: BEFORE, kept[-1].id: AFTER}.get(log.id, OUT)
            sides.append((log, ui.radio([BEFORE, AFTER, OUT], value=first).props("inline")))
    return lambda side: [desk.log_file(log) for log, choice in sides if choice.value == side]


def no_logs(machine: str) -> None:
    """Say that no log is kept yet, with the way to where one is brought."""
    with ui.element("p").classes("told"):
        ui.label("No log is kept yet.")
        ui.link("Bring one on the page Logs.", page_of(machine, "logs"))


def _oldest_first(desk: Desk, machine: str) -> tuple[KeptFile, ...]:
    return job.shelf.logs(desk.record, machine)[::-1]


def _said(log: KeptFile) -> str:
    return f"{log.name}, revision {log.revision}, {moment(log.kept_on)}"
