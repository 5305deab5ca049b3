"""The strongest tones of a machine that is heard are its own; those of another one are not."""

import numpy as np
import pytest

from steadyhead.judge.listening import LEAST_EXPLAINED, listen
from steadyhead.judge.sound_of import sound_gearing_of
from steadyhead.trace import sound_unexplained
from steadyhead.trace.sound_unexplained import explained_share, own_orders, strongest_tones
from steadyhead.words.verdict import Outcome
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import ROTORS, Made, at_ratio, coloured, hum, machine_sound

RATE_HZ, SECONDS = 16000, 4.0


def sound_of(number: int, rpm: float, *, blades_on: bool, seed: int):
    head = np.full(int(100 * SECONDS), rpm)
    alone = machine_sound(ROTORS[number], head, RATE_HZ, blades_on=blades_on, seed=seed)
    return at_ratio(alone, coloured(alone.size, RATE_HZ, seed + 1, slope=1.0), 15.0)


@pytest.mark.parametrize("blades_on", [True, False])
@pytest.mark.parametrize("number", [0, 1, 2, 3])
def test_a_machine_explains_its_own_tones_and_another_one_does_not(number, blades_on) -> None:
    rpm = 0.8 * ROTORS[number].top_rpm
    sound = sound_of(number, rpm, blades_on=blades_on, seed=61 + number)
    own = explained_share(sound, RATE_HZ, rpm / 60.0, own_orders(sound_gearing_of(machine_of(ROTORS[number]))))
    assert own is None or own > 0.6, "too few stand out where only the drive trembles"
    assert own is not None or not blades_on
    other = (number + 1) % 4
    wrong = explained_share(sound, RATE_HZ, 0.93 * rpm / 60.0, own_orders(sound_gearing_of(machine_of(ROTORS[other]))))
    assert own is None or wrong is None or wrong < own


def test_hum_of_the_mains_is_no_tone_of_another_machine_and_noise_has_none() -> None:
    count = int(SECONDS * RATE_HZ)
    noise = coloured(count, RATE_HZ, 71, slope=1.0)
    hz, _ = strongest_tones(hum(count, RATE_HZ) + 0.1 * noise, RATE_HZ)
    assert not (hz < 450.0).any()
    assert explained_share(noise, RATE_HZ, 35.0, np.arange(1.0, 10.0)) is None


def test_where_the_strongest_tones_are_of_another_source_nothing_is_held_or_passes(tmp_path, monkeypatch) -> None:
    rpm = 0.8 * ROTORS[0].top_rpm
    sound = sound_of(0, rpm, blades_on=True, seed=81)
    given = Made(
        sound=sound / np.abs(sound).max(), rate_hz=RATE_HZ, time_s=0.01 * np.arange(int(100 * SECONDS)),
        head_rpm=np.full(int(100 * SECONDS), rpm), rotor=ROTORS[0],
    )  # fmt: skip
    path, machine = written(given, tmp_path / "a.wav"), machine_of(ROTORS[0])
    assert listen(machine, path, in_place=True).set_speeds
    at_s = np.arange(sound.size) / RATE_HZ
    tones = sum(np.sin(2.0 * np.pi * f * at_s) for f in np.array([7.31, 13.43, 21.53, 29.57, 41.61, 53.71]) * 97.3)
    beside = given.sound + 3.0 * np.std(given.sound) * tones
    loud = Made(
        sound=beside / np.abs(beside).max(), rate_hz=RATE_HZ, time_s=given.time_s, head_rpm=given.head_rpm,
        rotor=ROTORS[0],
    )  # fmt: skip
    monkeypatch.setattr(sound_unexplained, "STRONGEST", 6)
    heard = listen(machine, written(loud, tmp_path / "b.wav"), in_place=True)
    assert heard.set_speeds == ()
    assert all(check.verdict is Outcome.UNKNOWN for check in heard.checks)
    assert "strongest tones" in heard.warnings[0]
    assert 0.0 < LEAST_EXPLAINED < 1.0
