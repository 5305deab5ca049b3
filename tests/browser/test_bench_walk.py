"""The whole bench procedure walked in a real browser: every kind of card, every way to answer, every change."""

import pytest

from steadyhead.bench import guided, shelf, tables
from steadyhead.bench.record import keep_machine, open_record
from steadyhead.bench.step import Entry
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.words.verdict import Outcome
from tests.browser.conftest import Server, free_port, visit
from tests.browser.test_job import FOX as PLACE
from tests.unit.bench.bench_answers import head_speed, typed
from tests.unit.bench.test_guided import FOX, until
from tests.unit.bench.test_recordings import recorded

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 844}


@pytest.fixture
def own(tmp_path):
    """A server of its own, whose record has one machine with several flight modes."""
    made = Server(home=tmp_path, port=free_port())
    machine = tmp_path / "fox.toml"
    machine.write_text(FOX, "utf-8")
    with open_record(tmp_path / "record.sqlite") as record:
        keep_machine(record, machine)
    made.start()
    yield made
    made.kill()


class Flyer:
    """Somebody at the bench with a phone: reads the card that is shown and answers it there."""

    def __init__(self, chromium, own) -> None:
        self.chromium, self.own = chromium, own
        self.record = open_record(own.home / "record.sqlite")
        self.pictured = set()
        self.open()

    def open(self) -> None:
        self.seen = visit(self.chromium, self.own.origin, width=390)
        self.page = self.seen.page
        self.seen.go(f"{PLACE}/bench")

    @property
    def now(self):
        return guided.run_summary(self.record, guided.latest_run(self.record, "Fox 600"))

    def picture(self, name) -> None:
        """Keep what a phone and a desk show of this kind of card, once."""
        if name not in self.pictured:
            self.pictured.add(name)
            self.seen.picture(f"walk-{name}-390")
            self.page.set_viewport_size(DESK)
            self.seen.picture(f"walk-{name}-1280")
            self.page.set_viewport_size(PHONE)

    def shown(self):
        """Return the step to do now, once the page shows its card."""
        step = self.now.current
        self.page.locator(".step h2", has_text=step.title).first.wait_for()
        return step

    def click(self, name) -> None:
        self.page.get_by_role("button", name=name, exact=True).first.click()

    def answer(self, words=None) -> None:
        """Answer the card that is shown, as everything should be or with other words, and wait until it is kept."""
        step, events = self.shown(), self.now.events
        self.picture(step.entry.name.lower())
        words = words or typed(step)
        if step.entry in (Entry.YES, Entry.YES_OR_NO, Entry.START_KIND):
            self.page.locator(".step").get_by_role("button", name=words, exact=True).click()
        else:
            figure, _, spread = words.partition("+-")
            fields = self.page.locator(".step input[inputmode=decimal]")
            fields.nth(0).fill(figure)
            fields.nth(1).fill(spread)
            self.page.locator(".step").get_by_role("button", name="Keep it").first.click()
        self.after(events)

    def after(self, events) -> None:
        """Wait until the record holds more events than these."""
        for _ in range(600):
            if self.now.events > events:
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(self.page.locator("#main").inner_text()[:600])

    def until(self, name) -> None:
        """Answer card after card until one whose step begins so."""
        while not self.shown().step.startswith(name):
            self.answer()

    def bring(self, path) -> None:
        """Bring a file to the card that is shown."""
        events = self.now.events
        self.page.locator(".step input[type=file]").set_input_files(path)
        self.after(events)

    def act(self, name) -> None:
        """Press a button that is none of the card, and wait until it is kept."""
        events = self.now.events
        self.click(name)
        self.after(events)

    def choose(self, label, value, button) -> None:
        """Choose from the list under "Repeat a step, note a change, or begin anew", and press its button."""
        self.page.get_by_text("Repeat a step, note a change, or begin anew").click()
        self.page.get_by_label(label).select_option(value)
        self.act(button)

    def told(self, name):
        return next(one for one in self.now.steps if one.step.startswith(name))


def test_the_whole_procedure_from_the_cautions_to_the_last_step_and_every_change(chromium, own, tmp_path):
    flyer = Flyer(chromium, own)
    flyer.click("Begin the bench run")
    flyer.page.locator(".step").wait_for()
    fail_mend_and_repeat(flyer)
    pause_and_leave_out(flyer)
    flyer.page.close()
    own.kill()
    own.start()
    flyer.open()
    answer_from_files(flyer, tmp_path)
    while flyer.now.current is not None:
        flyer.answer()
    flyer.page.get_by_text("Every step is done.").wait_for()
    assert flyer.page.get_by_text("Start delay: left out: no stop watch").count() >= 1
    assert flyer.now.verdict is Outcome.UNKNOWN
    flyer.choose("Step", "start_delay", "Repeat it")
    flyer.until("start_delay")
    flyer.answer()
    flyer.page.get_by_text("Every step is done.").wait_for()
    assert flyer.now.verdict is Outcome.UNKNOWN  # one head speed came through the gears alone
    heard = flyer.told("set_point").step
    flyer.choose("Step", heard, "Repeat it")
    flyer.until(heard)
    flyer.answer()
    flyer.page.get_by_text("Every step is done.").wait_for()
    flyer.picture("done")
    assert flyer.now.verdict is Outcome.PASS
    note_every_change(flyer)
    assert flyer.seen.outside() == []
    assert flyer.seen.troubles == []
    flyer.page.close()


