"""What was asked last on a page is found again: what goes on, or the answer that ended last."""

import pytest

from steadyhead import job
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.web.desk import Desk
from steadyhead.web.work import State, Task


class Bench:
    """Tasks that nobody works on."""

    def __init__(self):
        self.tasks = {}

    def begin(self, title, function, *given, on_done=None, **named):
        task = Task(number=len(self.tasks) + 1, title=title, call=(function, given, named), on_done=on_done)
        self.tasks[task.number] = task
        return task

    def task(self, number):
        return self.tasks.get(number)


@pytest.fixture
def desk(tmp_path):
    return Desk(record=None, workshop=Bench(), uploads=tmp_path)


def test_work_that_goes_on_is_found_before_any_that_ended(desk):
    first, second, third = (("r", "judge", (name,)) for name in "abc")
    for kind in (first, second, third):
        desk.ask(kind, "Judge", "judge")
    desk.ask(("r", "advise", ()), "Advise", "advise")
    desk.asked(third).state = State.DONE
    assert desk.going_on("r", "judge") == (second, first)
    desk.asked(first).state = desk.asked(second).state = State.STOPPED
    assert desk.going_on("r", "judge") == (third,)
    assert desk.going_on("another revision", "judge") == ()


def test_a_scenario_is_offered_under_the_name_that_is_flown():
    for name, scenario in job.scenarios().items():
        assert read_scenario(name) == scenario
