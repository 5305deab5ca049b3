"""One fault at a time in a plain simulated drive: the check that names it fails, and the sound drive fails nothing."""

import dataclasses
from collections.abc import Collection

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.machine.reading import machine_from_text
from steadyhead.words.verdict import Outcome, Verdict
from tests.given_machine import machine_text
from tests.naive.drive_log import Drive, Story, fly
from tests.property.test_judge_any_trace import GIVEN, MACHINE
from tests.recorded import ALL, bench, flight, trace_of

NO_HEIGHT = ("head", "throttle", "duty", "volt", "amp")
MOTOR_ONLY = ("motor", "throttle", "duty", "volt", "amp", "height")
ON_BENCH = Drive(blades=False, inertia=0.004)


def judged(drive: Drive, story: Story, *, hertz: float = 50.0, keep: Collection[str] = ALL) -> Judgement:
    return judge(MACHINE, trace_of(fly(drive, story), hertz=hertz, keep=keep))


def check(judgement: Judgement, name: str) -> Verdict:
    return next(c for c in judgement.checks if c.check == name)


def failing(judgement: Judgement) -> set[str]:
    return {c.check for c in judgement.checks if c.verdict is Outcome.FAIL}


def kinds(judgement: Judgement) -> list[str]:
    return [s.kind for s in judgement.segments]


@pytest.mark.parametrize("keep", [ALL, NO_HEIGHT, ("head", "throttle", "volt", "amp", "height"), MOTOR_ONLY])
@pytest.mark.parametrize("hertz", [10.0, 20.0, 50.0, 100.0])
def test_a_sound_flight_fails_nothing_at_any_sampling_rate(hertz: float, keep: Collection[str]) -> None:
    judgement = judged(Drive(), flight(), hertz=hertz, keep=keep)
    assert failing(judgement) == set()
    assert kinds(judgement)[:7] == [
        "rest", "soft_spool", "governed", "governed", "autorotation", "quick_spool", "governed",
    ]  # fmt: skip
    assert check(judgement, "quick_restart_granted").verdict is Outcome.PASS


def test_an_autorotation_position_below_the_off_level_loses_the_quick_restart() -> None:
    judgement = judged(Drive(), flight(autorotation_percent=5.0))
    assert failing(judgement) == {"quick_restart_granted"}
    assert kinds(judgement)[4:6] == ["autorotation", "soft_spool"]
    assert any("Move the autorotation position above the off level" in a for a in judgement.advice)


def test_a_motor_that_drives_on_all_through_throttle_hold_fails_it() -> None:
    trace = trace_of(fly(Drive(), flight()))
    throttle, duty = trace.channels["throttle_percent"], trace.channels["duty"].copy()
    held = np.flatnonzero(throttle > 35.0)[-1] + 1
    duty[held:] = 0.4
    driven = dataclasses.replace(trace, channels={**trace.channels, "duty": duty})
    got = check(judge(MACHINE, driven), "hold_stops_motor")
    assert got.verdict is Outcome.FAIL
    assert "from 160.0 s on the motor did not stop" in got.reason


def test_a_drive_that_is_always_at_its_stop_passes_nothing_against_what_it_reached() -> None:
    trace = trace_of(fly(Drive(), flight()))
    sound = judge(MACHINE, trace)
    last = max((s for s in sound.segments if s.kind == "governed"), key=lambda s: s.end_s - s.start_s)
    there = (trace.time_s >= last.start_s) & (trace.time_s <= last.end_s)
    duty = np.where(there, 1.0, trace.channels["duty"])
    got = judge(MACHINE, dataclasses.replace(trace, channels={**trace.channels, "duty": duty}))
    for name in ("steady_band", "climb_droop", "recovery"):
        assert check(sound, name).verdict is Outcome.PASS
        assert check(got, name).verdict is Outcome.UNKNOWN
        assert "the duty stood at its stop throughout" in check(got, name).reason


def kept_up_by_the_air(keep: Collection[str]) -> Judgement:
    """A lost quick restart whose head still stands at its set speed when the motor is called back, then falls."""
    trace = trace_of(fly(Drive(), flight(autorotation_percent=5.0)), keep=keep)
    head = trace.channels["head_speed_rpm"].copy()
    up = (trace.time_s >= 100.0) & (trace.time_s < 107.0)
    head[up] = 1990.0 * (1.03 - 0.004 * (trace.time_s[up] - 100.0))
    return judge(MACHINE, dataclasses.replace(trace, channels={**trace.channels, "head_speed_rpm": head}))


@pytest.mark.parametrize("keep", [ALL, NO_HEIGHT])
def test_a_head_at_its_set_speed_does_not_make_a_soft_start_quick(keep: Collection[str]) -> None:
    judgement = kept_up_by_the_air(keep)
    assert check(judgement, "quick_restart_granted").verdict is Outcome.FAIL
    assert "quick_spool" not in kinds(judgement)


