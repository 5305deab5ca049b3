"""The live ear: the speed of an invented rotor, heard block by block as a browser sends it."""

import numpy as np
import pytest
import soundfile

from steadyhead import job
from steadyhead.words.errors import InputError
from tests.naive.rotor_sound import Rotor, machine_sound

FOX = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=2700.0)
RATE_HZ = 48000
SPEED_RPM = 1990.0


def blocks(seconds: float, speed_rpm: float = SPEED_RPM):
    head = np.full(int(seconds * 100), speed_rpm)
    sound = machine_sound(FOX, head, RATE_HZ, blades_on=False, seed=5)
    noise = np.random.default_rng(6).normal(size=sound.size)
    sound = sound / np.std(sound) + 0.5 * noise
    samples = np.round(12000.0 * sound / np.max(np.abs(sound))).astype("<i2")
    size = RATE_HZ // 20
    return [samples[at : at + size].tobytes() for at in range(0, samples.size, size)]


@pytest.fixture(scope="module")
def machine():
    return job.read_machine(job.bundled("fox600"))


@pytest.fixture(scope="module")
def heard(machine):
    ear = job.live_ear(machine, RATE_HZ)
    return ear, [ear.push(block) for block in blocks(6.0)]


def test_the_head_speed_is_heard_within_half_a_percent_and_half_a_second(heard):
    _, told = heard
    frames = [frame for one in told for frame in one.frames if frame.time_s > 1.0]
    right = [f for f in frames if f.head_speed_rpm is not None and abs(f.head_speed_rpm / SPEED_RPM - 1.0) < 0.005]
    assert len(right) > 0.9 * len(frames)
    assert max(one.behind_s for one in told[20:]) <= 0.45


def test_a_speed_that_was_held_can_be_taken_with_its_doubt(heard, tmp_path):
    ear, _ = heard
    held = ear.taken()
    assert abs(held.head_speed_rpm - SPEED_RPM) <= 0.003 * SPEED_RPM
    assert 0.0 < held.spread_rpm < 0.01 * SPEED_RPM
    kept, rate_hz = soundfile.read(held.write(tmp_path / "kept.wav"))
    assert rate_hz == RATE_HZ
    assert kept.size == 6 * RATE_HZ


def test_silence_gives_no_reading(machine):
    ear = job.live_ear(machine, RATE_HZ)
    for _ in range(80):
        ear.push(bytes(RATE_HZ // 10))
    with pytest.raises(InputError, match="of the last seconds"):
        ear.taken()


def test_what_no_microphone_sends_is_refused(machine):
    with pytest.raises(InputError, match="samples a second"):
        job.live_ear(machine, 12.0)
    with pytest.raises(InputError, match="two bytes each"):
        job.live_ear(machine, RATE_HZ).push(b"abc")
