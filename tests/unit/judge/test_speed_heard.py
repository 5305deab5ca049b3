"""What a microphone leaves open of the head speed: a machine that flies, twice as much, a peak over the limit."""

import numpy as np
import pytest

from steadyhead.judge.as_heard import as_heard
from steadyhead.judge.held_heard import SpeedHeard, moved_speeds
from steadyhead.judge.judging import judge
from steadyhead.judge.listening import LEVEL_S, listen
from steadyhead.judge.speed_heard import SpeedDoubt, moves_m_s
from steadyhead.judge.unheard_speed import long_unheard, unheard
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.given_machine import machine_text
from tests.heard_rotor import machine_of, written
from tests.naive.rotor_sound import ROTORS, Made, Rotor, at_ratio, coloured, machine_sound
from tests.property.test_judge_any_trace import GIVEN

FAST_M_S = 25.0


def judged(rpm: float, limit_rpm: float):
    machine = machine_from_text(machine_text({**GIVEN, "head_speed_limit_rpm": limit_rpm}), "made.toml")
    time_s = np.arange(0.0, 12.0, 0.025)
    speed = np.full(time_s.size, rpm)
    trace = Trace(source="a.wav", time_s=time_s, channels={"head_speed_rpm": speed}, rows_read=time_s.size)
    return judge(machine, trace, blades_heard=True, level_s=LEVEL_S)


def check_of(answer, name: str = "head_speed_limit"):
    return next(check for check in answer.checks if check.check == name)


def heard_as(answer, **doubt):
    return as_heard(answer, SpeedDoubt(frame_share=0.001, **doubt), held_rpm=2000.0)


def test_a_machine_that_may_fly_away_passes_no_limit_within_the_shift_and_one_in_place_does() -> None:
    near = judged(2000.0, 2060.0)
    assert check_of(heard_as(near)).verdict is Outcome.PASS
    flown = check_of(heard_as(near, moves_m_s=FAST_M_S))
    assert flown.verdict is Outcome.UNKNOWN
    assert flown.figure_interval is not None
    assert flown.figure_interval[1] > 2000.0 * (1.0 + 24.0 / 331.0)
    assert any("--in-place" in need for need in flown.needs)
    assert check_of(heard_as(judged(2000.0, 2300.0), moves_m_s=FAST_M_S)).verdict is Outcome.PASS


def test_a_machine_that_may_come_fails_no_limit_within_the_shift() -> None:
    near = judged(2000.0, 1950.0)
    assert check_of(heard_as(near)).verdict is Outcome.FAIL
    assert check_of(heard_as(near, moves_m_s=FAST_M_S)).verdict is Outcome.UNKNOWN
    assert check_of(heard_as(judged(2000.0, 1700.0), moves_m_s=FAST_M_S)).verdict is Outcome.FAIL


def test_no_speed_limit_passes_while_twice_as_much_may_be_true() -> None:
    answer = heard_as(judged(2000.0, 2300.0), twice_open=True)
    assert {check_of(answer, name).verdict for name in ("head_speed_limit", "tip_speed")} == {Outcome.UNKNOWN}
    assert "twice" in check_of(answer).reason


def test_a_tip_speed_that_passes_at_the_set_speed_and_not_at_the_peak_says_so() -> None:
    answer = judged(2000.0, 3000.0)
    tip = check_of(answer, "tip_speed")
    assert tip.verdict is Outcome.PASS
    assert tip.limit is not None
    over = 2000.0 * tip.limit / tip.figure * 1.01
    found = check_of(heard_as(answer, highest_rpm=over), "tip_speed")
    assert found.verdict is Outcome.UNKNOWN
    assert f"at the highest speed heard, {over:.0f} rpm" in found.reason
    assert check_of(heard_as(answer, highest_rpm=2010.0), "tip_speed").verdict is Outcome.PASS


def test_only_blades_that_are_heard_may_fly_and_as_fast_as_the_machine_file_says() -> None:
    text = machine_text(GIVEN)
    machine = machine_from_text(text, "made.toml")
    assert moves_m_s(machine, blades_heard=True, in_place=False) == pytest.approx(25.0)
    slow = machine_from_text(text + 'forward_speed = "12 m/s"\n', "made.toml")
    assert moves_m_s(slow, blades_heard=True, in_place=False) == pytest.approx(12.0)
    assert moves_m_s(machine, blades_heard=True, in_place=True) == 0.0
    assert moves_m_s(machine, blades_heard=False, in_place=False) == 0.0


def test_held_speeds_carry_the_shift_and_lose_a_mode_that_is_not_the_only_one_within_it() -> None:
    modes = machine_of(ROTORS[0]).flight_mode
    one = SpeedHeard(
        start_s=1.0, end_s=9.0, head_speed_rpm=1870.0, head_speed_rpm_interval=(1868.0, 1872.0), mode="two",
        channel_percent=60.0,
    )  # fmt: skip
    (alone,) = moved_speeds((one,), 16.55, modes)
    assert alone.mode == "two"
    assert alone.head_speed_rpm_interval == pytest.approx((1868.0 * 0.95, 1872.0 / 0.95))
    (among,) = moved_speeds((one,), 66.2, modes)
    assert (among.mode, among.channel_percent) == (None, None)