def test_without_duty_a_soft_start_at_set_speed_is_never_taken_for_a_quick_one() -> None:
    judgement = kept_up_by_the_air(("head", "motor", "throttle", "volt", "amp", "height"))
    assert check(judgement, "quick_restart_granted").verdict is not Outcome.PASS


def test_with_head_speed_alone_a_head_at_its_set_speed_tells_nothing_of_the_start() -> None:
    judgement = kept_up_by_the_air(("head", "throttle", "volt", "height"))
    assert check(judgement, "quick_restart_granted").verdict is Outcome.UNKNOWN
    assert check(judgement, "quick_restart_time").verdict is Outcome.UNKNOWN


def test_an_idling_motor_in_throttle_hold_fails_the_stop() -> None:
    story = Story(channel=[(0.0, 10.0), (4.0, 57.0), (40.0, 10.0)], collective=[(0.0, 0.0, False)], length_s=55.0)
    assert "hold_stops_motor" in failing(judged(ON_BENCH, story))


def test_a_creeping_channel_makes_throttle_hold_too_slow() -> None:
    judgement = judged(Drive(channel_rate=40.0), bench((4.0, 57.0), (40.0, 0.0)))
    assert "hold_stops_motor" in failing(judgement)


def test_hold_that_leaves_the_quick_restart_armed_is_found() -> None:
    judgement = judged(
        Drive(blades=False, inertia=0.004, hold_clears=False),
        bench((4.0, 57.0), (30.0, 0.0), (40.0, 57.0), (55.0, 0.0)),
    )
    assert "hold_clears_quick_restart" in failing(judgement)
    assert "quick_spool" in kinds(judgement)


def test_hold_that_clears_the_quick_restart_passes() -> None:
    judgement = judged(ON_BENCH, bench((4.0, 57.0), (25.0, 0.0), (35.0, 57.0), (58.0, 0.0)))
    assert check(judgement, "hold_clears_quick_restart").verdict is Outcome.PASS
    assert kinds(judgement).count("soft_spool") == 2


@pytest.mark.parametrize("stay_s", [4.0, 26.0])
def test_a_start_from_rest_in_the_autorotation_position_is_found(stay_s: float) -> None:
    story = bench((4.0, 24.0), (4.0 + stay_s, 0.0), (40.0, 57.0), (58.0, 0.0))
    assert "no_start_in_autorotation_position" in failing(judged(ON_BENCH, story))


def test_waiting_at_rest_in_the_autorotation_position_passes() -> None:
    judgement = judged(ON_BENCH, bench((4.0, 15.0), (10.0, 57.0), (40.0, 0.0)))
    assert check(judgement, "no_start_in_autorotation_position").verdict is Outcome.PASS


def test_too_quick_a_soft_start_is_still_a_soft_start_and_fails() -> None:
    judgement = judged(Drive(blades=False, inertia=0.004, soft_s=5.0), bench((4.0, 57.0), (40.0, 0.0)))
    assert "soft_start_time" in failing(judgement)
    assert kinds(judgement)[1] == "soft_spool"
    assert "Make the soft start longer." in judgement.advice


@pytest.mark.parametrize("keep", [ALL, NO_HEIGHT])
def test_hunting_in_one_flight_mode_only_is_found(keep: Collection[str]) -> None:
    drive = Drive(hunting_above_percent=65.0, hunting_factor=4.0, delay_s=0.04)
    judgement = judged(drive, flight(), keep=keep)
    assert "no_hunting" in failing(judgement)
    assert any("hunts" in a for a in judgement.advice)


def test_a_slow_regular_swing_is_told_with_its_own_frequency_and_never_passes() -> None:
    trace = trace_of(fly(Drive(), flight()))
    speed = trace.channels["head_speed_rpm"]
    swung = speed * (1.0 + 0.008 * np.sin(2.0 * np.pi * 0.31 * trace.time_s))
    judgement = judge(MACHINE, dataclasses.replace(trace, channels=trace.channels | {"head_speed_rpm": swung}))
    found = check(judgement, "no_hunting")
    assert found.verdict is Outcome.UNKNOWN
    assert "0.3" in found.reason
    assert "slow swing" in found.reason


def test_a_motor_with_too_little_kv_shows_duty_at_its_stop() -> None:
    judgement = judged(Drive(kv_rpm_v=375.0, resistance=0.05, pack_resistance=0.06), flight())
    assert {"duty_margin", "hover_duty", "climb_droop"} <= failing(judgement)
    assert "head-room is used up" in check(judgement, "climb_droop").reason
    assert any("pinion" in a for a in judgement.advice)


