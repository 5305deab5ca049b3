"""How high is listened for: a Kv or a cell count that is too low must not turn a head speed into its half."""

import numpy as np
import pytest

from steadyhead.judge.half_heard import reach_told, twice_open
from steadyhead.judge.held_heard import SpeedHeard
from steadyhead.judge.sound_of import no_load_rpm_of, top_rpm_of
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.sound_tracker import CLAIMED_FROM, Frames, Tracker
from tests.given_machine import machine_text
from tests.heard_rotor import lines_of_rotor
from tests.naive.rotor_sound import ROTORS, at_ratio, coloured, machine_sound
from tests.property.test_judge_any_trace import GIVEN


def of(more: str, **given):
    return machine_from_text(machine_text({**GIVEN, **given}) + more, "made.toml")


def mode(rpm: float) -> str:
    return f'\n[[flight_mode]]\nname = "one"\nhead_speed = "{rpm} rpm"\n'


def held(rpm: float) -> SpeedHeard:
    return SpeedHeard(
        start_s=1.0, end_s=9.0, head_speed_rpm=rpm, head_speed_rpm_interval=(rpm - 2.0, rpm + 2.0), mode=None,
        channel_percent=None,
    )  # fmt: skip


def test_what_is_listened_for_reaches_over_modes_limit_and_every_pack() -> None:
    assert top_rpm_of(of(mode(2900.0), cells_in_series=4, head_speed_limit_rpm=1000.0)) >= 1.2 * 2900.0
    assert top_rpm_of(of("", cells_in_series=4, head_speed_limit_rpm=3300.0)) >= 1.1 * 3300.0
    other = '\n[[pack_choice]]\nname = "big"\ncells = 12\ncapacity = "3300 mAh"\n'
    assert top_rpm_of(of(other, cells_in_series=4, head_speed_limit_rpm=1000.0)) >= 560.0 * 4.2 * 12.0 / 9.0


@pytest.mark.parametrize("blades_on", [True, False])
def test_half_of_a_speed_above_all_that_is_listened_for_is_not_claimed(blades_on) -> None:
    rotor, rate_hz, rpm = ROTORS[0], 16000, 2300.0
    sound = machine_sound(rotor, np.full(400, rpm), rate_hz, blades_on=blades_on, seed=51)
    sound = at_ratio(sound, coloured(sound.size, rate_hz, 52, slope=1.0), 15.0)
    tracker = Tracker(lines_of_rotor(rotor), rate_hz, 0.7 * rpm)
    frames = Frames.joined([tracker.push(sound.astype(np.float32)), tracker.finish()])
    assert np.isfinite(frames.head_speed_rpm).any(), "half of it is followed"
    assert (frames.confidence >= CLAIMED_FROM).mean() < 0.05


def test_kv_and_cells_that_do_not_reach_what_is_heard_or_asked_for_are_told() -> None:
    machine = of(mode(2300.0))
    reach = no_load_rpm_of(machine)
    assert reach_told(machine, (held(0.9 * reach),)) == ()
    assert "the ear hears" in reach_told(machine, (held(1.1 * reach),))[0]
    assert "a flight mode asks for 2300 rpm" in reach_told(of(mode(2300.0), cells_in_series=6), (held(1000.0),))[0]


def test_twice_is_open_where_a_flight_mode_says_so_and_without_poles() -> None:
    machine = of(mode(2400.0))
    assert twice_open(machine, (held(2400.0), held(1210.0)))
    assert not twice_open(machine, (held(2400.0), held(4790.0)))
    bare = machine_from_text((machine_text(GIVEN) + mode(2400.0)).replace("poles = 10\n", ""), "made.toml")
    assert twice_open(bare, (held(2400.0),))
