"""What a recording says of held speeds: a step is another set speed, a fall and scattered frames are none."""

import numpy as np
import pytest

from steadyhead.judge.as_heard import as_heard
from steadyhead.judge.held_heard import held_speeds
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import LEVEL_S, listen
from steadyhead.judge.result import Segment
from steadyhead.judge.speed_heard import SpeedDoubt
from steadyhead.trace.heard_drive import OF_BLADES, OF_MOTOR, motor_silent
from steadyhead.trace.sound_lines import FAMILIES
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import ROTORS, Made, at_ratio, coloured, machine_sound

MACHINE = machine_of(ROTORS[0])
HOP_S = 0.025


def times(seconds: float):
    return np.arange(0.0, seconds, HOP_S)


def steps(levels_rpm, each_s: float, tau_s: float = 0.25, seed: int = 1):
    """A head that follows its set speed with a time constant, and trembles by 0.03 %."""
    time_s = times(each_s * len(levels_rpm))
    asked = np.array(levels_rpm)[np.minimum((time_s / each_s).astype(int), len(levels_rpm) - 1)]
    speed = np.empty(time_s.size)
    speed[0] = asked[0]
    for k in range(1, time_s.size):
        speed[k] = speed[k - 1] + (asked[k] - speed[k - 1]) * HOP_S / tau_s
    return time_s, speed * (1.0 + 3e-4 * np.random.default_rng(seed).standard_normal(time_s.size))


def judged(time_s, speed_rpm, **more):
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed_rpm}, rows_read=time_s.size)
    return judge(MACHINE, trace, **more)


def held(judgement):
    speed = np.asarray(judgement.trace.get("head_speed_rpm"))
    return held_speeds(judgement.segments, judgement.trace.time_s, speed, MACHINE.flight_mode)


def check_of(judgement, name: str):
    return next(check for check in judgement.checks if check.check == name)


@pytest.mark.parametrize("levels", [(1750.0, 1900.0, 2100.0), (2100.0, 1900.0, 1750.0), (1750.0, 2080.0)])
@pytest.mark.parametrize("each_s", [3.0, 4.0])
def test_steps_between_modes_are_set_speeds_of_their_own_and_no_overspeed(levels, each_s):
    found = judged(*steps(levels, each_s), level_s=LEVEL_S)
    speeds = held(found)
    assert [speed.head_speed_rpm for speed in speeds] == pytest.approx(levels, rel=0.002)
    answer = as_heard(found, SpeedDoubt(frame_share=0.001), held_rpm=max(levels))
    assert check_of(answer, "overspeed").verdict is Outcome.UNKNOWN
    assert answer.verdict is not Outcome.PASS


def test_a_head_that_leaves_its_level_and_stays_away_did_not_overspeed():
    time_s, speed = steps((1750.0,) * 6 + (2080.0,), 1.2)
    found = judged(time_s, speed, level_s=LEVEL_S)
    assert check_of(found, "overspeed").verdict is Outcome.FAIL
    answer = check_of(as_heard(found, SpeedDoubt(frame_share=0.001), held_rpm=1750.0), "overspeed")
    assert answer.verdict is Outcome.UNKNOWN
    assert "may be another flight mode" in answer.reason


def test_a_short_overspeed_still_fails():
    time_s, speed = steps((1900.0,), 14.0)
    speed = speed * (1.0 + 0.09 * np.exp(-0.5 * ((time_s - 8.0) / 0.2) ** 2))
    found = judged(time_s, speed, level_s=LEVEL_S)
    assert check_of(found, "overspeed").verdict is Outcome.FAIL
    answer = as_heard(found, SpeedDoubt(frame_share=0.001), held_rpm=1900.0)
    assert check_of(answer, "overspeed").verdict is Outcome.FAIL


def test_an_overspeed_whose_way_up_was_not_heard_is_unknown():
    time_s, speed = steps((1900.0,), 14.0)
    inside = abs(time_s - 8.0) < 0.15
    near = (abs(time_s - 8.0) < 0.45) & ~inside
    slipped = np.where(near, np.nan, np.where(inside, 1900.0 * 1.08, speed))
    found = judged(time_s, slipped, level_s=LEVEL_S)
    assert check_of(found, "overspeed").verdict is Outcome.FAIL
    answer = check_of(as_heard(found, SpeedDoubt(frame_share=0.001), held_rpm=1900.0), "overspeed")
    assert answer.verdict is Outcome.UNKNOWN
    assert "was not heard" in answer.reason


def test_a_head_that_hunts_by_percents_all_the_time_runs_governed_and_its_hunting_is_told():
    time_s = times(14.0)
    found = judged(time_s, 2100.0 * (1.0 + 0.04 * np.sin(2.0 * np.pi * 3.0 * time_s)), level_s=LEVEL_S)
    assert [segment.kind for segment in found.segments] == ["governed"]
    hunting = check_of(found, "no_hunting")
    assert found.segments[0].hunting_percent == pytest.approx(4.0, rel=0.1)
    assert hunting.verdict is not Outcome.PASS
    assert "3.0 Hz, regular" in hunting.reason