def test_a_worn_pack_is_told_from_a_good_one() -> None:
    worn, good = judged(Drive(pack_resistance=0.066), flight()), judged(Drive(), flight())
    assert check(worn, "pack_resistance").verdict is Outcome.FAIL
    assert check(worn, "pack_resistance").figure == pytest.approx(2.2, rel=0.1)
    assert check(good, "pack_resistance").verdict is Outcome.PASS


def test_unknown_pack_voltage_never_passes() -> None:
    judgement = judged(Drive(), flight(), keep=("head", "throttle", "duty", "amp"))
    assert check(judgement, "cell_voltage").verdict is Outcome.UNKNOWN
    assert check(judgement, "pack_resistance").verdict is Outcome.UNKNOWN


def test_blades_off_says_nothing_of_tip_speed_and_hover() -> None:
    judgement = judged(ON_BENCH, bench((4.0, 57.0), (25.0, 70.0), (45.0, 0.0)))
    for name in ("tip_speed", "head_speed_limit", "steady_band", "hover_duty", "climb_droop", "overspeed", "recovery"):
        assert check(judgement, name).verdict is Outcome.UNKNOWN, name


def test_motor_side_speed_alone_leaves_the_head_unknown_in_autorotation() -> None:
    judgement = judged(Drive(), flight(), keep=("motor", "throttle", "duty", "volt", "amp", "height"))
    silent = [s for s in judgement.segments if s.kind in ("autorotation", "coast")]
    assert silent
    assert all(s.mean_rpm is None for s in silent)
    assert any("only the motor side was measured" in w for w in judgement.warnings)
    assert check(judgement, "quick_restart_granted").verdict is Outcome.PASS


def test_without_a_throttle_channel_speed_and_duty_still_give_the_segments() -> None:
    judgement = judged(ON_BENCH, bench((4.0, 57.0), (25.0, 70.0), (45.0, 0.0), length_s=75.0), keep=("head", "duty"))
    assert kinds(judgement) == ["rest", "soft_spool", "governed", "governed", "coast", "stopped"]
    assert check(judgement, "hold_stops_motor").verdict is Outcome.UNKNOWN


def test_a_log_without_any_speed_judges_what_is_left() -> None:
    judgement = judged(Drive(), flight(), keep=("throttle", "volt", "amp"))
    assert check(judgement, "esc_current").verdict is Outcome.PASS
    assert check(judgement, "steady_band").verdict is Outcome.UNKNOWN
    assert check(judgement, "quick_restart_granted").verdict is not Outcome.PASS


def test_a_log_that_begins_in_flight_begins_governed() -> None:
    trace = trace_of(fly(Drive(), flight()))
    cut = trace.time_s >= 40.0
    later = type(trace)(
        source="cut",
        time_s=trace.time_s[cut] - 40.0,
        channels={name: values[cut] for name, values in trace.channels.items()},
        rows_read=int(cut.sum()),
    )
    judgement = judge(MACHINE, later)
    assert judgement.segments[0].kind == "governed"
    assert check(judgement, "soft_start_time").verdict is Outcome.UNKNOWN
    assert check(judgement, "charge_left").verdict is Outcome.UNKNOWN


@pytest.mark.parametrize("keep", [ALL, NO_HEIGHT, ("motor", "throttle", "duty", "volt", "amp")])
def test_a_quick_restart_on_the_bench_is_no_autorotation(keep: Collection[str]) -> None:
    story = bench((4.0, 57.0), (28.0, 15.0), (30.0, 57.0), (45.0, 0.0))
    judgement = judged(ON_BENCH, story, keep=keep)
    assert kinds(judgement)[:6] == ["rest", "soft_spool", "governed", "coast", "quick_spool", "governed"]
    assert check(judgement, "quick_restart_granted").verdict is Outcome.UNKNOWN


def test_a_soft_restart_on_the_bench_out_of_the_autorotation_position_fails() -> None:
    story = bench((4.0, 57.0), (28.0, 5.0), (29.5, 57.0), (50.0, 0.0))
    assert "quick_restart_granted" in failing(judged(ON_BENCH, story))


def test_a_slow_channel_gives_a_governed_passage_before_it_stops() -> None:
    judgement = judged(Drive(blades=False, inertia=0.004, channel_rate=15.0), bench((4.0, 57.0), (40.0, 0.0)))
    last = [s for s in judgement.segments if s.kind == "governed"][-1]
    assert last.set_rpm is None
    assert last.start_s == pytest.approx(40.0, abs=0.1)