def test_an_edited_machine_file_reopens_steps_on_the_page_and_on_the_sheet(chromium, own):
    machine = own.home / "fox.toml"
    with open_record(own.home / "record.sqlite") as record:
        run = guided.start_run(record, machine).run
        until(record, run)
        assert guided.run_summary(record, run).verdict is Outcome.PASS
        machine.write_text(FOX.replace('gain = { value = "1.5"', 'gain = { value = "1.7"'), "utf-8")
        keep_machine(record, machine)
    flyer = Flyer(chromium, own)
    listed = flyer.page.get_by_label("To run again", exact=True)
    listed.get_by_text("firmware").wait_for()
    assert "Throttle hold keeps it at rest" in listed.inner_text()
    assert flyer.shown().step == "cautions"
    assert flyer.now.verdict is Outcome.UNKNOWN
    machine.write_text(FOX.replace("pinion_teeth = 13", "pinion_teeth = 14"), "utf-8")
    keep_machine(flyer.record, machine)
    see_it_on_the_sheet(flyer)
    flyer.page.close()


def fail_mend_and_repeat(flyer) -> None:
    """A wrong end fails and is read again; a throttle hold that does not hold stops the run until it is mended."""
    flyer.answer()
    flyer.until("end_point: high")
    flyer.answer("1950")
    assert flyer.told("end_point: high").verdict is Outcome.FAIL
    flyer.choose("Step", "end_point: high", "Repeat it")
    assert flyer.shown().step == "end_point: high"
    flyer.answer()
    assert flyer.told("end_point: high").verdict is Outcome.PASS
    flyer.answer("no")
    flyer.page.get_by_role("alert").filter(has_text="Throttle hold failed").wait_for()
    flyer.picture("stopped")
    flyer.choose("What was changed", "firmware", "Note the change")
    flyer.picture("voided")
    flyer.until("threshold: start")


def pause_and_leave_out(flyer) -> None:
    """After a pause safety comes first again; a step that is left out is unknown."""
    flyer.act("Pause")
    flyer.page.get_by_text("Paused. Throttle hold on; disconnect the pack first").wait_for()
    flyer.picture("paused")
    flyer.act("Go on")
    assert flyer.shown().step == "cautions"
    flyer.until("start_delay")
    assert flyer.page.locator(".step input[type=file]").count() == 0
    flyer.picture("seconds")
    flyer.page.get_by_label("Why it is left out").fill("no stop watch")
    flyer.act("Leave it out")
    assert flyer.told("start_delay").verdict is Outcome.UNKNOWN


def answer_from_files(flyer, folder) -> None:
    """A log answers the soft start, a recording a set point; what they said is gone with the next answer."""
    flyer.until("soft_start")
    flyer.bring(DEMO_LOGS[0])
    assert flyer.told("soft_start").source.startswith("log ")
    flyer.page.get_by_text("The file has answered the step").wait_for()
    flyer.bring(recorded(folder / "held.flac", head_speed(flyer.shown().percent)))
    assert flyer.told("set_point").source == "recording held.flac"
    flyer.page.get_by_text("The file has answered the step").wait_for()
    flyer.answer()
    flyer.page.get_by_text("The file has answered the step").wait_for(state="detached")


def note_every_change(flyer) -> None:
    """Each change reopens what it makes void, the page lists it, and everything else stands."""
    void, stands = set(), []
    for change, reopened in REOPENS.items():
        flyer.choose("What was changed", change, "Note the change")
        flyer.page.locator(".step").wait_for()
        void |= {one.step for one in flyer.now.steps if one.part != "safety" and one.step.startswith(reopened)}
        assert set(flyer.now.void) == void, change
        titles = [one.title for one in flyer.now.steps if one.step in void]
        if titles:
            listed = flyer.page.get_by_label("To run again", exact=True)
            listed.get_by_text(f"{len(titles)} of").wait_for()
            said = listed.inner_text()
            assert all(title in said for title in titles), change
        stands = [one for one in flyer.now.steps if one.part != "safety" and one.step not in void]
        assert {one.state for one in stands} <= {"done"}, change
    assert not stands
    flyer.picture("changed")


def see_it_on_the_sheet(flyer) -> None:
    """The sheet that the page makes shows the run, and what is to be run again."""
    flyer.seen.go(f"{PLACE}/sheet")
    flyer.click("Make the sheet")
    flyer.page.locator("a[href^='/kept/sheet/']").first.wait_for(timeout=600_000)
    names = [shelf.file_of(flyer.record, tables.sheet, one.id)[1] for one in shelf.sheets(flyer.record, "Fox 600")]
    page = next(path for path in names if path.suffix == ".html").read_text("utf-8")
    assert "Throttle hold in the quick restart" in page
    assert "to run again" in page


_STARTS = ("hold_from", "start_delay", "autorotation", "quick_restart")
REOPENS = {
    "pack": ("no step of the bench",),
    "a switch value": _STARTS,
    "blades": ("soft_start",),
    "pinion or gear": ("soft_start", "set_point"),
    "end point, travel or curve": (*_STARTS, "end_point", "threshold", "set_point"),
    "firmware": (*_STARTS, "end_point", "threshold", "set_point", "soft_start"),
    "motor, controller or a crash": ("",),
}
"""Which steps each change reopens, one after the other, as a flyer would say; common practice, no source."""
