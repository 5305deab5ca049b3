"""The page of logs: bring them, see them judged, keep them as evidence or leave them out of it."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.bench.shelf import KeptLog
from steadyhead.judge.result import Judgement
from steadyhead.machine.description import Machine
from steadyhead.report.kept_logs import flown_before, kept_verdict, log_labels, standing_words, verdict_words
from steadyhead.report.names import file_name
from steadyhead.report.views.judged import judge_view
from steadyhead.trace.simulated import NO_EVIDENCE
from steadyhead.web.charts import show_chart
from steadyhead.web.desk import Desk, Kind
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import Ask, other, show_refusal, show_view_of, show_work
from steadyhead.web.uploads import bring
from steadyhead.words.errors import SteadyheadError

WHAT = "judge"
MOST_SHOWN = 6
"""How many judged logs are shown whole; of more that are brought a line is shown, to be opened: charts are heavy."""
NOTHING_UNDERSTOOD = "Nothing in this log was understood: it is no evidence. Say above what its columns are."

SIMULATED = f"This file says that it was simulated: {NO_EVIDENCE}. It is kept, but the sheet does not take it."


def add_pages(desk: Desk) -> None:
    """Add the page of logs."""
    add_page(desk, "logs", "Logs", lambda revision, machine: _Logs(desk, revision, machine).draw())


class _Logs:
    """One window onto the logs of a machine."""

    def __init__(self, desk: Desk, revision: Revision, machine: Machine) -> None:
        self.desk, self.revision, self.machine = desk, revision, machine
        self.open = 0
        """How many judged logs were shown whole, or in short, since the page was opened."""

    def draw(self) -> None:
        """Show how to bring logs, what was begun and judged last, and what is kept."""
        with ui.element("section").classes("card").props('aria-label="Bring a log"'):
            with ui.element("h2"):
                ui.label("Bring a log")
            ui.label("CSV in any dialect, gz, Parquet, MDF4. It stays on this machine.").classes("soft")
            ui.label("Was a column read wrongly? Say here what it means, and bring the log again.").classes("soft")
            self.columns = ui.textarea("Column=meaning:unit").classes("wide")
            self.columns.props('autogrow hint="such as A=head speed:rpm, one a line"')
            bring("Bring a log file", self.brought, several=True)
            self.refused = ui.element("div")
        self.place = ui.element("div")
        self.kept = ui.element("div")
        for kind in self.desk.going_on(self.revision.id, WHAT):
            self.show(kind, partial(self.desk.ask_again, kind))
        self.list_kept()

    async def brought(self, event: UploadEventArguments) -> None:
        """Judge a log that was brought, and keep it."""
        self.refused.clear()
        try:
            columns = job.columns([self.columns.value] if self.columns.value else [])
        except SteadyheadError as error:
            with self.refused:
                show_refusal(str(error))
            return
        path = self.desk.place_for(event.file.name)
        await event.file.save(path)
        if job.is_sound(path):
            path.unlink()
            with self.refused:
                show_refusal(f"{path.name}: read a recording of sound; bring it on the page Sound.")
            return
        self.judge(path, columns)

    def judge(self, path: Path, columns: dict[str, str]) -> None:
        """Judge a log in a worker; its latest reading is what counts from now on."""
        kind = (self.revision.id, WHAT, (str(path), *columns))

        def keep(judgement: Any) -> None:
            job.record.keep_log(self.desk.record, self.revision, judgement, source=path, said=columns)
            path.unlink(missing_ok=True)

        self.show(
            kind, partial(self.desk.ask, kind, f"Judge {path.name}", WHAT, self.machine, path, columns, on_done=keep)
        )

    def look(self, log: KeptLog) -> None:
        """Show a log that is kept."""
        path = self.desk.log_file(log)
        kind = (self.revision.id, WHAT, (str(path),))
        self.place.clear()
        self.open = 0
        since = job.law.flown_since(self.desk.record, self.machine, log)
        ask = partial(self.desk.ask, kind, f"Judge {path.name}", WHAT, self.machine, path, {}, since=since)
        self.show(kind, ask)

    def show(self, kind: Kind, ask: Ask) -> None:
        """Show the work on one log, or how it was judged, above those that were looked at before."""
        name = Path(kind[2][0]).name.replace('"', "")
        with self.place, ui.element("div").props(f'role="group" aria-label="Judging {name}"') as section:
            section.move(self.place, 0)
            show_work(self.desk, kind, "Judge it", ask, self.judged)

    def judged(self, judgement: Any) -> None:
        """Show a judged log, and the list that it stands in now; in short where many stand open already."""
        judgement = replace(judgement, log=file_name(judgement.log))
        if not judgement.trace.understood:
            show_refusal(NOTHING_UNDERSTOOD)
        if judgement.trace.simulated:
            show_refusal(SIMULATED)
        self.open += 1
        if self.open <= MOST_SHOWN:
            self.whole(judgement)
        else:
            self.in_short(judgement)
        self.list_kept()

    def in_short(self, judgement: Judgement) -> None:
        """Show what a judged log says in one line, and the way to all of it."""
        place = ui.element("div").classes("told")
        with place:
            ui.label(verdict_words(judgement))

            def unfold() -> None:
                place.clear()
                with place:
                    self.whole(judgement)

            other(f"Show {judgement.log}", unfold).classes("long")

    def whole(self, judgement: Judgement) -> None:
        """Show all of a judged log."""
        show_chart(judgement, self.machine)
        show_view_of(partial(judge_view, self.machine, judgement), self.desk.in_words)

    def list_kept(self) -> None:
        """Show the logs that are kept, each with its switch; those that no longer count are folded away."""
        self.kept.clear()
        logs = job.shelf.logs(self.desk.record, self.machine.name)
        if not logs:
            return
        labels = log_labels(logs)
        with self.kept, ui.element("section").props('aria-label="Logs that are kept"'):
            with ui.element("h2"):
                ui.label("Kept as evidence")
            ui.label(standing_words(logs)).classes("soft").props('role="status"')
            with ui.element("ul").classes("machines"):
                for log in logs:
                    if log.is_current:
                        self.entry(log, labels[log.id])
            current = [log for log in logs if log.is_current]
            if len(current) > 1:
                with ui.element("div").classes("row-of"):
                    other("Take all for the sheet", partial(self.leave_all_out, current, out=False))
                    other("Leave all out", partial(self.leave_all_out, current, out=True))
            old = [log for log in logs if not log.is_current]
            if old:
                self.older(old, labels)

    def entry(self, log: KeptLog, label: str) -> None:
        """Show one log that counts, or would."""
        with ui.element("li"):
            other(label, partial(self.look, log)).classes("long")
            ui.label(kept_verdict(log)).classes("soft")
            since = job.law.flown_since(self.desk.record, self.machine, log)
            if since:
                ui.label(flown_before(since)).classes("soft")
            tick = ui.checkbox("Take it for the sheet", value=not log.standing.left_out)
            tick.props["aria-label"] = f"Take it for the sheet: {label}"
            tick.on_value_change(lambda event: self.leave_out(log, out=not event.value))

    def older(self, logs: list[KeptLog], labels: dict[str, str]) -> None:
        """Show what no longer counts: nothing is taken out of the record."""
        with ui.element("details"):
            with ui.element("summary"):
                ui.label("Kept, but no evidence: read anew since, not understood, or simulated")
            with ui.element("ul").classes("machines"):
                for log in logs:
                    with ui.element("li"):
                        other(labels[log.id], partial(self.look, log)).classes("long")

    def leave_out(self, log: KeptLog, *, out: bool) -> None:
        """Leave a log out of the sheet, or take it in again."""
        self.leave_all_out([log], out=out)

    def leave_all_out(self, logs: list[KeptLog], *, out: bool) -> None:
        """Leave logs out of the sheet, or take them in again."""
        for log in logs:
            job.record.leave_out(self.desk.record, log.id, out=out)
        self.list_kept()
