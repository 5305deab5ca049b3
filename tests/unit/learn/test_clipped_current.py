"""A current sensor that reads low and is cut off at nought leaves open what rests on the current."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead.learn.clipped_current import ON_CURRENT, current_doubt
from steadyhead.learn.rows import evidence
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.verdict import Outcome
from tests.unit.judge.test_conformance import trace as trace_of

MACHINE = read_machine(bundled("fox600"))


def with_current(low_a: float, step_a: float = 0.1):
    """The current of an invented flight, its sensor so much too low, cut off at nought and written in steps."""
    trace = trace_of("full_flight_good.csv")
    seen = np.maximum(np.round((trace.channels["pack_current_a"] - low_a) / step_a) * step_a, 0.0)
    one = evidence(MACHINE, replace(trace, channels={**trace.channels, "pack_current_a": seen}))
    assert one is not None
    return current_doubt(one)


def test_a_current_that_is_cut_off_at_nought_is_said_and_what_rests_on_it_is_held() -> None:
    doubt = with_current(1.5)
    assert doubt is not None
    assert doubt.verdict is Outcome.UNKNOWN
    assert doubt.holds == ON_CURRENT
    assert "cut off at nought" in doubt.says


@pytest.mark.parametrize(("low_a", "step_a"), [(0.0, 0.1), (-1.5, 0.1), (0.0, 1.0)])
def test_a_sound_sensor_and_one_written_in_whole_amperes_are_not_called_cut_off(low_a: float, step_a: float) -> None:
    assert with_current(low_a, step_a) is None
