"""The page of logs: bring one, see it judged, keep it as evidence."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.bench.shelf import KeptFile
from steadyhead.machine.description import Machine
from steadyhead.report.names import file_name
from steadyhead.report.views.judged import judge_view
from steadyhead.report.wording import moment
from steadyhead.web.charts import show_chart
from steadyhead.web.desk import Desk
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import other, show_refusal, show_view_of, show_work
from steadyhead.web.uploads import bring
from steadyhead.words.errors import SteadyheadError


def add_pages(desk: Desk) -> None:
    """Add the page of logs."""
    add_page(desk, "logs", "Logs", partial(_logs, desk))


def _logs(desk: Desk, revision: Revision, machine: Machine) -> None:
    with ui.element("section").classes("card").props('aria-label="Bring a log"'):
        with ui.element("h2"):
            ui.label("Bring a log")
        ui.label("CSV in any dialect, gz, Parquet, MDF4. It stays on this machine.").classes("soft")
        ui.label("Was a column read wrongly? Say here what it means, and bring the log again.").classes("soft")
        column = ui.input("Column=meaning:unit").classes("wide").props('hint="such as speed A=head_speed_rpm:rpm"')

        async def brought(event: UploadEventArguments) -> None:
            place.clear()
            try:
                columns = job.columns([column.value] if column.value else [])
            except SteadyheadError as error:
                with place:
                    show_refusal(str(error))
                return
            path = desk.place_for(event.file.name)
            await event.file.save(path)
            _judge(desk, revision, machine, path, columns, place)

        bring("Bring a log file", brought)
    place = ui.element("div")
    _kept(desk, revision, machine, place)


def _judge(
    desk: Desk, revision: Revision, machine: Machine, path: Path, columns: dict[str, str], place: ui.element
) -> None:
    kind = (revision.id, "judge", (str(path), *columns))

    def keep(judgement: Any) -> None:
        job.record.keep_log(desk.record, revision, judgement)
        path.unlink(missing_ok=True)

    ask = partial(desk.ask, kind, f"Judge {path.name}", "judge", machine, path, columns, on_done=keep)
    place.clear()
    with place:
        show_work(desk, kind, "Judge it", ask, partial(_show, machine))


def _show(machine: Machine, judgement: Any, name: str = "") -> None:
    judgement = replace(judgement, log=name or file_name(judgement.log))
    show_chart(judgement, machine)
    show_view_of(partial(judge_view, machine, judgement))


def _kept(desk: Desk, revision: Revision, machine: Machine, place: ui.element) -> None:
    kept = job.shelf.logs(desk.record, machine.name)
    if not kept:
        return
    with ui.element("section").props('aria-label="Logs that are kept"'):
        with ui.element("h2"):
            ui.label("Kept as evidence")
        with ui.element("ul").classes("machines"):
            for log in kept:
                with ui.element("li"):
                    look = partial(_judge_kept, desk, revision, machine, log, place)
                    other(f"{log.name}, {moment(log.kept_on)}", look)


def _judge_kept(desk: Desk, revision: Revision, machine: Machine, log: KeptFile, place: ui.element) -> None:
    path = job.record.log_path(desk.record, log.id)
    kind = (revision.id, "judge", (str(path),))
    ask = partial(desk.ask, kind, f"Judge {log.name}", "judge", machine, path, {})
    place.clear()
    with place:
        show_work(desk, kind, "Judge it", ask, partial(_show, machine, name=log.name))
