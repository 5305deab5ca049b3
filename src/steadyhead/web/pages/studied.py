"""The page of studies: many machines at once, stopped and gone on with as one likes."""

from functools import partial
from pathlib import Path
from typing import Any

from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.record import Revision
from steadyhead.machine.description import Machine
from steadyhead.report.views.glimpsed import slider_ends
from steadyhead.study.asked import Collects, Question
from steadyhead.study.kept import AGAINST, OFFERED, KeptStudy
from steadyhead.study.view import study_view
from steadyhead.web.choices import Choice
from steadyhead.web.desk import Desk
from steadyhead.web.fields import NumberField, whole
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import other, primary, show_answer, show_refusal, show_work
from steadyhead.web.uploads import bring
from steadyhead.words.errors import InputError, SteadyheadError

LARGEST_STUDY_BYTES = 100_000
MOST_DRAWS = 100_000
"""More machines than this belong on the command line; own choice."""
COUNT_EVERY_S = 1.0
LIKELY = {Question.VERDICT.value: "how likely it passes"}
COLLECTED = {
    Collects.PLAN: "the plan",
    Collects.FLY: "a hard climb-out, simulated",
    Collects.GOVERNOR: "the governor",
    Collects.DESCEND: "the glide without motor",
    Collects.BAIL_OUT: "bail-outs, simulated",
}
STOPPED = ("Stopped. The parts that were done are kept.", "Go on with it")
TRADED = {**LIKELY, Question.TRADE.value: "which choice no other beats"}


def add_pages(desk: Desk) -> None:
    """Add the page of studies."""
    add_page(desk, "study", "Study", lambda revision, machine: _Studies(desk, revision, machine).draw())


class _Studies:
    """One window onto the studies of a machine."""

    def __init__(self, desk: Desk, revision: Revision, machine: Machine) -> None:
        self.desk, self.revision, self.machine = desk, revision, machine
        self.file_name = desk.file_of(revision).name
        self.wrong = ""
        """What is wrong with the form; empty while it makes a study."""
        self.below: Path | None = None
        """File of the study whose work stands below, with its own way on."""

    def draw(self) -> None:
        """Show the form, the studies that were begun, and a place for answers."""
        ui.label(
            "It draws machines from the doubts that the file states. A spread that is too small gives a share that is "
            "too good. It proves nothing about your machine."
        ).classes("told")
        with ui.element("section").classes("card").props('aria-label="A new study"'):
            with ui.element("h2"):
                ui.label("A new study")
            self.refused = ui.element("div")
            self.form()
        self.kept = ui.element("div")
        self.place = ui.element("div")
        self.list()
        self.going_on()

    def form(self) -> None:
        """Show the small form, the study file that it makes, and a way to bring one."""
        teeth, near = slider_ends(self.machine).pinion_teeth, slider_ends(self.machine).next_teeth

        def write() -> None:
            self.refused.clear()
            self.wrong = ""
            fields = (least, most, draws)
            try:
                first = whole(least, *teeth)
                ends = first, whole(most, first, teeth[1])
                count = whole(draws, 1, MOST_DRAWS)
            except InputError as error:
                self.wrong = str(error)
                for field in fields:
                    field.fault(error.said if field.name == error.place else "")
                text.set_value("")
                return
            for field in fields:
                field.fault("")
            text.set_value(job.studies.study_text(self.file_name, collects.value, asks.value, ends, count))

        def fit() -> None:
            asks.offer(TRADED if collects.value in AGAINST else LIKELY)
            write()

        with ui.element("div").classes("row-of"):
            collects = Choice("Figures of", {one.value: COLLECTED[one] for one in OFFERED}, on_change=fit)
            asks = Choice("What to find out", TRADED, on_change=write)
        with ui.element("div").classes("row-of"):
            least = NumberField("Smallest pinion, teeth", value=near[0])
            most = NumberField("Largest pinion, teeth", value=near[1])
            draws = NumberField("Machines drawn for each", value=100)
        with ui.element("details"):
            with ui.element("summary"):
                ui.label("The study file: edit it, or bring one")
            text = ui.textarea("Study file (TOML)").classes("toml").props("autogrow outlined spellcheck=false")

            async def brought(event: UploadEventArguments) -> None:
                text.set_value((await event.file.read()).decode("utf-8", "replace"))

            bring("Bring a study file (TOML)", brought, accept=".toml,.txt", largest_bytes=LARGEST_STUDY_BYTES)

        for one in (least, most, draws):
            one.on_change(write)
        write()
        primary("Begin the study", lambda: self.begin(text.value or ""))

    def begin(self, text: str) -> None:
        """Lay the study out, and work it out."""
        self.refused.clear()
        if self.wrong and not text.strip():
            with self.refused:
                show_refusal(self.wrong)
            return
        record, kept_text = self.desk.record, job.shelf.kept_text(self.desk.record, self.revision.id)
        try:
            laid = job.studies.lay_out(record.path, self.machine.name, text, self.file_name, kept_text)
        except SteadyheadError as error:
            with self.refused:
                show_refusal(str(error))
            return
        self.work(laid)

    def work(self, study: KeptStudy) -> None:
        """Work a study out, or go on with it; parts that are done are not worked out again."""
        kind = self.kind(study)
        task = self.desk.asked(kind)
        if task is None or task.ended():
            self.desk.ask(kind, f"Study: {study.name}", "study", study.file, study.file.parent)
        self.show(study)

    def show(self, study: KeptStudy) -> None:
        """Show the work on a study, or its answer."""
        kind = self.kind(study)
        self.below = study.file
        self.list()
        self.place.clear()
        with self.place:
            ask = partial(self.desk.ask, kind, f"Study: {study.name}", "study", study.file, study.file.parent)
            show_work(self.desk, kind, "Go on with it", ask, self.answer, stopped=STOPPED)

    def answer(self, told: Any) -> None:
        """Show the answer of a study, and that it is done."""
        self.list()
        show_answer(self.desk, "study", study_view)(told)

    def kind(self, study: KeptStudy) -> tuple[str, str, tuple[str, ...]]:
        """Return by what the desk knows the work on a study."""
        return (self.revision.id, "study", (str(study.file),))

    def going_on(self) -> None:
        """Find the study that is in work again when the page is loaded anew."""
        for study in job.studies.kept_studies(self.desk.record.path, self.machine.name):
            task = self.desk.asked(self.kind(study))
            if task is not None and not task.ended():
                self.show(study)
                return

    def list(self) -> None:
        """Show the studies that were begun, with how far each is; the one below has its way on there."""
        self.kept.clear()
        begun = job.studies.kept_studies(self.desk.record.path, self.machine.name)
        if not begun:
            return
        with self.kept, ui.element("section").props('aria-label="Studies that were begun"'):
            with ui.element("h2"):
                ui.label("Begun before")
            with ui.element("ul").classes("machines"):
                for study in begun:
                    with ui.element("li"):
                        said = ui.label(_far(study)).classes("soft")
                        if study.done or study.file != self.below:
                            other("Show it" if study.done else "Go on with it", partial(self.work, study))
                        else:
                            ui.timer(COUNT_EVERY_S, partial(self.count, study.file, said))

    def count(self, file: Path, said: ui.label) -> None:
        """Say anew how far the study below is."""
        for study in job.studies.kept_studies(self.desk.record.path, self.machine.name):
            if study.file == file:
                said.set_text(_far(study))


def _far(study: KeptStudy) -> str:
    """Return what a study is, and how much of it is worked out."""
    far = "done" if study.done else f"{study.parts_done} of {study.parts} parts done"
    return f"{study.name}: {study.says}; {far}"
