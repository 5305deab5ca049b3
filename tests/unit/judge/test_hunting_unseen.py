"""A head that hunts quicker than rows or sensor show takes the pass of its band back, where the duty tells of it."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE

SET = 2000.0


def hovered(row_s: float, duty_swing: float, *, each_s: float = 6.0, hertz: float = 3.9) -> Judgement:
    """Invented flight: soft start to 2000 rpm, a still hover to 60 s whose pitch takes a new level each `each_s`.

    The duty swings by `duty_swing` of itself, the head by half a percent, as a slow sensor shows a larger swing.
    """
    t = np.arange(0.0, 70.0, row_s)
    swing = np.sin(2.0 * np.pi * hertz * t) * (duty_swing > 0.0)
    runs = np.interp(t, [4.3, 18.0, 65.0, 68.0], [0.0, SET, SET, 0.0])
    pitch = np.where(np.floor(t / each_s) % 2 > 0.0, 6.6, 4.2) * (t > 20.0)
    channels = {
        "throttle_percent": np.where((t > 4.0) & (t < 65.0), 70.0, 0.0),
        "head_speed_rpm": runs * (1.0 + 0.005 * swing * (t > 20.0)) + np.random.default_rng(2).normal(0.0, 1.5, t.size),
        "duty": 0.7 * runs / SET * (1.0 + duty_swing * swing),
        "collective_deg": pitch,
        "height_m": np.interp(t, [20.0, 22.0, 60.0, 64.0], [0.0, 5.0, 5.0, 0.0]),
    }
    columns = tuple(ColumnRead(channel=name, heading=name, confidence="named") for name in channels)
    return judge(MACHINE, Trace(source="invented", time_s=t, channels=channels, rows_read=t.size, columns=columns))


def named(found: Judgement, name: str) -> Verdict:
    return next(check for check in found.checks if check.check == name)


@pytest.mark.parametrize("each_s", [6.0, 60.0])
def test_a_duty_that_swings_in_rows_too_slow_for_it_takes_the_band_back(each_s: float) -> None:
    found = hovered(0.5, 0.2, each_s=each_s)
    assert named(found, "no_hunting").verdict == "unknown"
    assert "duty" in named(found, "no_hunting").reason
    assert named(found, "steady_band").verdict == "unknown", named(found, "steady_band").reason


@pytest.mark.parametrize("each_s", [6.0, 60.0])
def test_a_steady_duty_in_slow_rows_leaves_the_band_its_pass(each_s: float) -> None:
    assert named(hovered(0.5, 0.0, each_s=each_s), "steady_band").verdict == "pass"


def test_rows_too_few_for_a_line_are_said_so() -> None:
    why = named(hovered(0.5, 0.0), "no_hunting").reason
    assert "rows 0.5 s apart are too few" in why
