"""Bail-outs that are not one clean switch: taken back, on a slow ramp, or with a head that the air keeps up."""

from collections.abc import Sequence

import numpy as np
import pytest

from steadyhead.judge.result import Judgement
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.judge.test_telemetry import SET, judged

CUT_S, END_S = 60.0, 110.0
KNOTS = Sequence[tuple[float, float]]


def flown(
    *,
    throttle: KNOTS,
    motor: KNOTS,
    head: KNOTS,
    keep: Sequence[str] = ("head_speed_rpm", "duty"),
    glide_deg: float = 1.0,
) -> Judgement:
    """A soft start of 15 s and a flight; after the cut at 60 s throttle, motor and head as given, knot by knot."""
    t = np.arange(0.0, END_S, 0.02)
    rng = np.random.default_rng(11)

    def line(*before: tuple[float, float], after: KNOTS) -> np.ndarray:
        return np.interp(t, *zip(*before, *after, strict=True))

    asked = line((4.99, 0.0), (5.0, 80.0), (CUT_S, 80.0), after=throttle)
    turns = line((5.3, 0.0), (20.3, SET), (CUT_S, SET), after=motor)
    speed = line((5.3, 0.0), (20.3, SET), (CUT_S, SET), after=head)
    flying = (t > 25.0) & (t < 90.0)
    pitch = np.where(flying, np.where((t > CUT_S) & (t < motor[-1][0]), glide_deg, 4.5), 0.0)
    channels = {
        "head_speed_rpm": speed + rng.normal(0.0, 1.0, t.size) * (speed > 30.0),
        "motor_side_speed_rpm": turns,
        "duty": np.where(turns > 1.0, 0.78 * turns / SET + 0.01, 0.0),
        "collective_deg": pitch,
        "height_m": np.interp(t, [25.0, 30.0, 60.0, 72.0, 90.0], [0.0, 80.0, 80.0, 20.0, 0.0]),
    }
    return judged(t, {"throttle_percent": asked, "collective_deg": pitch} | {name: channels[name] for name in keep})


def check(got: Judgement, name: str) -> Verdict:
    return next(each for each in got.checks if each.check == name)


def back_at(*times_s: tuple[float, float]) -> list[tuple[float, float]]:
    """Return the throttle after the cut: 14 %, and 80 % from and to the times given."""
    knots = [(CUT_S + 0.01, 14.0)]
    for begin, end in times_s:
        knots += [(begin, 14.0), (begin + 0.01, 80.0), (end, 80.0), (end + 0.01, 14.0)]
    return knots


def on_a_ramp(seconds: float) -> Judgement:
    """The head stands at its set speed when the motor is called back at 64 s, then falls while the motor ramps up."""
    there = 64.0 + seconds
    low_s = 64.0 + 0.65 * seconds
    return flown(
        throttle=back_at((64.0, END_S)),
        motor=[(61.0, 0.0), (64.05, 0.0), (there, SET)],
        head=[(64.3, SET), (low_s, 0.65 * SET), (there, SET)],
    )


@pytest.mark.parametrize(("seconds", "said"), [(2.0, "pass"), (4.5, "unknown"), (7.5, "unknown")])
def test_a_ramp_is_timed_until_the_motor_carries_a_head_that_had_kept_its_speed(seconds: float, said: str) -> None:
    got = on_a_ramp(seconds)
    out = got.bail_outs[0]
    assert out.to_set_speed_s == pytest.approx(seconds, abs=0.15)
    assert out.least_rpm == pytest.approx(0.65 * SET, rel=0.02)
    assert check(got, "quick_restart_granted").verdict == said
    assert check(got, "quick_restart_time").verdict == ("pass" if seconds < 3.0 else "fail")


