"""Several channels: the speed comes from the good one, whatever the others hold. Truth is that of the generator."""

import numpy as np
import pytest
import soundfile

from steadyhead.trace.heard import BLOCK_S, heard_trace, listened
from steadyhead.trace.sound_file import PEEK_S, opened
from steadyhead.trace.sound_spectrum import together
from steadyhead.trace.sound_tracker import Tracker, fused
from tests.heard_rotor import lines_of_rotor
from tests.naive.rotor_sound import ROTORS, at_ratio, coloured, course, hum, machine_sound, talk

ROTOR, RATE_HZ, SECONDS = ROTORS[0], 24000, 6.0
HEAD_RPM = course("hover", SECONDS, ROTOR, 31)
CLEAN = machine_sound(ROTOR, HEAD_RPM, RATE_HZ, blades_on=True, seed=32)


def noise(seed, slope=0.0):
    return coloured(CLEAN.size, RATE_HZ, seed, slope=slope)


def level(sound):
    return sound / (1.05 * np.max(np.abs(sound)))


def good(seed=33, sign=1.0):
    return level(at_ratio(sign * CLEAN, noise(seed, 1.0), 6.0))


def half_each():
    one, other, half = good(33), good(34), CLEAN.size // 2
    one[half:], other[:half] = 0.0, 0.0
    return [one, other]


CHANNELS = {
    "the other channel is dead": lambda: [good(), np.zeros(CLEAN.size)],
    "a preamplifier's noise, five times as loud": lambda: [0.2 * good(), level(noise(40))],
    "a mains hum, ten times as loud": lambda: [0.1 * good(), level(hum(CLEAN.size, RATE_HZ) + 0.05 * noise(41))],
    "a voice, five times as loud": lambda: [0.2 * good(), level(talk(CLEAN.size, RATE_HZ, 42) + 0.05 * noise(43))],
    "in opposite phase, each with its own noise": lambda: [good(33), good(34, -1.0)],
    "a copy in opposite phase": lambda: [good(), -good()],
    "clipped thirty times over": lambda: [good(), np.clip(30.0 * good(34), -1.0, 1.0)],
    "a direct voltage beside which the sound is faint": lambda: [0.01 * good(), 0.01 * good(34) + 0.9],
    "a voltage that jumps": lambda: [0.3 * good(), 0.9 * np.sign(np.sin(4.4 * np.arange(CLEAN.size) / RATE_HZ))],
    "no numbers": lambda: [good(), np.full(CLEAN.size, np.nan)],
    "each channel good for one half": half_each,
    "six channels, one good": lambda: [0.2 * good(), *(level(noise(50 + k)) for k in range(5))],
}


def recorded(path, channels):
    soundfile.write(path, np.stack(channels, axis=1).astype(np.float32), RATE_HZ, subtype="FLOAT")
    return listened(path, lines_of_rotor(ROTOR), ROTOR.top_rpm)


@pytest.mark.parametrize("name", CHANNELS)
@pytest.mark.parametrize("turned", [False, True])
def test_the_speed_comes_from_the_good_channel(tmp_path, name, turned):
    channels = CHANNELS[name]()
    heard = recorded(tmp_path / "a.wav", channels[::-1] if turned else channels)
    truth = np.interp(heard.frames.time_s, 0.01 * np.arange(HEAD_RPM.size), HEAD_RPM)
    off = np.abs(heard.frames.head_speed_rpm / truth - 1.0)[heard.claimed]
    assert heard.claimed.mean() > 0.8
    assert (off < 0.005).mean() > 0.98


def test_the_channel_that_was_heard_is_named(tmp_path):
    history = heard_trace(recorded(tmp_path / "a.wav", [level(noise(40)), 0.2 * good()])).history
    assert any("2 channels were listened to; the rotor was heard best in channel 2" in step for step in history)


def test_a_channel_that_is_too_loud_is_named(tmp_path):
    warnings = recorded(tmp_path / "a.wav", [good(), np.clip(30.0 * good(34), -1.0, 1.0)]).warnings
    assert [w for w in warnings if "full scale" in w] == [w for w in warnings if "of channel 2 are at full scale" in w]
    assert any("of channel 2 are at full scale" in w for w in warnings)