def test_hunting_of_a_bare_drive_fails_without_blades_no_stick_moves_it():
    time_s = times(14.0)
    swings = 2100.0 * (1.0 + 0.025 * np.sin(2.0 * np.pi * 3.0 * time_s))
    assert check_of(judged(time_s, swings, level_s=LEVEL_S), "no_hunting").verdict is Outcome.UNKNOWN
    bare = check_of(judged(time_s, swings, level_s=LEVEL_S, bare_heard=True), "no_hunting")
    assert bare.verdict is Outcome.FAIL
    assert "no blades were heard" in bare.reason


SEGMENT = (Segment(kind="governed", start_s=0.0, end_s=12.0, set_rpm=2000.0),)


def test_scattered_frames_are_no_held_speed_and_a_well_heard_piece_is():
    time_s = times(12.0)
    scattered = np.where(np.random.default_rng(3).random(time_s.size) < 0.3, 2000.0, np.nan)
    assert held_speeds(SEGMENT, time_s, scattered, ()) == ()
    piece = np.where((time_s > 6.0) & (time_s < 9.5), 2000.0, np.nan)
    (speed,) = held_speeds(SEGMENT, time_s, piece, ())
    assert (speed.start_s, speed.end_s) == pytest.approx((6.0, 9.5), abs=0.05)
    most = np.where(np.random.default_rng(3).random(time_s.size) < 0.7, 2000.0, np.nan)
    (speed,) = held_speeds(SEGMENT, time_s, most, ())
    assert (speed.start_s, speed.end_s) == pytest.approx((1.5, 11.5), abs=0.2)


def test_a_single_speed_is_the_flight_mode_that_is_clearly_nearest():
    modes = MACHINE.flight_mode
    low, middle, _ = (mode.head_speed.number for mode in modes)

    def mode_of(rpm: float) -> str | None:
        segment = Segment(kind="governed", start_s=0.0, end_s=12.0, set_rpm=rpm)
        (one,) = held_speeds((segment,), times(12.0), np.full(times(12.0).size, rpm), modes)
        return one.mode

    assert mode_of(middle * 0.9998) == "two"
    assert mode_of(middle * 1.02) == "two"
    assert mode_of(0.5 * (low + middle)) is None
    assert mode_of(low * 0.86) is None, "no nearer to it than to the others by much"


def test_a_head_that_falls_is_not_held():
    time_s = times(12.0)
    assert held_speeds(SEGMENT, time_s, 2060.0 - 10.0 * time_s, ()) == ()
    assert len(held_speeds(SEGMENT, time_s, 2006.0 - time_s, ())) == 1


def test_no_verdict_is_left_where_no_speed_was_held():
    found = judged(*steps((1900.0,), 10.0), level_s=LEVEL_S)
    answer = as_heard(found, SpeedDoubt(frame_share=0.001), held_rpm=None)
    assert {check.verdict for check in answer.checks} == {Outcome.UNKNOWN}
    assert any(check.verdict is not Outcome.UNKNOWN for check in found.checks), "or nothing is shown"


def evidence(motor, blades):
    out = np.zeros((len(motor), len(FAMILIES)))
    out[:, OF_MOTOR[1]], out[:, OF_BLADES[0]] = motor, blades
    return out


def test_a_motor_that_falls_silent_under_blades_may_be_off_and_one_never_heard_tells_nothing():
    time_s = times(10.0)
    all_heard, runs = np.ones(time_s.size, bool), 1.0 * (time_s < 5.0)
    silent = motor_silent(evidence(runs, np.ones(time_s.size)), all_heard)
    assert silent[time_s > 5.5].all()
    assert not silent[time_s < 5.0].any()
    assert not motor_silent(evidence(0.0 * runs, np.ones(time_s.size)), all_heard).any()
    assert not motor_silent(evidence(runs, np.zeros(time_s.size)), all_heard).any()


def test_an_autorotation_in_a_recording_is_not_held(tmp_path):
    """The motor sounds for 7 s; then the blades alone, on a head that falls to a speed near another mode's."""
    rotor, rate_hz, time_s = ROTORS[0], 22050, np.arange(0.0, 16.0, 0.01)
    falls = 2250.0 - 300.0 * (1.0 - np.exp(-np.maximum(0.0, time_s - 7.0) / 1.2))
    whole = machine_sound(rotor, falls, rate_hz, blades_on=True, seed=3)
    bare = machine_sound(rotor, falls, rate_hz, blades_on=False, seed=3)
    at_s = np.arange(whole.size) / rate_hz
    blades = whole - (at_s > 7.0) * bare * (whole @ bare) / (bare @ bare)
    sound = at_ratio(blades, coloured(whole.size, rate_hz, 4, slope=1.0), 20.0)
    given = Made(sound=sound / np.abs(sound).max(), rate_hz=rate_hz, time_s=time_s, head_rpm=falls, rotor=rotor)
    heard = listen(MACHINE, written(given, tmp_path / "auto.wav"))
    assert heard.set_speeds
    assert all(speed.end_s < 8.0 for speed in heard.set_speeds), heard.set_speeds
