"""A hum of the mains is no rotor, and does not hide one; a rotor that turns as a grid does is still heard."""

import numpy as np
import pytest

from steadyhead.physics.sound_comb import line_factor
from steadyhead.physics.sound_grid import grid_hum, grid_silenced
from steadyhead.physics.sound_peaks import Hills
from steadyhead.trace.sound_spectrum import spectra
from steadyhead.trace.sound_tracker import CLAIMED_FROM
from tests.heard_rotor import right_share, tracked
from tests.naive.other_sound import hum_of_room
from tests.naive.rotor_sound import Made, Rotor, at_ratio, coloured, course, machine_sound

RATE_HZ = 8000
SECONDS = 6.0
TIMES_S = np.arange(0.0, SECONDS, 0.01)
FOX = Rotor(pinion=13, gear=117, pole_pairs=5, tail_ratio=4.5, top_rpm=3100.0)
"""Its lines lie at multiples of 50 Hz at 3000 rpm and at multiples of 60 Hz at 1800 and 3600 rpm."""


def hum_alone(mains_hz: float, kind: str, seed: int, snr_db: float = 15.0) -> Made:
    count = int(SECONDS * RATE_HZ)
    hum = hum_of_room(count, RATE_HZ, np.random.default_rng(seed), mains_hz, kind)
    sound = at_ratio(hum, coloured(count, RATE_HZ, seed, slope=1.0), snr_db)
    return Made(sound=sound / np.max(np.abs(sound)), rate_hz=RATE_HZ, time_s=TIMES_S, head_rpm=0.0 * TIMES_S, rotor=FOX)


def rotor_at(speed_rpm, *, blades_on: bool, seed: int, hum_db: float | None = None, rate_hz: int = RATE_HZ) -> Made:
    head = np.full(TIMES_S.size, 1.0) * speed_rpm
    sound = machine_sound(FOX, head, rate_hz, blades_on=blades_on, seed=seed)
    over = coloured(sound.size, rate_hz, seed, slope=1.0)
    if hum_db is not None:
        over = hum_of_room(sound.size, rate_hz, np.random.default_rng(seed)) + 0.05 * over
    sound = at_ratio(sound, over, 10.0 if hum_db is None else -hum_db)
    return Made(sound=sound / np.max(np.abs(sound)), rate_hz=rate_hz, time_s=TIMES_S, head_rpm=head, rotor=FOX)


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("kind", ["full", "even", "odd", "dimmer"])
def test_a_hum_alone_is_no_rotor(mains_hz, kind):
    shares = [
        float((tracked(hum_alone(mains_hz, kind, seed)).confidence >= CLAIMED_FROM).mean()) for seed in range(31, 37)
    ]
    assert max(shares) < 0.05, shares


def test_a_hum_that_comes_in_small_pieces_is_no_rotor_after_its_first_second():
    frames = tracked(hum_alone(50.0, "full", 31), block_s=0.05)
    assert not (frames.confidence[frames.time_s > 1.0] >= CLAIMED_FROM).any()


@pytest.mark.parametrize("seed", [41, 42, 43])
def test_the_rotor_is_heard_beside_a_louder_hum(seed):
    right, claimed = right_share(given := rotor_at(1950.0, blades_on=True, seed=seed, hum_db=3.0), tracked(given))
    assert claimed > 0.8
    assert right > 0.99


@pytest.mark.parametrize("blades_on", [False, True])
def test_a_rotor_that_turns_as_the_grid_does_is_heard_by_its_drive(blades_on):
    given = rotor_at(3000.0, blades_on=blades_on, seed=7, rate_hz=32000)
    right, claimed = right_share(given, tracked(given))
    assert claimed > 0.9
    assert right > 0.99


def test_a_hover_beside_a_hum_keeps_its_course():
    head = course("hunt", SECONDS, FOX, 3)
    given = rotor_at(head[: TIMES_S.size], blades_on=False, seed=5, hum_db=0.0, rate_hz=22050)
    right, claimed = right_share(given, tracked(given))
    assert claimed > 0.8
    assert right > 0.97


def hills_of(tones_hz: dict[float, float]) -> tuple[Hills, object]:
    at = np.arange(4 * RATE_HZ) / RATE_HZ
    sound = sum(gain * np.sin(2.0 * np.pi * hz * at + hz) for hz, gain in tones_hz.items())
    sound = (sound + 0.05 * np.random.default_rng(2).standard_normal(at.size)).astype(np.float32)
    own = spectra(float(RATE_HZ))
    return own.peaks(sound[None], 0, 2 * RATE_HZ + 200 * np.arange(16)), own.for_kernels


def test_the_frequency_of_the_grid_is_read_from_all_its_tones():
    hills, looks = hills_of({50.1 * k: 1.0 for k in range(1, 15)})
    base_hz, last = grid_hum(looks, hills, 0, 3, 50.0)
    assert base_hz == pytest.approx(50.1, abs=0.03)
    assert last == 14
    assert grid_hum(looks, hills, 0, 3, 60.0) == (0.0, 0)


def test_a_tone_off_the_grid_is_kept_and_one_on_it_speaks_neither_for_nor_against_a_line():
    hills, looks = hills_of({**{50.0 * k: 1.0 for k in range(1, 13)}, 723.0: 1.0})
    rows = [looks.middle_row + round(hz / looks.middle_bin_hz) for hz in (400.0, 723.0)]
    before = hills.odds[0, rows[1]].copy()
    assert hills.odds[0, rows[0]].min() > 20.0
    grid_silenced(looks, 50.0, 12, hills, 0)
    assert np.array_equal(hills.odds[0, rows[1]], before)
    doubts = np.sqrt(hills.doubt[0, rows[0]])
    for at_hz, doubt_hz, odds in zip(hills.at_hz[0, rows[0]], doubts, hills.odds[0, rows[0]], strict=True):
        assert 0.85 < line_factor(0.6, float(odds), looks.middle_s, float(at_hz) - 400.0, float(doubt_hz)) < 1.05
