"""Lines that are counted as blade-pass but show no blades are said to be so."""

import numpy as np
import pytest

from steadyhead.judge.listening import _no_blades
from steadyhead.trace.heard import Heard
from steadyhead.trace.sound_lines import FAMILIES
from steadyhead.trace.sound_tracker import Frames


@pytest.mark.parametrize(("only_blades", "told"), [(0.0, True), (5.0, False)])
def test_lines_that_gears_explain_are_said_to_show_no_blades(only_blades, told) -> None:
    n = 200
    frames = Frames(
        time_s=0.025 * np.arange(n), head_speed_rpm=np.full(n, 1500.0), confidence=np.ones(n), doubt_rpm=np.ones(n),
        heard=np.ones((n, len(FAMILIES))), blades=np.full((n, 2), only_blades), source=np.zeros(n, int),
        rival_times=np.zeros(n),
    )  # fmt: skip
    sound = Heard(
        name="made", duration_s=5.0, rate_hz=22050, frames=frames, warnings=(), evidence=np.zeros((1, 1), np.float32),
        speeds_rpm=np.zeros(1), channels=(0,),
    )  # fmt: skip
    said = _no_blades(sound)
    assert bool(said) == told
    assert not told or "tail blade-pass (100 %)" in said[0]
