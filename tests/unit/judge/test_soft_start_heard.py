"""A soft start whose first turns were not heard carries the doubt of how it began: near its limit it is unknown."""

import numpy as np
import pytest
import soundfile

from steadyhead import job
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import LEVEL_S
from steadyhead.judge.soft_start_heard import soft_start_heard
from steadyhead.trace.heard_start import Foot, from_rest, rise_drawn
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.heard_rotor import machine_of
from tests.naive.rotor_sound import ROTORS, at_ratio, coloured, machine_sound

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
    foot = from_rest(time_s, heard)
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


def drawn(claimed_from_s: float, path_rpm, time_s):
    claimed = np.where(time_s >= claimed_from_s, path_rpm, np.nan)
    return rise_drawn(time_s, claimed, path_rpm)


def test_a_rise_is_followed_down_below_what_is_claimed() -> None:
    time_s = np.arange(0.0, 30.0, HOP_S)
    truth = RPM * gentle((time_s - REST_S) / 15.0)
    path = np.where(truth > 0.2 * RPM, truth, np.nan)
    path[:20] = 2.0 * RPM  # what was there before is none of it
    speed, foot = drawn(12.0, path, time_s)
    assert foot is not None, "claimed above half of the speed only, followed down to a fifth"
    assert foot.heard_s == pytest.approx(time_s[np.flatnonzero(truth > 0.2 * RPM)[0]], abs=HOP_S)
    assert np.nanmin(speed) < 0.21 * RPM
    assert np.isnan(speed[:20]).all()


@pytest.mark.parametrize("falls_per_s", [0.0, 0.2])
def test_a_head_that_turned_before_the_rise_did_not_start_from_rest(falls_per_s) -> None:
    time_s = np.arange(0.0, 30.0, HOP_S)
    low, knee_s = 0.25, 8.0
    before = low * (1.0 + falls_per_s * (knee_s - time_s))
    path = RPM * np.where(time_s < knee_s, before, np.minimum(1.0, low + (time_s - knee_s) / 15.0))
    assert drawn(knee_s + 2.0, path, time_s)[1] is None


def test_a_rise_whose_low_part_was_not_heard_may_have_begun_from_an_idle_speed() -> None:
    time_s = np.arange(0.0, 30.0, HOP_S)
    truth = RPM * np.clip((time_s - REST_S) / 15.0, 0.0, 1.0)
    assert drawn(12.0, np.where(truth > 0.4 * RPM, truth, np.nan), time_s)[1] is None
    assert drawn(9.0, np.where(truth > 0.4 * RPM, truth, np.nan), time_s)[1] is not None, "claimed from below half"


@pytest.fixture(scope="module")
def faint_start(tmp_path_factory):
    """A soft start of 15 s whose lines are too few and faint to be claimed below half of the speed, blades off."""
    rotor, time_s = ROTORS[3], np.arange(0.0, 23.0, 0.01)
    head = rotor.top_rpm * 0.72 * np.clip((time_s - 3.0) / 15.0, 0.0, 1.0)
    sound = machine_sound(rotor, head, 22050, blades_on=False, seed=9107)
    sound = at_ratio(sound, coloured(sound.size, 22050, 9207, slope=1.0), 10.0)
    path = tmp_path_factory.mktemp("start") / "start.wav"
    soundfile.write(path, sound / (1.05 * np.max(np.abs(sound))), 22050)
    return job.listen(machine_of(rotor), path)


def test_a_soft_start_that_is_followed_from_low_speed_is_judged(faint_start) -> None:
    found = verdict_of(faint_start)
    low, high = found.figure_interval
    assert low < 15.0 < high
    assert found.verdict is Outcome.PASS
    first = next(k for k, rpm in enumerate(faint_start.head_speed_rpm) if rpm is not None)
    assert faint_start.head_speed_rpm[first] > 0.5 * 0.72 * ROTORS[3].top_rpm, "no claim is made for the low part"


@pytest.mark.parametrize("rise_s", [6.0, 12.0])
def test_a_start_that_pauses_below_every_flight_mode_neither_passes_nor_fails(rise_s) -> None:
    """Up to 900 rpm, 6 s there, and on to the set speed: the pause was taken for the set speed."""
    ends_s = np.cumsum([REST_S, rise_s, 6.0, 6.0, 12.0])
    time_s = np.arange(0.0, ends_s[-1], HOP_S)
    speed = np.interp(time_s, [0.0, *ends_s], [0.0, 0.0, 900.0, 900.0, RPM, RPM])
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)
    judged = judge(MACHINE, trace, level_s=LEVEL_S)
    assert verdict_of(judged).verdict is not Outcome.UNKNOWN, "so this test tries something"
    found = verdict_of(soft_start_heard(judged, MACHINE, None))
    assert found.verdict is Outcome.UNKNOWN
    assert "pause" in found.reason


def test_a_start_into_the_slowest_flight_mode_and_on_to_the_next_is_no_pause() -> None:
    low_rpm = min(mode.head_speed.number for mode in MACHINE.flight_mode)
    time_s = np.arange(0.0, 40.0, HOP_S)
    speed = np.interp(time_s, [0.0, REST_S, 14.0, 22.0, 26.0, 40.0], [0.0, 0.0, low_rpm, low_rpm, RPM, RPM])
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)
    judged = judge(MACHINE, trace, level_s=LEVEL_S)
    assert verdict_of(soft_start_heard(judged, MACHINE, None)).verdict is Outcome.PASS
