"""A new sitting at a page, and blades that a microphone hears while a step is answered by other means."""

import pytest

from steadyhead.bench import guided
from steadyhead.bench.record import open_record
from steadyhead.bench.safety_steps import SAFETY
from steadyhead.web.ear import Lines
from steadyhead.words.errors import InputError
from tests.unit.bench.test_guided import FOX, at, until


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture
def standing(record, tmp_path):
    """A run that stands at its first set point, and its machine file."""
    machine = tmp_path / "fox.toml"
    machine.write_text(FOX, "utf-8")
    run = guided.start_run(record, machine).run
    until(record, run, at("set_point"))
    return run, machine


def test_a_new_sitting_asks_for_all_of_safety_and_keeps_the_answers(record, standing):
    run, machine = standing
    before = guided.run_summary(record, run)
    after = guided.sit_down(record, run, machine)
    assert after.current.step == SAFETY[0].step
    assert after.steps_done == before.steps_done - len(SAFETY)
    assert guided.sit_down(record, run, machine).events == after.events


def test_a_run_that_was_paused_stays_paused_in_a_new_sitting(record, standing):
    run, machine = standing
    paused = guided.pause(record, run)
    after = guided.sit_down(record, run, machine)
    assert after.paused
    assert after.events == paused.events


def test_blades_that_are_heard_pause_the_run_whatever_the_answer(record, standing):
    run, _ = standing
    step = guided.current_step(record, run)
    with pytest.raises(InputError, match="blades are heard"):
        guided.refuse_blades_heard(record, run, ("main blades",), step.step)
    now = guided.run_summary(record, run)
    assert now.paused
    assert now.readings == ()


class Ear:
    """An ear that heard these blades last."""

    def __init__(self, *blades):
        self.heard = blades

    def blades(self):
        return self.heard


def test_what_any_microphone_at_a_run_heard_last_counts_for_all_windows_until_it_is_forgotten(monkeypatch):
    lines = Lines()
    monkeypatch.setattr("steadyhead.job.live_ear", lambda machine, rate_hz: Ear(*machine), raising=False)
    for machine, run in (((), "a"), (("main blades",), "a"), (("tail blades",), "b"), (("tail blades",), "")):
        lines.opened(lines.promise(machine, lambda: True, run), 48000.0)
    assert lines.blades_at("a") == ("main blades",)
    assert lines.blades_at("b") == ("tail blades",)
    assert lines.blades_at("c") == ()
    lines.forget("a")
    assert lines.blades_at("a") == ()
    assert lines.blades_at("b") == ("tail blades",)