def test_a_recording_of_a_machine_that_flies_away_holds_its_true_speed(tmp_path) -> None:
    rotor, rate_hz, true_rpm, away_m_s = ROTORS[0], 16000, 2100.0, 20.0
    head = np.full(500, true_rpm / (1.0 + away_m_s / 340.0))
    sound = machine_sound(rotor, head, rate_hz, blades_on=True, seed=41)
    sound = at_ratio(sound, coloured(sound.size, rate_hz, 42, slope=1.0), 15.0)
    given = Made(
        sound=sound / np.abs(sound).max(), rate_hz=rate_hz, time_s=0.01 * np.arange(500), head_rpm=head, rotor=rotor
    )
    path = written(given, tmp_path / "away.wav")
    (flown,) = listen(machine_of(rotor), path).set_speeds
    assert flown.head_speed_rpm_interval[0] < true_rpm < flown.head_speed_rpm_interval[1]
    (still,) = listen(machine_of(rotor), path, in_place=True).set_speeds
    assert still.head_speed_rpm_interval[1] < true_rpm


def test_nothing_is_judged_where_blades_alone_are_heard() -> None:
    answer = judged(2000.0, 2300.0)
    doubt = SpeedDoubt(frame_share=0.001)
    assert check_of(as_heard(answer, doubt, held_rpm=2000.0)).verdict is Outcome.PASS
    bare = as_heard(answer, doubt, held_rpm=2000.0, drive_heard=False)
    assert {check.verdict for check in bare.checks} == {Outcome.UNKNOWN}
    assert "gears or motor" in check_of(bare).reason


@pytest.mark.parametrize("seed", [12, 14, 57])
def test_an_engine_whose_half_orders_fit_the_tail_ratio_is_no_machine(tmp_path, seed) -> None:
    """A mower of one cylinder, its half orders and its blade, beside a file with a tail ratio of 4.5."""
    rotor, rate_hz, draw = Rotor(pole_pairs=3, tail_ratio=4.5, top_rpm=2650.0), 16000, np.random.default_rng(seed)
    at, turns = np.arange(8 * rate_hz) / rate_hz, draw.uniform(44.0, 56.0)
    phase = 2 * np.pi * np.cumsum(turns * (1.0 + 0.001 * np.sin(2 * np.pi * 0.4 * at))) / rate_hz
    sound = np.zeros(at.size)
    for half in range(1, 60):
        sound += half**-0.5 * draw.uniform(0.3, 1.3) * np.sin(0.5 * half * phase + 6 * draw.random())
    for multiple in range(1, 10):
        sound += 0.8 * multiple**-0.7 * np.sin(2 * multiple * phase)
    sound = at_ratio(sound, coloured(sound.size, rate_hz, seed + 900, slope=1.0), 8.0)
    given = Made(
        sound=sound / np.abs(sound).max(), rate_hz=rate_hz, time_s=np.arange(8.0), head_rpm=np.zeros(8), rotor=rotor
    )
    answer = listen(machine_of(rotor), written(given, tmp_path / "mower.wav"), in_place=True)
    assert answer.share_heard > 0.5, "its tones fit, so this test tries something"
    assert answer.set_speeds == ()
    assert {check.verdict for check in answer.checks} == {Outcome.UNKNOWN}


def holed(hole_s: float, answer):
    """Return what is not heard of a steady head between 5 s and some seconds more, and one frame at 9 s."""
    time_s = np.arange(0.0, 12.0, 0.025)
    claimed = ~((time_s > 5.0) & (time_s < 5.0 + hole_s)) & (np.abs(time_s - 9.0) > 0.01)
    return unheard(time_s, np.full(time_s.size, 2000.0), claimed, answer.segments)


@pytest.mark.parametrize("hole_s", [0.5, 3.0])
def test_no_speed_limit_passes_over_a_time_in_which_the_head_may_have_gone_past_it(hole_s) -> None:
    answer = judged(2000.0, 2140.0)
    for name in ("head_speed_limit", "tip_speed"):
        assert check_of(heard_as(answer, holes=holed(0.0, answer)), name).verdict is Outcome.PASS
    found = check_of(heard_as(answer, holes=holed(hole_s, answer)))
    assert found.verdict is Outcome.UNKNOWN
    assert f"from 5.0 to {5.0 + hole_s:.1f} s no rotor was heard" in found.reason
    assert check_of(heard_as(answer, holes=holed(3.0, answer)), "tip_speed").verdict is Outcome.UNKNOWN
    assert bool(long_unheard(holed(hole_s, answer), answer.segments)) is (hole_s > 1.0)


def test_a_hole_too_short_to_reach_the_limit_and_a_head_that_runs_down_unheard_leave_the_pass() -> None:
    answer = judged(2000.0, 2700.0)
    assert check_of(heard_as(answer, holes=holed(0.5, answer))).verdict is Outcome.PASS
    time_s = np.arange(0.0, 20.0, 0.025)
    falls = np.interp(time_s, [0.0, 8.0, 11.0], [2000.0, 2000.0, 400.0])
    assert unheard(time_s, falls, time_s < 11.0, answer.segments) == ()
    (lost,) = unheard(time_s, falls, time_s < 7.0, answer.segments)
    assert lost.reach_rpm > 2700.0, "it ran when it was last heard"
