"""Long work in real processes: steps, results, refusals, stopping."""

import contextlib
import os
import sys
import time
from pathlib import Path

import pytest

from steadyhead import job
from steadyhead.study import kept
from steadyhead.web.work import State, Workshop
from steadyhead.words.errors import InputError


def children_of(*parents) -> list:
    """Processes that these have begun, from /proc."""
    wanted = {pid for parent in parents for pid in (parent if isinstance(parent, list) else [parent])}
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            words = stat.read_text().rpartition(")")[2].split()
            if int(words[1]) in wanted and words[0] != "Z":
                found.append(int(stat.parent.name))
    return found


def alive(pid) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.fixture(scope="module")
def workshop():
    made = Workshop(workers=1)
    yield made
    made.close()


def test_a_task_answers_with_the_result_of_the_contents_page(workshop):
    held = []
    task = workshop.begin("Look", "check", job.read_machine(job.bundled("fox600")), on_done=held.append)
    assert workshop.wait(task, 60.0)
    assert task.state is State.DONE
    assert task.result.machine == "Fox 600"
    assert held == [task.result]


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


def test_an_answer_that_cannot_be_kept_is_refused_and_the_workers_go_on(workshop):
    def refuse(_):
        raise InputError("record.sqlite", read="a full disk", right="room on the disk")

    task = workshop.begin("Look", "bundled", "fox600", on_done=refuse)
    assert workshop.wait(task, 60.0)
    assert (task.state, task.result) == (State.REFUSED, None)
    assert "a full disk" in task.sentence
    after = workshop.begin("Look", "bundled", "fox600")
    assert workshop.wait(after, 60.0)
    assert after.state is State.DONE


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_stopped_study_leaves_no_process_and_keeps_what_was_done(tmp_path):
    others = children_of(os.getpid())
    workshop = Workshop(workers=1)
    record = tmp_path / "record.sqlite"
    text = kept.study_text("fox600.toml", "plan", "verdict", (12, 14), 40)
    study = kept.lay_out(record, "Fox 600", text, "fox600.toml", job.bundled("fox600").read_text("utf-8"))
    task = workshop.begin("Study", "study", study.file, study.file.parent, workers=2)
    while not any("part " in step for step in task.steps) and not task.ended():
        time.sleep(0.02)
    assert task.state is State.RUNNING, task.sentence
    workers = children_of([pid for pid in children_of(os.getpid()) if pid not in others])
    assert len(workers) >= 2
    workshop.stop(task.number)
    assert workshop.wait(task, 10.0)
    done = kept.kept_studies(record, "Fox 600")[0].parts_done
    assert 0 < done < study.parts
    deadline = time.monotonic() + 30.0
    while any(alive(pid) for pid in workers) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not any(alive(pid) for pid in workers)
    time.sleep(0.5)
    assert kept.kept_studies(record, "Fox 600")[0].parts_done <= done + 2
    workshop.close()
