"""The page of the sheet: make it from all that is kept, read it here, take it as PDF."""

from functools import partial
from typing import Any

from fastapi import FastAPI
from fastapi.responses import FileResponse, PlainTextResponse, Response
from nicegui import ui

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.bench.tables import sheet as sheet_table
from steadyhead.machine.description import Machine
from steadyhead.report.kept_logs import logs_shown
from steadyhead.report.law_kept import law_words
from steadyhead.report.sentences import counted
from steadyhead.report.wording import moment
from steadyhead.web.desk import Desk
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import show_work
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.verdict import Outcome

_KINDS = {".html": "text/html", ".pdf": "application/pdf"}
_SHUT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'"
"""What a sheet may do when it is opened: nothing but be read."""


NO_READINGS = "Without readings the curve values stay unknown: do the bench run, or keep readings on the page Channel."
NO_LOGS = "Without a log nothing that was flown is proved: bring one on the page Logs."

OLDER_FILE = "Made from an older machine file: make the sheet anew."


def add_pages(desk: Desk, core: FastAPI) -> None:
    """Add the page of the sheet, and the way to a sheet that is kept."""
    add_page(desk, "sheet", "Sheet", partial(_sheet, desk))

    @core.get("/kept/sheet/{key}")
    def kept(key: str) -> Response:
        try:
            name, path = job.shelf.file_of(desk.record, sheet_table, key)
        except SteadyheadError as error:
            return PlainTextResponse(str(error), status_code=404)
        headers = {"content-security-policy": _SHUT, "content-disposition": f'inline; filename="{name}"'}
        return FileResponse(path, media_type=_KINDS.get(path.suffix, "application/octet-stream"), headers=headers)


def _sheet(desk: Desk, revision: Revision, machine: Machine) -> None:
    every = job.shelf.logs(desk.record, machine.name)
    kept = [log for log in every if log.is_evidence]
    law = job.law.law_evidence(desk.record, machine)
    told = f"{counted(len(kept), 'log')} and {counted(len(law.readings), 'reading')}"
    ui.label(f"It is made from {told} kept for {machine.name}.")
    for words in law_words(law):
        ui.label(words).classes("told")
    shown = logs_shown(every, partial(job.law.flown_since, desk.record, machine))
    if shown.standing:
        ui.label(f"Logs: {shown.standing} The page Logs has the switches.").classes("told")
    run = law.run
    if not law.readings and run is None and not machine.reading:
        ui.label(NO_READINGS).classes("soft")
    if not kept:
        ui.label(NO_LOGS).classes("soft")
    logs = [desk.log_file(log) for log in kept]
    folder = desk.uploads.joinpath(f"sheet-{revision.id[:16]}")
    seen = (
        *map(str, logs),
        *map(str, (*law.readings, *law.void)),
        f"{run.run} {run.events}" if run else "",
        shown.standing,
    )
    kind = (revision.id, "sheet", seen)

    def keep(made: Any) -> None:
        for path in (made.files.page_html, made.files.page_pdf, made.files.html, made.files.pdf):
            job.record.keep_sheet(desk.record, revision, path, made.verdict)

    ask = partial(
        desk.ask, kind, "Make the sheet", "sheet", machine, logs, folder, law=law,
        shown=shown, on_done=keep,
    )  # fmt: skip
    place = ui.element("div")

    def listed(_: Any = None) -> None:
        place.clear()
        with place:
            _kept(desk, revision)

    show_work(desk, kind, "Make the sheet", ask, listed, at_once=False)
    listed()


def _kept(desk: Desk, revision: Revision) -> None:
    kept = job.shelf.sheets(desk.record, revision.machine)
    if not kept:
        ui.label("No sheet is kept yet.").classes("told")
        return
    with ui.element("ul").classes("machines").props('aria-label="Sheets that are kept"'):
        for sheet in kept:
            with ui.element("li"), ui.link(target=f"/kept/sheet/{sheet.id}", new_tab=True):
                with ui.element("b"):
                    ui.label(sheet.name)
                file = f"revision {sheet.revision}, file {sheet.revision_id[:8]}"
                ui.label(f"{Outcome(sheet.verdict).value}, {file}, {moment(sheet.kept_on)}").classes("soft")
                if sheet.revision_id != revision.id:
                    ui.label(OLDER_FILE).classes("older-sheet")