def test_a_motor_that_cuts_out_by_itself_ends_the_governed_stretch() -> None:
    trace = trace_of(fly(Drive(), flight()))
    t = trace.time_s
    dead = (t >= 80.0) & (t < 86.0)
    channels = {name: values.copy() for name, values in trace.channels.items()}
    channels["duty"][dead] = 0.0
    channels["pack_current_a"][dead] = 0.3
    channels["head_speed_rpm"][dead] *= np.exp(-0.05 * (t[dead] - 80.0))
    judgement = judge(MACHINE, dataclasses.replace(trace, channels=channels))
    cut = [s for s in judgement.segments if 79.5 < s.start_s < 80.5]
    assert [s.kind for s in cut] == ["autorotation"]


def test_a_wrong_count_of_poles_is_warned_of() -> None:
    trace = trace_of(fly(Drive(), flight()))
    channels = {**trace.channels, "head_speed_rpm": trace.channels["head_speed_rpm"] * 5.0 / 7.0}
    judgement = judge(MACHINE, dataclasses.replace(trace, channels=channels))
    assert any("check poles" in w for w in judgement.warnings)
    assert not any("check poles" in w for w in judge(MACHINE, trace).warnings)


def test_a_landing_out_of_an_autorotation_becomes_coast_at_touchdown() -> None:
    channel = [(0.0, 0.0), (4.0, 57.0), (24.0, 70.0), (60.0, 15.0), (85.0, 0.0)]
    pitch = [(0.0, 0.0, False), (28.0, 3.3, True), (60.0, -3.0, True), (90.0, 0.0, False)]
    recording = fly(Drive(), Story(channel=channel, collective=pitch, length_s=100.0))
    touch = float(recording.time_s[(recording.columns["height"] < 0.05) & (recording.time_s > 61.0)][0])
    judgement = judge(MACHINE, trace_of(recording))
    landed = [s for s in judgement.segments if s.kind == "coast"]
    assert kinds(judgement)[4:6] == ["autorotation", "coast"]
    assert landed[0].start_s == pytest.approx(touch, abs=0.6)


@pytest.mark.parametrize(("amperes", "verdict"), [(0.8, Outcome.UNKNOWN), (3.0, Outcome.UNKNOWN), (9.0, Outcome.PASS)])
@pytest.mark.parametrize("until_s", [53.4, 54.2])
def test_a_motor_without_load_after_a_climb_leaves_the_head_unknown(
    amperes: float, verdict: Outcome, until_s: float
) -> None:
    """A second after the climb the head is known again only where the motor drives it by then."""
    trace = trace_of(fly(Drive(), flight()), keep=("motor", "throttle", "duty", "volt", "amp", "collective"))
    current = trace.channels["pack_current_a"].copy()
    current[(trace.time_s > 52.7) & (trace.time_s < until_s)] = amperes
    judgement = judge(MACHINE, dataclasses.replace(trace, channels={**trace.channels, "pack_current_a": current}))
    assert check(judgement, "overspeed").verdict is verdict
    assert check(judgement, "recovery").verdict is (Outcome.PASS if until_s < 54.0 else verdict)


@pytest.mark.parametrize("flown", [True, False])
def test_a_head_that_the_air_keeps_turning_tells_autorotation_from_coast(flown: bool) -> None:
    story = flight() if flown else bench((4.0, 57.0), (28.0, 15.0), (34.0, 57.0), (60.0, 0.0))
    judgement = judged(Drive(), story, keep=NO_HEIGHT)
    undriven = [s.kind for s in judgement.segments if s.kind in ("autorotation", "coast")]
    assert undriven[0] == ("autorotation" if flown else "coast")


def test_a_flight_mode_that_is_not_met_is_warned_of() -> None:
    text = machine_text(GIVEN) + '\n[[flight_mode]]\nname = "idle-up"\nhead_speed = "2100 rpm"\nchannel = "70 %"\n'
    trace = trace_of(fly(Drive(), flight()))
    warnings = judge(machine_from_text(text, "modes.toml"), trace).warnings
    assert any("idle-up is meant to hold 2100 rpm; at 70 % the log shows 1990" in w for w in warnings)


def test_without_a_throttle_channel_no_flight_mode_is_held_against_a_share_of_the_top_speed() -> None:
    """The slow plateau stands at 87 % of the fast one, which is no channel position."""
    text = machine_text(GIVEN) + '\n[[flight_mode]]\nname = "idle-up"\nhead_speed = "2100 rpm"\nchannel = "87 %"\n'
    trace = trace_of(fly(Drive(), flight()), keep=[name for name in ALL if name != "throttle"])
    found = judge(machine_from_text(text, "modes.toml"), trace)
    levels = sorted({segment.set_rpm for segment in found.segments if segment.set_rpm})
    assert levels[0] == pytest.approx(0.87 * levels[-1], rel=0.02)
    assert not any("meant to hold" in w for w in found.warnings)
