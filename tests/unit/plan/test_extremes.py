import math

import pytest

from steadyhead.machine.keys import Quantity
from steadyhead.plan.solved import INPUTS
from steadyhead.plan.steady import plan
from steadyhead.words.plain import json_text
from steadyhead.words.verdict import Outcome
from tests.unit.plan.sample import one_mode

KEYS = (*INPUTS, "pack.cells", "pack.reserve", "limits.load_factor", "limits.forward_speed", "flight_mode.1.head_speed")


@pytest.mark.parametrize("key", KEYS)
def test_the_ends_of_what_the_file_takes_have_an_answer(key):
    declared = one_mode().declared(key)
    ends = (
        (declared.kind.si(declared.kind.low), declared.kind.si(declared.kind.high))
        if isinstance(declared, Quantity)
        else (float(declared.low), float(declared.high))
    )
    for end in ends:
        answer = plan(one_mode().replaced({key: end}))
        assert json_text(answer)
        assert answer.verdict in (Outcome.FAIL, Outcome.UNKNOWN)
        for one in answer.modes[0].conditions:
            numbers = {name: value for name, value in vars(one).items() if isinstance(value, float)}
            del numbers["figure_of_merit"]
            computed = all(math.isfinite(value) for value in numbers.values())
            assert computed or "could not be computed" in one.reasons[0]
            assert computed or one.verdict is not Outcome.PASS


def test_a_load_that_cannot_be_computed_is_unknown_and_leaves_the_others_alone():
    # Three quarters of the blade cut away: the forward flight of such a rotor has no answer in the model.
    answer = plan(one_mode().replaced({"rotor.radius": 0.66, "rotor.root_cutout": 0.5}))
    lost = [one for one in answer.modes[0].conditions if "could not be computed" in " ".join(one.reasons)]
    assert {one.load for one in lost} <= {"fast forward"}
    for one in lost:
        assert not one.solved
        assert one.verdict is Outcome.UNKNOWN
    assert all(math.isfinite(one.duty) for one in answer.modes[0].conditions if one not in lost)
