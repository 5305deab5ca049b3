"""A rotor that was heard and taken back is told with why, and with what would settle it."""

import numpy as np
import pytest
import soundfile

from steadyhead import job
from steadyhead.judge.taken_back_told import taken_back_told
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.heard_rival import TakenBack
from tests.given_machine import machine_text
from tests.naive.rotor_sound import ROTORS, at_ratio, coloured, machine_sound
from tests.property.test_judge_any_trace import GIVEN

ASKED_RPM = 1200.0


def machine(asked_rpm: float = ASKED_RPM):
    """The machine of ROTORS[0], whose Kv, cells and limit reach no higher than its flight mode."""
    mode = f'\n[[flight_mode]]\nname = "one"\nhead_speed = "{asked_rpm} rpm"\n'
    gears = {"gear_stages_teeth": [[12, 108]], "tail_ratio": 4.6}
    given = {**GIVEN, **gears, "cells_in_series": 4, "head_speed_limit_rpm": 1300.0}
    return machine_from_text(machine_text(given) + mode, "made.toml")


@pytest.mark.parametrize("blades_on", [True, False])
def test_a_speed_taken_back_for_its_double_is_told_with_what_settles_it(tmp_path, blades_on) -> None:
    rotor, rate_hz, path = ROTORS[0], 16000, tmp_path / "twice.wav"
    sound = machine_sound(rotor, np.full(600, 2.0 * ASKED_RPM), rate_hz, blades_on=blades_on, seed=51)
    sound = at_ratio(sound, coloured(sound.size, rate_hz, 52, slope=1.0), 15.0)
    soundfile.write(path, sound / (1.05 * np.max(np.abs(sound))), rate_hz)
    heard = job.listen(machine(), path)
    assert not heard.heard
    said = heard.warnings[0]
    for words in (
        "taken back",
        "twice that speed, 24",
        "flight mode one (1200 rpm)",
        "teeth",
        "--in-place",
        "the head",
    ):
        assert words in said, said


def test_which_of_the_two_is_near_a_flight_mode_is_said() -> None:
    modes = machine().flight_mode
    assert "1210 rpm would be flight mode one (1200 rpm), 2420 rpm twice it" in taken_back_told(
        TakenBack(1210.0, 2.0, 3.0), modes
    )
    assert "1210 rpm would be flight mode one (1200 rpm), 605 rpm half of it" in taken_back_told(
        TakenBack(605.0, 2.0, 3.0), modes
    )
    assert "two thirds of that speed, 1200 rpm" in taken_back_told(TakenBack(1800.0, 2.0 / 3.0, 3.0), modes)
    assert "neither is near a flight mode" in taken_back_told(TakenBack(3000.0, 2.0, 3.0), modes)
    assert "flight mode" not in taken_back_told(TakenBack(3000.0, 2.0, 3.0), ())
    assert taken_back_told(None, modes) == ""
