"""Half of a speed sounds alike where the pinion has a multiple of the poles' number of teeth: it is never a reading."""

from dataclasses import replace

import pytest

from steadyhead.judge.listening import listen, readings_heard
from steadyhead.judge.sound_of import sound_gearing_of
from steadyhead.trace.sound_lines import lines_of
from steadyhead.trace.sound_parted import shares_all
from steadyhead.words.errors import InputError
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import Made, Rotor, coloured, machine_sound

SHARED = (
    Rotor(pinion=12, gear=109, pole_pairs=6, tail_ratio=4.37, top_rpm=2500.0),
    Rotor(pinion=10, gear=97, pole_pairs=5, tail_ratio=4.13, top_rpm=2500.0),
    Rotor(pinion=14, gear=123, pole_pairs=7, tail_ratio=4.71, top_rpm=2500.0),
    Rotor(pinion=16, gear=137, pole_pairs=4, tail_ratio=4.31, top_rpm=3400.0),
)


def steady(rotor: Rotor, share: float, seed: int) -> Made:
    import numpy as np

    t = np.arange(0.0, 9.0, 0.01)
    head = rotor.top_rpm * share * (1.0 + 0.0004 * np.sin(0.7 * t))
    sound = machine_sound(rotor, head, 22050, blades_on=False, seed=seed)
    sound = sound + 0.1 * np.std(sound) * coloured(sound.size, 22050, seed + 2, slope=1.0)
    return Made(sound=sound / (1.05 * np.max(np.abs(sound))), rate_hz=22050, time_s=t, head_rpm=head, rotor=rotor)


@pytest.mark.parametrize("rotor", SHARED, ids=lambda rotor: f"{rotor.pinion} teeth")
@pytest.mark.parametrize("seed", [71, 72])
def test_twice_the_true_speed_is_no_reading_also_where_a_flight_mode_is_near(rotor, seed, tmp_path) -> None:
    given = steady(rotor, 0.36, seed)
    heard = listen(machine_of(rotor), written(given, tmp_path / "low.wav"), in_place=True)
    wrong = [one for one in heard.set_speeds if one.head_speed_rpm > 1.5 * 0.36 * rotor.top_rpm]
    assert all(one.parts_open and one.mode is None for one in wrong)
    if wrong:
        assert any("or half as much" in said for said in heard.warnings)
        with pytest.raises(InputError, match="half"):
            readings_heard(heard)


def test_teeth_that_share_every_strong_line_with_half_or_a_third_of_the_speed_are_told() -> None:
    def lines(pinion: int, pole_pairs: int):
        return lines_of(sound_gearing_of(machine_of(replace(SHARED[0], pinion=pinion, pole_pairs=pole_pairs))))

    assert shares_all(lines(10, 5), 2)
    assert shares_all(lines(12, 3), 2)
    assert shares_all(lines(15, 5), 3)
    assert not shares_all(lines(13, 5), 2)
    assert not shares_all(lines(10, 5), 3)
    assert not shares_all(lines(14, 5), 2)
