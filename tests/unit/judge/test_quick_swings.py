"""A window of sound smooths a quick swing, and a quick swing hides frames: neither is a proof that no head hunts."""

import numpy as np
import pytest

from steadyhead.judge.as_heard import as_heard
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import LEVEL_S
from steadyhead.judge.quick_swings import HEARD_OVER_S, shown_share
from steadyhead.judge.speed_heard import SpeedDoubt
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.property.test_judge_any_trace import GIVEN

HEAD_RPM = 1500.0


def answer_of(percent: float, hertz: float, *, lost: float = 0.0, noise: float = 0.02, drive_heard: bool = True):
    """Return how a head that swings is judged, as windows of 0.12 s hear it; some frames are lost by chance."""
    draw = np.random.default_rng(7)
    fine_s = np.arange(-0.1, 16.1, 0.001)
    weights = np.hanning(120)
    swung = np.convolve(percent * np.sin(2 * np.pi * hertz * fine_s), weights / weights.sum(), mode="same")
    time_s = np.arange(0.0, 16.0, 0.025)
    speed = HEAD_RPM * (1.0 + 0.01 * (np.interp(time_s, fine_s, swung) + noise * draw.normal(size=time_s.size)))
    speed[draw.random(time_s.size) < lost] = np.nan
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)
    machine = machine_from_text(machine_text(GIVEN), "made.toml")
    judged = judge(machine, trace, blades_heard=True, level_s=LEVEL_S)
    return judged, as_heard(judged, SpeedDoubt(frame_share=0.001), held_rpm=HEAD_RPM, drive_heard=drive_heard)


def hunting_heard(percent: float, hertz: float, **given):
    """Return the check of a head that swings."""
    return next(check for check in answer_of(percent, hertz, **given)[1].checks if check.check == "no_hunting")


@pytest.mark.parametrize("hertz", [1.0, 4.0, 8.0, 11.0, 14.0])
def test_the_share_that_is_shown_is_that_of_a_window_laid_over_a_swing(hertz) -> None:
    time_s = np.linspace(-0.5 * HEARD_OVER_S, 0.5 * HEARD_OVER_S, 2001)
    weights = np.hanning(time_s.size)
    shown = abs(float((weights * np.cos(2 * np.pi * hertz * time_s)).sum() / weights.sum()))
    assert float(shown_share(hertz)) == pytest.approx(shown, rel=0.01)
    assert float(shown_share(1.0 / HEARD_OVER_S)) == pytest.approx(0.5)


@pytest.mark.parametrize(("percent", "hertz"), [(2.0, 12.0), (2.0, 14.0), (1.2, 14.0)])
@pytest.mark.parametrize("lost", [0.0, 0.4])
def test_a_quick_swing_that_a_window_smooths_away_never_passes(percent, hertz, lost) -> None:
    assert hunting_heard(percent, hertz, lost=lost).verdict is not Outcome.PASS


def test_a_head_that_does_not_swing_passes_unless_many_frames_are_lost() -> None:
    assert hunting_heard(0.0, 1.0).verdict is Outcome.PASS
    assert hunting_heard(0.3, 2.0).verdict is Outcome.PASS
    assert hunting_heard(0.0, 1.0, lost=0.03).verdict is Outcome.PASS, "single frames take nothing away"
    lost = hunting_heard(0.0, 1.0, lost=0.5)
    assert lost.verdict is Outcome.UNKNOWN
    assert "do not show in this recording" in lost.reason


def test_a_reason_tells_the_interval_that_stands_beside_it() -> None:
    found = hunting_heard(1.8, 12.0)
    assert found.figure_interval is not None
    low, high = found.figure_interval
    assert f"its doubt runs from {low:.4g} to {high:.4g}" in found.reason


@pytest.mark.parametrize(("percent", "hertz"), [(0.4, 4.0), (1.5, 8.0), (1.5, 11.0), (2.0, 14.0)])
def test_the_interval_of_a_swing_holds_what_the_window_smooths_away(percent, hertz) -> None:
    found = hunting_heard(percent, hertz)
    assert found.figure_interval is not None
    assert found.figure_interval[0] <= percent <= 1.02 * found.figure_interval[1]


def test_nothing_is_advised_where_the_ear_leaves_no_fail() -> None:
    judged, heard = answer_of(1.5, 6.0)
    assert judged.advice
    assert heard.advice == judged.advice
    judged, heard = answer_of(1.5, 6.0, drive_heard=False)
    assert judged.advice
    assert heard.advice == ()
