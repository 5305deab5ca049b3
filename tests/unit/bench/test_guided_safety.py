"""What must never happen on the bench: a live step without a word of warning, an untried hold, an answer that counts
for another step, a speed that was only heard and yet passes.
"""

from dataclasses import replace

import pytest

from steadyhead.bench import guided
from steadyhead.bench.record import open_record
from steadyhead.bench.safety_steps import SAFETY
from steadyhead.bench.step import HOLD_AT_REST, SKIP, Answer, Entry
from steadyhead.words.cautions import LIVE_MOTOR
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome
from tests.unit.bench.bench_answers import head_speed, typed
from tests.unit.bench.test_guided import FOX, at, told, until

NAMES = [step.step for step in SAFETY]


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture
def fox(tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(FOX, "utf-8")
    return path


def test_every_step_with_a_live_motor_says_so_before_anything_else(record, fox):
    _, seen = until(record, guided.start_run(record, fox).run)
    assert {step.part for step in seen if step.spins} > {"hold", "thresholds", "set points", "autorotation", "restart"}
    for step in seen:
        assert (step.action[0] == LIVE_MOTOR) == step.spins
        assert step.spins or "Release hold" not in " ".join(step.action)


def test_a_set_point_says_at_which_head_speed_to_stop_and_a_faster_one_fails_at_once(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("set_point"))
    step = guided.current_step(record, run)
    assert "Above 2550 rpm" in " ".join(step.action)
    result = guided.answer(record, run, step.step, "2600")
    assert told(result, step.step).verdict is Outcome.FAIL
    assert result.verdict is Outcome.FAIL
    assert any("2550 rpm" in reason for reason in result.reasons)


def test_a_set_point_says_where_to_stop_before_hold_is_released(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("set_point"))
    said = guided.current_step(record, run).action
    limit = next(place for place, line in enumerate(said) if "the limit of head and blades" in line)
    assert limit < next(place for place, line in enumerate(said) if line.startswith("Release hold"))


def test_throttle_hold_at_rest_cannot_be_left_out(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at(HOLD_AT_REST))
    for words in ("skip", "skip it always works", Answer(word=SKIP)):
        with pytest.raises(InputError, match="yes or no"):
            guided.answer(record, run, HOLD_AT_REST, words)
    assert guided.current_step(record, run).step == HOLD_AT_REST


def test_after_a_failed_throttle_hold_safety_is_confirmed_anew_whatever_is_said(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("hold_from: idle"))
    failed = guided.answer(record, run, "hold_from: idle", "no")
    assert failed.confirmed == ()
    again = guided.repeat(record, run, "hold_from: idle")
    assert again.current.step == NAMES[0]
    _, seen = until(record, run, at("start_delay"))
    assert [step.step for step in seen] == [*NAMES, "hold_from: idle"]


NO_ANSWERS = {
    Entry.YES: (Answer(word="skip"), Answer(word="no"), Answer(figure=1.0), Answer()),
    Entry.YES_OR_NO: (Answer(), Answer(word="quick"), Answer(figure=1.0)),
    Entry.PULSE: (Answer(), Answer(word="yes"), Answer(figure=float("nan")), Answer(figure=-1.0)),
    Entry.PERCENT: (Answer(), Answer(figure=101.0)),
    Entry.HEAD_SPEED: (Answer(), Answer(figure=1e9), Answer(figure=float("nan")), Answer(word="yes")),
    Entry.START_KIND: (Answer(), Answer(word="yes")),
}


def test_what_is_no_answer_is_refused_whichever_face_sends_it(record, fox):
    tried = set()

    def say(step):
        for given in NO_ANSWERS.get(step.entry, ()):
            with pytest.raises(InputError):
                guided.answer(record, run, step.step, given)
            tried.add(step.entry)
        return typed(step)

    run = guided.start_run(record, fox).run
    until(record, run, say=say)
    assert tried == set(NO_ANSWERS)


def test_an_answer_to_a_card_that_was_answered_elsewhere_counts_for_no_other_step(record, fox):
    run = guided.start_run(record, fox).run
    card = guided.current_step(record, run).step
    guided.answer(record, run, card, "yes")
    for words in ("yes", "log held.wav", "log bench.csv"):
        with pytest.raises(InputError, match="answered meanwhile in another window"):
            guided.heard(record, run, words, card)
    result = guided.run_summary(record, run)
    assert result.confirmed == (card,)
    assert result.events == 1


def heard(step):
    """Answer as the microphone does, where a head speed is asked for."""
    if step.entry is not Entry.HEAD_SPEED:
        return typed(step)
    return Answer(figure=head_speed(step.percent), spread=4.0, source="microphone")


def test_head_speeds_that_were_only_heard_never_end_in_pass(record, fox):
    run = guided.start_run(record, fox).run
    result, seen = until(record, run, say=heard)
    assert result.done
    assert result.verdict is Outcome.UNKNOWN
    assert any("another machine near" in reason for reason in result.reasons)
    last = [step for step in seen if step.percent is not None][-1]
    guided.repeat(record, run, last.step)
    result, _ = until(record, run)
    assert result.verdict is Outcome.PASS, result.reasons


@pytest.mark.parametrize("share", [0.7, 0.94, 0.985, 1.015, 1.06, 1.13])
def test_another_machines_recording_as_first_set_point_never_ends_in_pass(record, fox, share):
    """What the ear takes from another machine near is a steady speed like any other: it is only wrong."""
    wrong = []

    def say(step):
        if step.step.startswith("set_point: 1 "):
            wrong.append(step.step)
            return replace(heard(step), figure=share * head_speed(step.percent), source="recording other.wav")
        return typed(step)

    run = guided.start_run(record, fox).run
    while step := guided.current_step(record, run):
        try:
            result = guided.answer(record, run, step.step, say(step))
        except InputError:
            result = guided.answer(record, run, step.step, "skip it contradicts the others")
    assert wrong
    assert result.verdict is not Outcome.PASS
    assert told(result, wrong[0]).verdict is not Outcome.PASS


def test_no_live_step_follows_ends_that_failed_until_they_are_repeated(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("end_point"))
    guided.answer(record, run, "end_point: low", "1160")
    assert guided.current_step(record, run).step == "end_point: high"
    result = guided.answer(record, run, "end_point: high", "1850")
    assert result.current is None
    assert not result.done
    assert result.to_mend == ("end_point: low", "end_point: high")
    for said in ("Low end of the throttle channel", "High end", "1160", "live motor", "repeat end_point: low"):
        assert said in result.stopped
    with pytest.raises(InputError, match="live motor"):
        guided.answer(record, run, HOLD_AT_REST, "yes")
    for name in ("end_point: low", "end_point: high"):
        guided.repeat(record, run, name)
        step = guided.current_step(record, run)
        assert step.step == name
        result = guided.answer(record, run, name, typed(step))
    assert result.current.step == HOLD_AT_REST
    assert (result.stopped, result.to_mend) == ("", ())


def test_no_live_step_follows_an_autorotation_position_that_starts_the_motor(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("autorotation: rest"))
    result = guided.answer(record, run, "autorotation: rest", "no")
    assert result.current is None
    assert "Autorotation position from rest" in result.stopped
    result = guided.repeat(record, run, "autorotation: rest")
    assert result.current.step == "autorotation: rest"
