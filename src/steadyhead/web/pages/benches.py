"""The guided bench procedure: one step at a time, judged at once, kept before it is confirmed."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from nicegui import ui
from nicegui.events import UploadEventArguments

from steadyhead import job
from steadyhead.bench.answer_text import WORDS
from steadyhead.bench.from_log import told_by_file
from steadyhead.bench.record import Revision
from steadyhead.bench.run_summary import RunSummary
from steadyhead.bench.step import SKIP, UNITS, Answer, Entry, Step
from steadyhead.bench.void import CHANGES_IN_FULL
from steadyhead.judge.live_ear import SpeedTaken
from steadyhead.machine.description import Machine
from steadyhead.report.sentences import tidy
from steadyhead.report.views.benched import expected_words, run_view
from steadyhead.report.wording import unit_shown
from steadyhead.web.choices import Choice
from steadyhead.web.desk import Desk
from steadyhead.web.ear import LINES, show_ear
from steadyhead.web.fields import NumberField
from steadyhead.web.pages.opened import add_page
from steadyhead.web.shown import other, primary, show_refusal, show_view_of, show_work
from steadyhead.web.uploads import bring
from steadyhead.web.work import State
from steadyhead.words import cautions
from steadyhead.words.errors import SteadyheadError

LOOK_EVERY_S = 1.0
"""How often a page looks whether another window went on with the run."""
FOCUS_NOW = "(document.querySelector('.step h2') || document.getElementById('main')).focus()"
CHANGED_MEANWHILE = "The machine file was changed while this was read: load the page anew, and bring it again."
Do = Callable[[], RunSummary]


def add_pages(desk: Desk) -> None:
    """Add the page of the bench procedure."""
    add_page(desk, "bench", "Bench", partial(_bench, desk), warned=cautions.BENCH)


def _bench(desk: Desk, revision: Revision, machine: Machine) -> None:
    _Run(desk, revision, machine).open()


class _Run:
    """One window onto the run of a machine; the record holds the run, not the window."""

    def __init__(self, desk: Desk, revision: Revision, machine: Machine) -> None:
        self.desk = desk
        self.machine = machine
        self.revision = revision
        self.file = desk.file_of(revision)
        self.run = job.bench.latest_run(desk.record, machine.name)
        self.seen = -1
        self.refused = ui.element("div")
        self.reading = ui.element("div")
        self.place = ui.element("div").props('aria-live="polite"')
        ui.timer(LOOK_EVERY_S, self.look)
        self.still_reading()

    def open(self) -> None:
        """Show the run in a new sitting, on the machine file as it is now: what was edited reopens what it voids."""
        if self.run is None:
            self.draw()
        else:
            LINES.forget(self.run)
            self.act(partial(job.bench.sit_down, self.desk.record, self.run, self.file))

    def look(self) -> None:
        """Draw anew when another window went on with the run."""
        if self.run is not None and job.bench.run_summary(self.desk.record, self.run).events != self.seen:
            self.draw()

    def do(self, act: Do) -> None:
        """Do one thing that was pressed; what was pressed is gone, so the focus goes to what is to be done now."""
        if self.act(act):
            with self.place:
                ui.run_javascript(FOCUS_NOW)

    def act(self, act: Do) -> bool:
        """Do one thing, show what followed or why it was refused, and return whether it was done."""
        self.refused.clear()
        self.forget_reading()
        try:
            self.run = act().run
        except SteadyheadError as error:
            with self.refused:
                show_refusal(tidy(self.desk.in_words(str(error))))
            if self.run is not None:
                self.look()  # what was typed stays in its field
                return False
        self.draw()
        return True

    def draw(self) -> None:
        """Show the run as it stands now."""
        self.place.clear()
        with self.place:
            if self.run is None:
                ui.label("No bench run yet. It begins with the cautions.").classes("told")
                primary("Begin the bench run", partial(self.do, self.begin))
                return
            now = job.bench.run_summary(self.desk.record, self.run)
            self.seen = now.events
            self.stage(now)
            show_view_of(partial(run_view, now))

    def begin(self) -> RunSummary:
        """Begin a run on the newest revision."""
        return job.bench.start_run(self.desk.record, self.file)

    def stage(self, now: RunSummary) -> None:
        """Show what is to be done, or what stands in the way."""
        record = self.desk.record
        if now.paused:
            LINES.forget(now.run)
            ui.label(f"Paused. {cautions.WHEN_DONE} Safety is confirmed anew before it goes on.").classes("told")
            primary("Go on", partial(self.do, partial(job.bench.continue_run, record, now.run, self.file)))
        elif now.current is not None:
            self.card(now, now.current)
        elif now.stopped:
            show_refusal(tidy(now.stopped))
            self.mend(now)
        else:
            ui.label(f"Every step is done. {cautions.WHEN_DONE} The sheet takes the run as evidence.").classes("told")
        if not now.paused and not now.done:
            with ui.element("div").classes("row-of"):
                other("Pause", partial(self.do, partial(job.bench.pause, record, now.run)), always=True)
        _to_run_again(now)
        self.again(now)

    def mend(self, now: RunSummary) -> None:
        """Offer the steps that failed, to be repeated once they are mended."""
        titles = {one.step: one.title for one in now.steps}
        with ui.element("div").classes("row-of"):
            for failed in now.to_mend:
                again = partial(job.bench.repeat, self.desk.record, now.run, failed)
                primary(f"Repeat: {titles[failed]}", partial(self.do, again))

    def card(self, now: RunSummary, step: Step) -> None:
        """Show the step to do now."""
        with ui.element("section").classes("card step").props(f'aria-label="{step.part}"'):
            ui.label(f"{step.part}, {now.steps_done} of {len(now.steps)} done").classes("soft")
            with ui.element("h2").props("tabindex=-1"):
                ui.label(step.title)
            if step.spins:
                ui.label(cautions.LIVE_MOTOR).classes("beware")
            with ui.element("ol").classes("actions"):
                for line in step.action[1:] if step.spins else step.action:
                    with ui.element("li"):
                        ui.label(line)
            if step.switch:
                ui.label(f"Switch: {step.switch}").classes("switch")
            if expected_words(step) and not step.is_safety:
                ui.label(f"Expect: {expected_words(step)}").classes("expect")
            ui.label(tidy(step.asks)).classes("asks")
            self.entry(now, step)

    def entry(self, now: RunSummary, step: Step) -> None:
        """Show how the step can be answered."""
        with ui.element("div").classes("row-of"):
            if step.entry is Entry.START_KIND:
                took = NumberField("Seconds, if timed")
                for word in WORDS[step.entry]:
                    primary(word, partial(self.tell, now, step, partial(_started, word, took)))
            else:
                for word in WORDS.get(step.entry, ()):
                    primary(word, partial(self.tell, now, step, partial(Answer, word=word)))
            if step.entry in UNITS:
                unit = unit_shown(step.unit or UNITS[step.entry])
                figure, spread = NumberField(f"{step.entry.value}, {unit}"), NumberField(f"Sure to, ± {unit}")
                primary("Keep it", lambda: self.tell(now, step, lambda: _answer(figure, spread)))
            if step.may_be_left_out:
                why = ui.input("Why it is left out")
                other("Leave it out", lambda: self.tell(now, step, lambda: Answer(word=SKIP, note=why.value or "")))
        if step.entry is Entry.HEAD_SPEED:
            show_ear(self.machine, partial(self.take, now, step), run=now.run)
        if told_by_file(step):
            self.upload(now, step)

    def tell(self, now: RunSummary, step: Step, given: Callable[[], Answer]) -> None:
        """Answer the step with what was typed or chosen; what cannot be is refused in words."""
        self.answer(now, step, lambda: job.bench.answer(self.desk.record, now.run, step.step, given()))

    def take(self, now: RunSummary, step: Step, held: SpeedTaken) -> None:
        """Answer the step with what the microphone heard; its sound is kept with the answer, or not at all."""
        path = held.write(self.desk.place_for("microphone.wav"))
        told = partial(job.bench.answer_from_microphone, self.desk.record, now.run, held, path, step.step)
        self.answer(now, step, told)
        path.unlink(missing_ok=True)

    def answer(self, now: RunSummary, step: Step, act: Do) -> None:
        """Answer the step, by whatever way, unless a microphone at this run hears blades."""

        def answered() -> RunSummary:
            self.unless_blades(now, step)
            return act()

        self.do(answered)

    def unless_blades(self, now: RunSummary, step: Step) -> None:
        """Refuse the answer and pause the run where a microphone at it hears blades, in this window or another.

        Raises: InputError.
        """
        blades = LINES.blades_at(now.run)
        if blades:
            job.bench.refuse_blades_heard(self.desk.record, now.run, blades, step.step)

    def upload(self, now: RunSummary, step: Step) -> None:
        """Let a log or a recording answer the step."""

        async def brought(event: UploadEventArguments) -> None:
            path = self.desk.place_for(event.file.name)
            await event.file.save(path)
            self.read(now, step, path)

        bring(f"Let {told_by_file(step)} answer", brought)

    def read(self, now: RunSummary, step: Step, path: Path) -> None:
        """Judge a log, or hear a recording, in a worker; then it answers the step it was brought to, and no other."""
        record, sound = self.desk.record, job.is_sound(path)
        machine = job.bench.machine_of(record, now.run)

        def answer(told: Any) -> None:
            if not self.desk.is_newest(self.revision):
                raise SteadyheadError(CHANGED_MEANWHILE)
            self.unless_blades(now, step)
            if sound:
                job.bench.answer_from_listening(record, now.run, told, path, step.step)
            else:
                job.bench.answer_from_judgement(record, now.run, told, step.step, source=path)

        self.desk.ask(
            (now.run, "bench", ()), f"Read {path.name}", "listen" if sound else "judge", machine, path, on_done=answer
        )
        self.still_reading()

    def still_reading(self) -> None:
        """Show the file that is being read for this run, also when the page was loaded anew meanwhile."""
        kind = (self.run or "", "bench", ())
        task = self.desk.asked(kind)
        self.reading.clear()
        if task is not None and task.state is not State.DONE:
            with self.reading:
                show_work(self.desk, kind, task.title, partial(self.desk.ask_again, kind), self.was_read)

    def forget_reading(self) -> None:
        """Take away what was said of a file that is read by now: it told of the card before."""
        task = self.desk.asked((self.run or "", "bench", ()))
        if task is None or task.ended():
            self.reading.clear()

    def was_read(self, _: Any) -> None:
        """Say that the file has answered, and show what follows."""
        ui.label("The file has answered the step; it is kept as evidence.").classes("told")
        self.draw()

    def again(self, now: RunSummary) -> None:
        """Offer steps to repeat, changes to note, and a new run: none of it under a thumb that means something else."""
        done = {one.step: one.title for one in now.steps if one.state == "done" and one.part != "safety"}
        with ui.element("details").classes("card"):
            with ui.element("summary"):
                ui.label("Repeat a step, note a change, or begin anew")
            with ui.element("div").classes("row-of"):
                if done:
                    step = Choice("Step", done)
                    other(
                        "Repeat it",
                        lambda: self.do(partial(job.bench.repeat, self.desk.record, now.run, step.value)),
                    )
                change = Choice("What was changed", CHANGES_IN_FULL)
                other(
                    "Note the change",
                    lambda: self.do(partial(job.bench.note_change, self.desk.record, now.run, change.value)),
                )
            with ui.element("div").classes("row-of"):
                other("Begin a new run", partial(self.do, self.begin))


def _to_run_again(now: RunSummary) -> None:
    """List the steps that were reopened, by what reopened them."""
    if not now.void:
        return
    open_again = [one for one in now.steps if one.step in now.void]
    with ui.element("section").classes("told").props('aria-label="To run again"'):
        every = [one for one in now.steps if one.part != "safety"]
        ui.label(f"To run again: {len(open_again)} of {len(every)} steps, once safety is confirmed.")
        with ui.element("ul"):
            for change in dict.fromkeys(one.void_by for one in open_again):
                titles = ", ".join(one.title for one in open_again if one.void_by == change)
                with ui.element("li"):
                    ui.label(f"{change}: {titles}")


def _answer(figure: NumberField, spread: NumberField) -> Answer:
    return Answer(figure=figure.number, spread=spread.number or 0.0)


def _started(word: str, took: NumberField) -> Answer:
    return Answer(word=word, figure=took.number)