@pytest.mark.parametrize("glide_deg", [1.0, -0.5])
def test_a_soft_start_after_a_try_that_was_taken_back_is_a_bail_out_too(glide_deg: float) -> None:
    got = flown(
        throttle=back_at((63.0, 63.45), (65.0, END_S)),
        motor=[(61.0, 0.0), (63.05, 0.0), (63.45, 400.0), (64.0, 0.0), (65.1, 0.0), (78.0, SET)],
        head=[(65.0, 1700.0), (70.0, 700.0), (78.0, SET)],
        glide_deg=glide_deg,
    )
    assert [out.taken_back for out in got.bail_outs] == [True, False]
    granted = check(got, "quick_restart_granted")
    assert granted.verdict == "fail"
    assert "the bail-out at 65.0 s brought a soft start" in granted.reason


TAKEN_BACK = {
    "throttle": back_at((63.0, 63.45), (65.0, END_S)),
    "motor": [(61.0, 0.0), (63.05, 0.0), (63.45, 400.0), (64.0, 0.0), (65.1, 0.0), (66.7, SET)],
    "head": [(63.0, 1800.0), (65.5, 1650.0), (66.4, 1650.0), (66.7, SET)],
}


@pytest.mark.parametrize(
    "keep", [("head_speed_rpm", "duty"), ("head_speed_rpm", "duty", "height_m"), ("motor_side_speed_rpm", "duty")]
)
def test_a_try_that_was_taken_back_is_told_and_not_judged(keep: tuple[str, ...]) -> None:
    got = flown(**TAKEN_BACK, keep=keep)
    assert [out.taken_back for out in got.bail_outs] == [True, False]
    granted = check(got, "quick_restart_granted")
    assert granted.verdict == "pass"
    assert "1 of 1" in granted.reason
    assert "at 63.0 s was called off again" in granted.reason
    assert check(got, "quick_restart_time").figure == pytest.approx(1.7, abs=0.1)


def test_without_duty_a_head_that_the_air_turns_does_not_join_two_tries() -> None:
    slower = {**TAKEN_BACK, "head": [(62.0, 1250.0), (65.3, 1200.0), (66.7, SET)]}
    got = flown(**slower, keep=("head_speed_rpm",))
    assert [out.start_s for out in got.bail_outs] == pytest.approx([63.0, 65.0], abs=0.1)
    assert check(got, "quick_restart_granted").verdict == "pass"
    assert check(got, "quick_restart_time").figure == pytest.approx(1.7, abs=0.1)


def test_a_log_whose_only_try_was_taken_back_shows_no_quick_restart() -> None:
    got = flown(
        throttle=[*back_at((63.0, 63.45)), (75.0, 14.0), (75.01, 0.0)],
        motor=[(61.0, 0.0), (63.05, 0.0), (63.45, 400.0), (64.0, 0.0), (76.0, 0.0)],
        head=[(70.0, 1700.0), (75.0, 1200.0), (95.0, 0.0)],
    )
    assert [out.taken_back for out in got.bail_outs] == [True]
    granted = check(got, "quick_restart_granted")
    assert granted.verdict == "unknown"
    assert "called off again" in granted.reason
    assert check(got, "quick_restart_time").verdict == "unknown"


def test_a_head_that_sinks_through_its_set_speed_says_nothing_of_too_quick_a_ramp() -> None:
    got = flown(
        throttle=back_at((64.0, END_S)),
        motor=[(61.0, 0.0), (64.05, 0.0), (65.0, SET)],
        head=[(62.0, 1.09 * SET), (64.0, 1.08 * SET), (64.9, SET), (64.95, 0.996 * SET), (65.0, SET)],
    )
    quick = check(got, "quick_restart_time")
    assert quick.verdict == "unknown"
    assert quick.figure is not None
    assert quick.figure < 1.0


def test_a_soft_start_after_throttle_hold_and_the_autorotation_position_is_right() -> None:
    hold = [(60.01, 0.0), (75.0, 0.0), (75.01, 14.0), (78.0, 14.0), (78.01, 80.0), (END_S, 80.0)]
    got = flown(
        throttle=hold,
        motor=[(61.0, 0.0), (78.1, 0.0), (91.0, SET)],
        head=[(66.0, 1700.0), (78.0, 800.0), (84.0, 700.0), (91.0, SET)],
        keep=("head_speed_rpm", "duty", "height_m"),
    )
    assert check(got, "quick_restart_granted").verdict == "unknown"


