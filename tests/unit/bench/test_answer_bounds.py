"""An answer that cannot be is refused, whichever face sends it."""

import pytest

from steadyhead.bench.answer_text import refuse_impossible
from steadyhead.bench.step import Answer, Entry, Step
from steadyhead.words.errors import InputError


def step(entry):
    return Step(step="one", part="restart", title="Restart", action=(), switch="", asks="?", entry=entry, unit="s")


@pytest.mark.parametrize("seconds", [-3.0, 601.0, float("nan")])
def test_a_time_that_cannot_be_is_refused_beside_a_word(seconds):
    with pytest.raises(InputError, match="right would be 0 to 600 s"):
        refuse_impossible(step(Entry.START_KIND), Answer(word="soft", figure=seconds))


def test_a_word_needs_no_time_and_a_figure_needs_one():
    refuse_impossible(step(Entry.START_KIND), Answer(word="quick"))
    refuse_impossible(step(Entry.START_KIND), Answer(word="quick", figure=1.8))
    with pytest.raises(InputError, match="no figure"):
        refuse_impossible(step(Entry.HEAD_SPEED), Answer())
