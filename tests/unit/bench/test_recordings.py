"""A recording of sound answers a bench step as a log does; silence, another machine, or blades never pass one."""

import numpy as np
import pytest
import soundfile

from steadyhead.bench import guided, shelf
from steadyhead.bench.record import open_record
from steadyhead.job import live_ear
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome
from tests.naive.rotor_sound import ROTORS, Rotor, machine_sound
from tests.unit.bench.bench_answers import head_speed
from tests.unit.bench.test_guided import FOX, at, told, until

FOX_ROTOR = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
RATE_HZ = 22050
SECONDS = 7.0


def recorded(path, *speeds_rpm, rotor=FOX_ROTOR, blades_on=False, without="", seed=4):
    """Write an invented recording that holds one head speed after another, with noise over it."""
    each = int(100 * SECONDS)
    course = np.concatenate([np.full(each, rpm) for rpm in speeds_rpm])
    sound = machine_sound(rotor, course, RATE_HZ, blades_on=blades_on, seed=seed, without=without)
    sound = sound / np.std(sound) + 0.3 * np.random.default_rng(seed + 1).normal(size=sound.size)
    soundfile.write(path, 0.9 * sound / np.max(np.abs(sound)), RATE_HZ)
    return path


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture
def at_set_point(record, tmp_path):
    """A run that stands at its first set point, and that step."""
    path = tmp_path / "fox.toml"
    path.write_text(FOX, "utf-8")
    run = guided.start_run(record, path).run
    until(record, run, at("set_point"))
    return run, guided.current_step(record, run)


def test_a_recording_gives_the_head_speed_of_a_set_point_and_is_kept(record, at_set_point, tmp_path):
    run, step = at_set_point
    true_rpm = head_speed(step.percent)
    result = guided.answer_from_file(record, run, recorded(tmp_path / "held.flac", true_rpm))
    reading = result.readings[0]
    assert abs(reading.head_speed_rpm / true_rpm - 1.0) < 0.003
    assert 0.0 < reading.spread_rpm < 0.01 * true_rpm
    assert abs(reading.head_speed_rpm - true_rpm) < 2.0 * reading.spread_rpm
    assert told(result, step.step).source == "recording held.flac"
    assert [kept.name for kept in shelf.recordings(record, "Fox 600")] == ["held.flac"]
    assert not shelf.logs(record, "Fox 600")


def test_the_typed_word_takes_a_recording_too(record, at_set_point, tmp_path):
    run, step = at_set_point
    path = recorded(tmp_path / "held.wav", head_speed(step.percent))
    result = guided.heard(record, run, f"log {path}")
    assert told(result, step.step).source == "recording held.wav"


def silent(path):
    soundfile.write(path, 1e-3 * np.random.default_rng(3).normal(size=int(SECONDS * RATE_HZ)), RATE_HZ)
    return path


WRONG = {
    "silent": (silent, "not heard"),
    "another machine": (lambda path: recorded(path, 2800.0, rotor=ROTORS[1]), "not heard"),
    "blades on": (lambda path: recorded(path, 1800.0, blades_on=True), "blades off"),
    "main blades alone": (lambda path: recorded(path, 1800.0, blades_on=True, without="tail"), "main blades are heard"),
    "tail blades alone": (lambda path: recorded(path, 1800.0, blades_on=True, without="main"), "tail blades are heard"),
    "two speeds": (lambda path: recorded(path, 1600.0, 2000.0), "this one set speed"),
}


def says_of(record, run, path):
    """Return what is said of an answer that is refused."""
    with pytest.raises(InputError) as refused:
        guided.answer_from_file(record, run, path)
    return str(refused.value)


@pytest.mark.parametrize("kind", WRONG)
def test_a_wrong_recording_leaves_the_step_open_and_unknown(record, at_set_point, tmp_path, kind):
    run, step = at_set_point
    make, says = WRONG[kind]
    with pytest.raises(InputError, match=says):
        guided.answer_from_file(record, run, make(tmp_path / "wrong.wav"))
    after = guided.run_summary(record, run)
    assert after.paused == ("blades" in kind), "where blades are heard nothing goes on before safety is confirmed anew"
    if after.paused:
        assert not after.confirmed
        assert "paused" in says_of(record, run, make(tmp_path / "again.wav"))
    else:
        assert after.current.step == step.step
    assert told(after, step.step).verdict is Outcome.UNKNOWN
    assert not after.readings
    assert not shelf.recordings(record, "Fox 600")


def test_a_recording_of_a_wrong_speed_never_passes(record, at_set_point, tmp_path):
    run, first = at_set_point
    until(record, run, lambda step: step.step.startswith("set_point: 3"))
    step = guided.current_step(record, run)
    path = recorded(tmp_path / "wrong.wav", 0.9 * head_speed(step.percent))
    try:
        result = guided.answer_from_file(record, run, path)
    except InputError:
        result = guided.run_summary(record, run)
    assert told(result, step.step).verdict is not Outcome.PASS
    assert told(result, first.step).verdict is not Outcome.FAIL