def test_a_head_held_a_little_above_its_set_speed_after_the_restart_took_no_longer_for_it() -> None:
    got = flown(
        throttle=back_at((64.0, END_S)),
        motor=[(61.0, 0.0), (64.05, 0.0), (65.6, SET)],
        head=[(64.5, 1500.0), (65.6, SET), (65.7, 1.014 * SET), (70.0, 1.012 * SET), (72.0, SET)],
    )
    quick = check(got, "quick_restart_time")
    assert quick.figure is not None
    assert quick.figure > 3.0
    assert quick.verdict == "unknown", quick.reason


def test_the_time_to_the_set_speed_carries_the_lag_of_the_sensor_and_the_wait_that_of_the_foot() -> None:
    got = flown(
        throttle=back_at((64.0, END_S)),
        motor=[(61.0, 0.0), (64.1, 0.0), (65.8, SET)],
        head=[(64.8, 1500.0), (65.05, 1500.0), (65.85, SET)],
    )
    times, waits = check(got, "quick_restart_time").figure_interval, check(got, "quick_restart_prompt").figure_interval
    assert times is not None
    assert waits is not None
    assert times[0] < 1.76
    assert times[1] > 1.82
    assert waits[0] == 0.0
    assert 0.1 < waits[1] < 0.2
    assert check(got, "quick_restart_time").verdict == "pass"


@pytest.mark.parametrize("lasts_s", [0.9, 1.4, 4.0])
def test_an_autorotation_is_one_however_soon_the_motor_is_called_back(lasts_s: float) -> None:
    """Collective, no height: a still hover at little pitch, a dive, and much pitch once the motor is called back."""
    t = np.arange(0.0, END_S, 0.02)
    back_s = CUT_S + lasts_s
    speed = np.interp(
        t, [5.3, 20.3, CUT_S, back_s, back_s + 4.0, 100.0, 106.0], [0.0, SET, SET, 0.9 * SET, SET, SET, 0.0]
    )
    cut = (t > CUT_S) & (t < back_s)
    off = (t < 5.0) | cut | (t > 100.0)
    pitch = np.select([t < 25.0, cut, (t >= back_s) & (t < 90.0), t >= 90.0], [0.0, -3.0, 3.0, 0.0], 1.7)
    got = judged(t, {
        "throttle_percent": np.where(cut, 14.0, np.where(off, 0.0, 80.0)),
        "head_speed_rpm": speed + np.random.default_rng(3).normal(0.0, 1.0, t.size) * (speed > 30.0),
        "duty": np.where(off, 0.0, 0.78 * speed / SET + 0.01),
        "collective_deg": pitch,
    })  # fmt: skip
    assert [bail_out.start_s for bail_out in got.bail_outs] == [pytest.approx(back_s, abs=0.1)]
    assert check(got, "quick_restart_time").verdict != "pass"


@pytest.mark.parametrize("keep", [("head_speed_rpm", "motor_side_speed_rpm"), ("motor_side_speed_rpm",)])
@pytest.mark.parametrize("turns_on", [True, False])
def test_a_motor_that_still_turned_may_have_been_driven_long_before_its_speed_rose(
    keep: Sequence[str], *, turns_on: bool
) -> None:
    slowed = 0.5 * SET if turns_on else 0.0
    motor = [(62.0, slowed + 0.1 * SET * turns_on), (64.9, slowed), (65.0, slowed), (66.0, SET), (END_S, SET)]
    head = [(64.0, 0.85 * SET), (65.7, 0.8 * SET), (66.0, SET), (END_S, SET)]
    got = flown(throttle=back_at((64.0, END_S)), motor=motor, head=head, keep=keep)
    prompt = check(got, "quick_restart_prompt")
    assert prompt.figure is not None
    assert prompt.figure > 0.7
    assert prompt.verdict is (Outcome.UNKNOWN if turns_on else Outcome.FAIL)
    assert ("the motor still turned" in prompt.reason) is turns_on
