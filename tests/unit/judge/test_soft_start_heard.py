"""A soft start whose first turns were not heard carries the doubt of how it began: near its limit it is unknown."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.soft_start_heard import soft_start_heard
from steadyhead.trace.heard import Foot, _from_rest
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.heard_rotor import machine_of
from tests.naive.rotor_sound import ROTORS

MACHINE = machine_of(ROTORS[0])
RPM, REST_S, HOP_S = 1900.0, 2.0, 0.025


def gentle(share):
    """Speed over its end value of a ramp that begins and ends at half its mean rate. Shapes: (n,) -> (n,)."""
    u = np.clip(share, 0.0, 1.0)
    return 0.5 * u + 0.5 * u * u * (3.0 - 2.0 * u)


def heard_start(takes_s: float, heard_from_rpm: float, shape=gentle):
    """Judge an invented soft start as its recording would show it: not heard at first, the foot drawn."""
    time_s = np.arange(0.0, REST_S + takes_s + 12.0, HOP_S)
    speed = RPM * shape((time_s - REST_S) / takes_s)
    heard = np.where(speed >= heard_from_rpm, speed, np.nan)
    foot = _from_rest(time_s, heard)
    drawn = np.maximum(0.0, foot.rate_rpm_s * (time_s - foot.start_s))
    speed = np.where(np.isnan(heard), drawn, heard)
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)
    return judge(MACHINE, trace), foot


def verdict_of(judged):
    return next(check for check in judged.checks if check.check == "soft_start_time")


@pytest.mark.parametrize("takes_s", [10.6, 26.5])
def test_a_gentle_ramp_near_its_limit_is_unknown_and_its_interval_holds_the_truth(takes_s) -> None:
    judged, foot = heard_start(takes_s, 700.0)
    before = verdict_of(judged)
    assert before.verdict is not Outcome.UNKNOWN, "the straight line told the wrong side"
    found = verdict_of(soft_start_heard(judged, MACHINE, foot))
    assert found.verdict is Outcome.UNKNOWN
    low, high = found.figure_interval
    assert low < takes_s < high
    assert "not heard but drawn" in found.reason
    assert found.needs


def test_a_soft_start_well_inside_its_limits_still_passes() -> None:
    judged, foot = heard_start(16.0, 400.0)
    assert verdict_of(soft_start_heard(judged, MACHINE, foot)).verdict is Outcome.PASS


def test_a_soft_start_far_too_quick_still_fails() -> None:
    judged, foot = heard_start(4.0, 500.0)
    assert verdict_of(soft_start_heard(judged, MACHINE, foot)).verdict is Outcome.FAIL


def test_a_start_that_was_heard_from_its_first_turn_has_no_such_doubt() -> None:
    judged, _ = heard_start(12.0, 400.0)
    alone = verdict_of(soft_start_heard(judged, MACHINE, None))
    late = verdict_of(soft_start_heard(judged, MACHINE, Foot(60.0, 65.0, 100.0)))
    assert alone.verdict is late.verdict is Outcome.PASS
    assert alone.figure_interval == late.figure_interval


def test_a_long_soft_start_heard_to_rise_without_a_pause_fails_and_its_interval_holds_the_truth() -> None:
    judged, foot = heard_start(31.0, 300.0, lambda share: np.clip(share, 0.0, 1.0))
    assert verdict_of(judged).verdict is Outcome.UNKNOWN, "a log may hide a slow change of set speed"
    found = verdict_of(soft_start_heard(judged, MACHINE, foot))
    assert found.verdict is Outcome.FAIL
    low, high = found.figure_interval
    assert low < 31.0 < high


def test_a_rise_with_a_pause_may_hold_a_change_of_set_speed_and_stays_unknown() -> None:
    def paused(share):
        return np.interp(share, (0.0, 0.45, 0.6, 1.0), (0.0, 0.6, 0.6, 1.0), left=0.0)

    judged, foot = heard_start(34.0, 300.0, paused)
    found = verdict_of(soft_start_heard(judged, MACHINE, foot))
    assert found.verdict is not Outcome.FAIL
