"""A speed far above flight modes and limit needs main blades to be told as heard."""

from types import SimpleNamespace

import numpy as np
import pytest

from steadyhead.judge.beyond_reach import within_reach
from steadyhead.judge.sound_of import reach_rpm_of
from steadyhead.trace.heard import Heard
from steadyhead.trace.sound_lines import FAMILIES
from steadyhead.trace.sound_tracker import Frames
from tests.heard_rotor import machine_of
from tests.naive.rotor_sound import ROTORS

MACHINE = machine_of(ROTORS[0])


def heard(rpm: float, main: float) -> Heard:
    n = 200
    frames = Frames(
        time_s=0.025 * np.arange(n), head_speed_rpm=np.full(n, rpm), confidence=np.ones(n), doubt_rpm=np.ones(n),
        heard=np.ones((n, len(FAMILIES))), blades=np.tile((main, 5.0), (n, 1)), source=np.zeros(n, int),
        rival_times=np.zeros(n),
    )  # fmt: skip
    return Heard(
        name="made", duration_s=5.0, rate_hz=22050, frames=frames, warnings=(), evidence=np.zeros((1, 1), np.float32),
        speeds_rpm=np.zeros(1), channels=(0,),
    )  # fmt: skip


@pytest.mark.parametrize(("times", "main", "told"), [(2.0, 0.0, False), (2.0, 5.0, True), (0.9, 0.0, True)])
def test_a_speed_beyond_the_reach_of_the_file_is_told_only_with_main_blades(times, main, told) -> None:
    found = within_reach(heard(times * reach_rpm_of(MACHINE), main), MACHINE)
    assert found.claimed.all() == told
    assert bool(found.warnings) != told


def test_a_file_without_modes_and_limit_takes_nothing_back() -> None:
    bare = SimpleNamespace(flight_mode=(), limit=lambda _: None)
    assert within_reach(heard(9000.0, 0.0), bare).claimed.all()