def test_a_channel_that_is_silent_at_first_is_not_left_out(tmp_path):
    late = good()
    late[: int(1.5 * RATE_HZ)] = 0.0
    soundfile.write(tmp_path / "a.wav", np.stack([np.zeros(CLEAN.size), late], axis=1), RATE_HZ)
    with opened(tmp_path / "a.wav") as recording:
        assert recording.channels == (1,)


@pytest.mark.parametrize("channels", [[0.0, 0.9], [0.9, 0.9]])
def test_channels_without_sound_are_never_heard(tmp_path, channels):
    assert not recorded(tmp_path / "a.wav", [np.full(CLEAN.size, one) for one in channels]).claimed.any()


def test_fused_evidence_is_the_log_of_the_mean():
    scores = np.log(np.array([[[4.0, 1.0]], [[2.0, 0.5]], [[0.0625, 4.5]]], np.float32))
    assert np.allclose(np.exp(fused(scores)), [[(4.0 + 2.0 + 0.0625) / 3.0, 2.0]])


def test_powers_together_are_the_mean_of_powers():
    roots = np.array([[[2.0, 1.0]], [[0.0, 3.0]]], np.float32)
    assert np.allclose(together(roots) ** 4, [[(16.0 + 0.0) / 2.0, (1.0 + 81.0) / 2.0]])


def test_an_hour_would_be_read_a_few_seconds_at_a_time(tmp_path, monkeypatch):
    """Samples asked of the file at once, and samples held, must not depend on how long the recording is."""
    seconds, rate_hz = 90, 8000
    sound = np.tile(noise(60)[: 10 * rate_hz], 9) * 0.1
    soundfile.write(tmp_path / "a.wav", np.stack([sound, np.roll(sound, 99)], axis=1), rate_hz)
    asked, held = [], []
    read, push = soundfile.SoundFile.read, Tracker.push

    def spied_read(self, frames=-1, *more, **words):
        asked.append(frames if frames >= 0 else self.frames)
        return read(self, frames, *more, **words)

    def spied_push(self, samples):
        found = push(self, samples)
        held.append(self.samples.size + sum(one.size for one in self.waiting))
        return found

    monkeypatch.setattr(soundfile.SoundFile, "read", spied_read)
    monkeypatch.setattr(Tracker, "push", spied_push)
    listened(tmp_path / "a.wav", lines_of_rotor(ROTOR), ROTOR.top_rpm)
    assert max(asked) <= max(PEEK_S, BLOCK_S) * rate_hz
    assert sum(asked) >= seconds * rate_hz
    assert max(held[5:]) <= 1.05 * max(held[:5])


def test_what_is_said_while_it_listens_rises_to_the_end(tmp_path):
    soundfile.write(tmp_path / "a.wav", 0.1 * noise(61), RATE_HZ)
    said: list[str] = []
    listened(tmp_path / "a.wav", lines_of_rotor(ROTOR), ROTOR.top_rpm, said.append)
    assert said == ["listen to a.wav, 0 of 6 s"]


def test_evidence_is_kept_for_a_recording_of_many_hours():
    """600 columns over five hours are 1200 frames each, far more than come at once."""
    tracker = Tracker(lines_of_rotor(ROTOR), 8000.0, ROTOR.top_rpm)
    tracker.keep_evidence(1200)
    for start in range(0, CLEAN.size, 8000):
        tracker.push(CLEAN[start : start + 8000])
    tracker.finish()
    assert tracker.evidence().shape == (1, tracker.speeds_hz.size)


@pytest.mark.parametrize("pooled", [1, 7, 32, 100])
def test_each_column_of_evidence_is_the_mean_over_its_frames(pooled):
    single, both = (Tracker(lines_of_rotor(ROTOR), 8000.0, ROTOR.top_rpm) for _ in range(2))
    single.keep_evidence(1)
    both.keep_evidence(pooled)
    for tracker in (single, both):
        tracker.push(CLEAN[:20000])
        tracker.finish()
    each = single.evidence()
    wanted = [each[at : at + pooled].mean(axis=0) for at in range(0, each.shape[0], pooled)]
    assert np.allclose(both.evidence(), wanted, atol=1e-3)
