"""A speed to which a hot controller cut back for a while is not taken for the set speed without a word."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Verdict
from tests.property.test_judge_any_trace import MACHINE

HEALTHY, CUT = 2000.0, 1880.0


def flown(*, cut_first: bool, cut_duty: float = 0.68) -> dict[str, Verdict]:
    """Invented flight at one channel position: 60 s with the duty held at `cut_duty`, 35 s governed as set.

    A climb of 2 s every 15 s: 3 % is lost while the duty is held, 0.4 % else.
    """
    t = np.arange(0.0, 127.0, 0.05)
    turns = [80.0, 82.0] if cut_first else [57.0, 59.0]
    levels = [CUT, HEALTHY] if cut_first else [HEALTHY, CUT]
    speed = np.interp(t, [5.0, 20.0, *turns, 117.0, 124.0], [0.0, levels[0], *levels, levels[1], 0.0])
    is_cut = (t < turns[0]) if cut_first else (t > turns[1])
    climbs = (t > 26.0) & (t < 112.0) & (t % 15.0 < 2.0)
    duty = np.where(is_cut & (t > 20.0), cut_duty, 0.72 * speed / HEALTHY + 0.03 * climbs)
    channels = {
        "throttle_percent": np.where((t > 4.7) & (t < 117.0), 70.0, 0.0),
        "head_speed_rpm": speed * (1.0 - np.where(is_cut, 0.03, 0.004) * climbs)
        + np.random.default_rng(1).normal(0.0, 1.5, t.size) * (speed > 10.0),
        "duty": np.where(t > 117.0, 0.0, duty),
        "height_m": np.interp(t, [22.0, 25.0, 114.0, 117.0], [0.0, 20.0, 20.0, 0.0]),
        "collective_deg": np.where((t > 22.0) & (t < 117.0), 3.0 + 5.0 * climbs, 0.0),
    }
    found = judge(MACHINE, Trace(source="invented", time_s=t, channels=channels, rows_read=t.size))
    return {check.check: check for check in found.checks}


def test_the_healthy_speed_after_it_is_no_sure_overspeed() -> None:
    found = flown(cut_first=True)["overspeed"]
    assert found.verdict == "unknown", found.reason
    assert "cut back" in found.reason


@pytest.mark.parametrize("cut_first", [True, False])
def test_a_droop_from_it_does_not_pass(cut_first: bool) -> None:
    found = flown(cut_first=cut_first)
    assert found["climb_droop"].verdict == "unknown", found["climb_droop"].reason
    assert found["steady_band"].verdict != "pass"


def test_a_head_that_runs_ahead_of_its_motor_for_long_is_still_an_overspeed() -> None:
    """The faster stretch takes less duty than the usual one: it was not driven there."""
    assert flown(cut_first=True, cut_duty=0.76)["overspeed"].verdict == "fail"
