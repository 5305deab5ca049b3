"""The page of the throttle channel: readings in, curve values out."""

from collections.abc import Callable
from functools import partial

from nicegui import ui
from nicegui.events import ValueChangeEventArguments

from steadyhead import job
from steadyhead.bench.law_evidence import LawEvidence
from steadyhead.bench.record import KeptReading, Revision
from steadyhead.machine.description import Machine
from steadyhead.report.law_kept import law_words
from steadyhead.report.view import View
from steadyhead.report.views.planned import channel_view
from steadyhead.report.wording import kept_reading
from steadyhead.web.desk import Desk
from steadyhead.web.edition import edition_here
from steadyhead.web.fields import NumberField
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import primary, show_refusal, show_view_of
from steadyhead.words import cautions
from steadyhead.words.errors import SteadyheadError

MISTYPED = "Take the tick from a reading that was mistyped: it stays in the record, and no longer counts."


def add_pages(desk: Desk) -> None:
    """Add the page of the throttle channel."""
    add_page(
        desk, "channel", "Throttle channel", lambda revision, machine: _Channel(desk, revision, machine).draw(),
        warned=cautions.BENCH,
    )  # fmt: skip


class _Channel:
    """One window onto the throttle channel of a machine."""

    def __init__(self, desk: Desk, revision: Revision, machine: Machine) -> None:
        self.desk, self.revision, self.machine = desk, revision, machine
        self.edition = edition_here()

    def draw(self) -> None:
        """Show how to keep a reading, those that are kept, and what follows from them."""
        with ui.element("section").classes("card").props('aria-label="A reading"'):
            with ui.element("h2"):
                ui.label("A reading from the bench")
            ui.label("Blades off. Write the curve value and the head speed that was read at it.").classes("soft")
            with ui.element("div").classes("row-of"):
                self.percent = NumberField("Curve value, %")
                self.speed = NumberField("Head speed, rpm")
                self.spread = NumberField("Sure to, ± rpm")
                primary("Keep the reading", self.add)
            self.refused = ui.element("div")
        self.kept = ui.element("div")
        self.place = ui.element("div").props('aria-live="polite"')
        self.show()

    def show(self) -> None:
        """Show what is kept, and what follows from it."""
        law = job.law.law_evidence(self.desk.record, self.machine)
        self.list(law)
        self.place.clear()
        with self.place:
            for words in law_words(law):
                ui.label(words).classes("told")
            show_view_of(partial(self.answer, law), self.desk.in_words)

    def answer(self, law: LawEvidence) -> View:
        """Return the answer as it is shown."""
        return channel_view(self.machine, law.channel(self.machine))

    def add(self) -> None:
        """Keep the reading that was typed, unless it cannot be or contradicts another one."""
        if self.tried(self.keep):
            self.speed.clear()
            self.show()

    def keep(self) -> None:
        """Keep the reading that was typed."""
        reading = job.reading(self.percent.number, self.speed.number, self.spread.number)
        job.readings.keep_reading(self.desk.record, self.revision, reading)

    def list(self, law: LawEvidence) -> None:
        """Show the readings that are kept, each with its switch."""
        self.kept.clear()
        every = job.readings.kept(self.desk.record, self.machine.name)
        if not every:
            return
        with self.kept, ui.element("section").props('aria-label="Readings that are kept"'):
            with ui.element("h2"):
                ui.label("Kept readings")
            ui.label(MISTYPED).classes("soft")
            with ui.element("ul").classes("machines"):
                for one in every:
                    with ui.element("li"):
                        tick = ui.checkbox(
                            kept_reading(one.reading, one.taken_on, law.void_typed.get(one.id, ())),
                            value=not one.left_out,
                        )
                        tick.on_value_change(partial(self.take, one))

    def take(self, one: KeptReading, event: ValueChangeEventArguments[bool]) -> None:
        """Leave a reading out, or take it in again; refused where it contradicts another one."""
        if self.edition is not None and self.edition.is_old():
            self.edition.refuse()
            return
        self.tried(lambda: job.readings.leave_out(self.desk.record, self.revision, one.id, out=not event.value))
        self.show()

    def tried(self, act: Callable[[], None]) -> bool:
        """Do something, and return whether it was done; why it was refused is shown."""
        self.refused.clear()
        try:
            act()
        except SteadyheadError as error:
            with self.refused:
                show_refusal(str(error))
            return False
        return True
