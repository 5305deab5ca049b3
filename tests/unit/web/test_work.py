"""Long work in real processes: steps, results, refusals, stopping."""

import time

import pytest

from steadyhead import job
from steadyhead.web.work import State, Workshop


@pytest.fixture(scope="module")
def workshop():
    made = Workshop(workers=1)
    yield made
    made.close()


def test_a_task_answers_with_the_result_of_the_contents_page(workshop):
    kept = []
    task = workshop.begin("Look", "check", job.read_machine(job.bundled("fox600")), on_done=kept.append)
    assert workshop.wait(task, 60.0)
    assert task.state is State.DONE
    assert task.result.machine == "Fox 600"
    assert kept == [task.result]


def test_a_refusal_is_one_sentence(workshop, tmp_path):
    task = workshop.begin("Read", "read_machine", tmp_path / "none.toml")
    assert workshop.wait(task, 60.0)
    assert task.state is State.REFUSED
    assert "none.toml" in task.sentence
    assert "\n" not in task.sentence


def test_a_fault_of_ours_is_told_and_does_not_end_the_workers(workshop):
    task = workshop.begin("Fault", "check", 17)
    assert workshop.wait(task, 60.0)
    assert task.state is State.REFUSED
    assert "fault of the program" in task.sentence
    after = workshop.begin("Look", "bundled", "fox600")
    assert workshop.wait(after, 60.0)
    assert after.state is State.DONE


def test_a_task_that_waits_or_runs_can_be_stopped_and_the_next_one_runs(workshop):
    machine = job.read_machine(job.bundled("fox600"))
    running = workshop.begin("Demo", "governor", machine)
    waiting = workshop.begin("Look", "check", machine)
    while running.state is State.WAITING:
        time.sleep(0.01)
    workshop.stop(waiting.number)
    workshop.stop(running.number)
    assert (running.state, waiting.state) == (State.STOPPED, State.STOPPED)
    after = workshop.begin("Look", "check", machine)
    assert workshop.wait(after, 60.0)
    assert after.state is State.DONE
    assert running.result is None
    assert waiting.result is None


def test_steps_are_told_while_it_runs(workshop, tmp_path):
    machine = job.read_machine(job.bundled("fox600"))
    task = workshop.begin("Fly", "fly", machine, "hover")
    assert workshop.wait(task, 120.0)
    assert task.state is State.DONE, task.sentence
    assert len(task.steps) > 2