def test_no_recording_says_that_throttle_hold_stops_the_motor(record, tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(FOX, "utf-8")
    run = guided.start_run(record, path).run
    until(record, run, at("hold_from"))
    while guided.current_step(record, run).step != "hold_from: idle":
        step = guided.current_step(record, run)
        guided.answer(record, run, step.step, "yes" if step.entry.startswith("yes") else f"{step.expected:g}")
    with pytest.raises(InputError, match="by hand"):
        guided.answer_from_file(record, run, recorded(tmp_path / "held.wav", 1800.0))
    assert told(guided.run_summary(record, run), "hold_from: idle").verdict is Outcome.UNKNOWN


GEARED = (
    "\n".join(FOX.splitlines())
    .replace("pinion_teeth = 13", "pinion_teeth = 14")
    .replace("gear_teeth = 117", "gear_teeth = 112")
)
"""Gears of 8 to 1 put the motor shaft on a multiple of two blades' pass."""


def test_gears_that_sound_where_blades_would_are_not_taken_for_blades(record, tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(GEARED, "utf-8")
    run = guided.start_run(record, path).run
    until(record, run, at("set_point"))
    step = guided.current_step(record, run)
    rotor = Rotor(pinion=14, gear=112, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
    result = guided.answer_from_file(
        record, run, recorded(tmp_path / "held.wav", head_speed(step.percent), rotor=rotor)
    )
    assert told(result, step.step).source == "recording held.wav"


def test_a_recording_whose_reading_contradicts_the_others_is_not_kept(record, at_set_point, tmp_path):
    run, _ = at_set_point
    until(record, run, lambda step: step.step.startswith("set_point: 3"))
    with pytest.raises(InputError, match="more channel with less head speed"):
        guided.answer_from_file(record, run, recorded(tmp_path / "wrong.wav", 2500.0))
    assert not shelf.recordings(record, "Fox 600")


def spoken(machine, speed_rpm, *, seconds=5.0, blades_on=False, without=""):
    """Let a live ear hear an invented rotor, block by block, and return what it holds then."""
    ear = live_ear(machine, 48000)
    head = np.full(int(100 * seconds), speed_rpm)
    sound = machine_sound(FOX_ROTOR, head, 48000, blades_on=blades_on, seed=7, without=without)
    sound = sound / np.std(sound) + 0.3 * np.random.default_rng(8).normal(size=sound.size)
    samples = np.round(20000.0 * sound / np.max(np.abs(sound))).astype("<i2")
    told_last = [ear.push(samples[i : i + 2400].tobytes()) for i in range(0, samples.size, 2400)][-1]
    return told_last, ear.taken()


def test_the_microphone_answers_a_set_point_and_its_sound_is_kept_with_the_answer(record, at_set_point, tmp_path):
    run, step = at_set_point
    last, held = spoken(guided.machine_of(record, run), head_speed(step.percent))
    assert last.blades == held.blades == ()
    assert not shelf.recordings(record, "Fox 600")
    result = guided.answer_from_microphone(record, run, held, held.write(tmp_path / "microphone.wav"), step.step)
    assert told(result, step.step).source == "microphone"
    assert abs(result.readings[0].head_speed_rpm / head_speed(step.percent) - 1.0) < 0.003
    assert [kept.name for kept in shelf.recordings(record, "Fox 600")] == ["microphone.wav"]


@pytest.mark.parametrize(
    ("without", "names"), [("", "main blades and tail blades"), ("tail", "main blades"), ("main", "tail")]
)
def test_the_microphone_takes_nothing_where_blades_are_heard(record, at_set_point, tmp_path, without, names):
    run, step = at_set_point
    machine = guided.machine_of(record, run)
    last, held = spoken(machine, head_speed(step.percent), blades_on=True, without=without)
    assert last.blades == held.blades != ()
    with pytest.raises(InputError, match=f"{names}.* heard.*disconnect the pack, take all blades off"):
        guided.answer_from_microphone(record, run, held, held.write(tmp_path / "microphone.wav"), step.step)
    after = guided.run_summary(record, run)
    assert after.paused
    assert not after.confirmed
    assert told(after, step.step).verdict is Outcome.UNKNOWN
    assert not shelf.recordings(record, "Fox 600")
    going_on = guided.resume(record, run)
    assert going_on.current.is_safety


def test_the_microphone_answers_no_other_step_and_none_that_was_answered_meanwhile(record, at_set_point, tmp_path):
    run, step = at_set_point
    _, held = spoken(guided.machine_of(record, run), head_speed(step.percent))
    sound = held.write(tmp_path / "microphone.wav")
    guided.answer(record, run, step.step, f"{head_speed(step.percent):.0f}")
    with pytest.raises(InputError, match="answered meanwhile"):
        guided.answer_from_microphone(record, run, held, sound, step.step)
    until(record, run, at("hold_from: mode"))
    with pytest.raises(InputError, match="a recording cannot tell this step"):
        guided.answer_from_microphone(record, run, held, sound)
    assert not shelf.recordings(record, "Fox 600")


def test_no_more_sound_is_held_than_a_reading_needs(record, at_set_point):
    run, step = at_set_point
    _, held = spoken(guided.machine_of(record, run), head_speed(step.percent), seconds=14.0)
    assert held.sound_s == 10.0
