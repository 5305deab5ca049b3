"""Choosing among the logs that are kept of a machine: a tick for each, or the side of a change that it stands on."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from nicegui import ui

from steadyhead import job
from steadyhead.bench.shelf import KeptLog
from steadyhead.report.kept_logs import kept_verdict, log_labels
from steadyhead.web.addresses import page_of
from steadyhead.web.desk import Desk
from steadyhead.web.shown import other

BEFORE, AFTER, OUT = "before", "after", "leave out"
Chosen = Callable[[], list[KeptLog]]
Sided = Callable[[str], list[Path]]


def show_ticks(desk: Desk, machine: str) -> Chosen:
    """Show a tick for each kept log, with its verdict then; the answer gives the ticked ones, oldest first.

    Those that are left out of the sheet are not ticked.
    """
    with ui.element("fieldset").classes("choice"):
        with ui.element("legend"):
            ui.label("Logs to take")
        kept = _oldest_first(desk, machine)
        ticks = []
        for log, label in kept:
            ticks.append((log, ui.checkbox(label, value=log.is_evidence)))
            ui.label(kept_verdict(log)).classes("soft")
        if not kept:
            no_logs(machine)
        elif len(kept) > 1:
            with ui.element("div").classes("row-of"):
                other("Tick all", partial(_tick, ticks, on=True))
                other("Tick none", partial(_tick, ticks, on=False))
    return lambda: [log for log, tick in ticks if tick.value]


def _tick(ticks: list[tuple[KeptLog, ui.checkbox]], *, on: bool) -> None:
    for _, tick in ticks:
        tick.set_value(on)


def show_sides(desk: Desk, machine: str) -> Sided:
    """Show a choice of side for each kept log; the answer gives the logs of one side, oldest first."""
    kept = _oldest_first(desk, machine)
    sides = []
    taken = [log.id for log, _ in kept if log.is_evidence]
    first = {key: AFTER for key in taken[1:][-1:]} | {key: BEFORE for key in taken[:1]}
    for log, label in kept:
        with ui.element("fieldset").classes("choice"):
            with ui.element("legend"):
                ui.label(label)
            ui.label(kept_verdict(log)).classes("soft")
            side = ui.radio([BEFORE, AFTER, OUT], value=first.get(log.id, OUT)).props("inline")
            sides.append((log, side))
    return lambda side: [desk.log_file(log) for log, choice in sides if choice.value == side]


def no_logs(machine: str) -> None:
    """Say that no log is kept yet, with the way to where one is brought."""
    with ui.element("p").classes("told"):
        ui.label("No log is kept yet.")
        ui.link("Bring one on the page Logs.", page_of(machine, "logs"))


def _oldest_first(desk: Desk, machine: str) -> list[tuple[KeptLog, str]]:
    """Return the logs that may be taken, with what each is called: of one file the latest reading alone."""
    logs = job.shelf.logs(desk.record, machine)
    labels = log_labels(logs)
    return [(log, labels[log.id]) for log in reversed(logs) if log.is_current]
