"""What telemetry shows of starts, hold and the air: slow or blank channels, and ramps that do not begin at rest."""

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.own_rates import own_intervals_s
from steadyhead.judge.result import Judgement
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import ColumnRead, Trace
from tests.given_machine import machine_text

GIVEN = {
    "size_class": 600, "main_blades": 2, "blade_length_m": 0.6, "rotor_radius_m": 0.67, "chord_m": 0.055,
    "tail_ratio": 4.5, "tail_blades": 2, "tail_driven_in_autorotation": True, "gear_stages_teeth": [[12, 108]],
    "kv_rpm_per_v": 560, "poles": 10, "cells_in_series": 12, "capacity_mah": 4000.0, "esc_burst_a": 200.0,
    "esc_switch_hz": 12000.0, "head_speed_limit_rpm": 2500, "pack_resistance_when_new_mohm": 28.0,
    "air_temperature_c": 20.0, "collective_at_full_stick_deg": 12.0,
}  # fmt: skip
MACHINE = machine_from_text(machine_text(GIVEN), "m.toml")
SET = 2000.0


def flight(*, restart_s: float, cut_rpm: float, hertz: float = 50.0) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """A soft start of 15 s, a flight, an autorotation from 60 to 64 s, a restart of `restart_s` from `cut_rpm`."""
    t = np.arange(0.0, 110.0, 1.0 / hertz)
    rng = np.random.default_rng(3)
    throttle = np.interp(t, [5.0, 5.01, 60.0, 60.01, 64.0, 64.01, 100.0, 100.01], [0, 80, 80, 14, 14, 80, 80, 0])
    motor = np.interp(
        t, [5.3, 20.3, 60.0, 64.0, 64.0 + restart_s, 100.0, 105.0], [0, SET, SET, cut_rpm, SET, SET, 0]
    ) + rng.normal(0.0, 2.0, t.size) * (t > 5.3) * (t < 105.0)
    duty = np.where(throttle > 20.0, 0.78 * np.clip(motor, 0.0, SET) / SET + 0.01, 0.0)
    height = np.interp(t, [25.0, 30.0, 60.0, 65.0, 70.0, 90.0], [0.0, 70.0, 70.0, 45.0, 40.0, 0.0])
    stick = np.interp(t, [25.0, 26.0, 60.0, 60.2, 64.3, 64.6, 90.0, 91.0], [0, 4.5, 4.5, 1.0, 1.0, 4.5, 4.5, 0.0])
    return t, {
        "motor_side_speed_rpm": motor, "throttle_percent": throttle, "duty": duty, "height_m": height,
        "collective_deg": stick,
    }  # fmt: skip


def judged(t: np.ndarray, channels: dict[str, np.ndarray]) -> Judgement:
    return judge(MACHINE, Trace(source="made", time_s=t, channels=channels, rows_read=t.size))


def word(judgement: Judgement, name: str) -> str:
    return str(next(check for check in judgement.checks if check.check == name).verdict)


def test_a_soft_ramp_that_begins_at_half_speed_is_soft() -> None:
    """The motor comes up as slowly as from rest; only the way is shorter."""
    t, channels = flight(restart_s=7.5, cut_rpm=1000.0)
    assert word(judged(t, channels), "quick_restart_granted") == "fail"


def test_a_quick_ramp_from_half_speed_is_quick() -> None:
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    assert word(judged(t, channels), "quick_restart_granted") == "pass"


@pytest.mark.parametrize(("duty", "said"), [(True, "fail"), (False, "unknown")])
def test_a_head_alone_does_not_tell_where_the_ramp_of_the_motor_began(duty: bool, said: str) -> None:
    t, channels = flight(restart_s=7.5, cut_rpm=1000.0)
    head = channels.pop("motor_side_speed_rpm")
    after = (t > 64.0) & (t < 71.5)
    head[after] = np.maximum(head[after], 1400.0)
    head[(t > 60.0) & (t <= 64.0)] = np.linspace(SET, 1400.0, int(((t > 60.0) & (t <= 64.0)).sum()))
    channels["head_speed_rpm"] = head
    if not duty:
        del channels["duty"]
    assert word(judged(t, channels), "quick_restart_granted") == said


def test_a_collective_that_carried_the_machine_until_the_cut_says_that_it_flew() -> None:
    """A flat pitch of one degree in the autorotation is no proof of the ground."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    del channels["height_m"]
    got = judged(t, channels)
    assert any(segment.kind == "autorotation" for segment in got.segments)
    assert word(got, "quick_restart_granted") == "pass"


@pytest.mark.parametrize("blank", [True, False])
def test_a_duty_that_comes_seldom_does_not_fail_throttle_hold(blank: bool) -> None:
    """The motor is off at once; the duty is written ten times a second among two hundred rows."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0, hertz=200.0)
    fresh = np.arange(t.size) % 20 == 7
    seldom = channels["duty"] + np.random.default_rng(1).normal(0.0, 1e-4, t.size) * (channels["duty"] > 0.0)
    last = np.maximum.accumulate(np.where(fresh, np.arange(t.size), 0))
    channels["duty"] = np.where(fresh, seldom, np.nan) if blank else seldom[last]
    assert word(judged(t, channels), "hold_stops_motor") != "fail"


def test_own_intervals_of_blank_and_repeating_channels() -> None:
    t = np.arange(4000) * 0.01
    noise = np.random.default_rng(2).normal(size=t.size)
    every = np.arange(t.size) // 10
    got = own_intervals_s(
        {"blank": np.where(np.arange(t.size) % 10 == 0, noise, np.nan), "repeats": noise[every], "quick": noise,
         "switch": np.where(t > 20.0, 80.0, 0.0)}, t, 0.01,
    )  # fmt: skip
    assert got == pytest.approx({"blank": 0.1, "repeats": 0.1, "switch": 0.1})


def test_a_switch_among_quick_channels_is_as_quick_as_the_rows() -> None:
    t = np.arange(4000) * 0.01
    noise = np.random.default_rng(2).normal(size=t.size)
    assert own_intervals_s({"quick": noise, "switch": np.where(t > 20.0, 80.0, 0.0)}, t, 0.01) == {}


def test_a_band_that_only_noise_makes_too_wide_is_unknown() -> None:
    """0.5 % of sensor noise in the rows; the head itself stands still."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    channels["motor_side_speed_rpm"] += np.random.default_rng(5).normal(0.0, 9.0, t.size) * (t > 21.0) * (t < 59.0)
    assert word(judged(t, channels), "steady_band") == "unknown"


def test_a_band_that_is_too_wide_without_its_noise_fails() -> None:
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    channels["motor_side_speed_rpm"] += 60.0 * np.sin(2.0 * np.pi * 0.4 * t) * (t > 21.0) * (t < 59.0)
    assert word(judged(t, channels), "steady_band") == "fail"


@pytest.mark.parametrize(("least_a", "said"), [(1.0, "unknown"), (14.0, "pass")])
def test_a_descent_that_takes_the_load_off_the_motor_may_turn_the_head_faster(least_a: float, said: str) -> None:
    """Only the motor side was measured; no climb-out ends there, so no load is judged."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    drawn = np.interp(t, [30.0, 35.0, 35.2, 38.0, 38.2], [22.0, 22.0, 55.0, 50.0, 22.0])
    drawn = np.where((t > 45.0) & (t < 47.5), least_a, drawn)
    channels["pack_current_a"] = np.where(channels["duty"] > 0.1, drawn, 0.3)
    channels["collective_deg"] = channels["collective_deg"] + 6.0 * ((t > 35.0) & (t < 38.0))
    channels["collective_deg"] -= 8.0 * ((t > 45.0) & (t < 47.5))
    assert word(judged(t, channels), "overspeed") == said


def read_log(hertz: float, **changed: np.ndarray) -> Judgement:
    """Judge a flight as if it had been read from a file, where nobody knows how slow the speed sensor is."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0, hertz=hertz)
    channels.pop("collective_deg")
    column = ColumnRead(channel="duty", heading="duty", confidence="named")
    return judge(
        MACHINE,
        Trace(source="made", time_s=t, channels=channels | changed, rows_read=t.size, columns=(column,)),
    )


@pytest.mark.parametrize(
    ("swing", "noise", "said"), [(0.04, 0.002, "unknown"), (0.0, 0.02, "pass"), (0.002, 0.0, "pass")]
)
def test_a_duty_that_swings_regularly_beside_a_still_speed_is_no_pass(swing: float, noise: float, said: str) -> None:
    """4 Hz: a speed sensor of half a second shows a twelfth of it, which drowns in its noise."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    moves = swing * np.sin(2.0 * np.pi * 4.0 * t) + np.random.default_rng(4).normal(0.0, 1.0, t.size) * noise
    duty = np.where(channels["duty"] > 0.5, channels["duty"] * (1.0 + moves), channels["duty"])
    assert word(read_log(50.0, duty=duty), "no_hunting") == said


def test_a_current_that_swings_regularly_beside_a_still_speed_is_no_pass() -> None:
    """By energy: 22 A +- 12 A at 46 V and 4 Hz move this rotor by about half a percent or more."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    rotor = MACHINE.value("rotor.inertia")
    assert rotor is not None
    head_percent = 100.0 * 45.6 * 12.0 / (rotor.si * (SET * np.pi / 30.0) ** 2 * 2.0 * np.pi * 4.0)
    assert 0.3 < head_percent < 3.0
    drawn = np.where(channels["duty"] > 0.5, 22.0 + 12.0 * np.sin(2.0 * np.pi * 4.0 * t), 0.3)
    got = read_log(50.0, duty=np.full(t.size, np.nan), pack_current_a=drawn)
    assert word(got, "no_hunting") == "unknown"


def test_a_first_start_that_was_itself_quick_is_no_measure_of_a_soft_one() -> None:
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    channels["motor_side_speed_rpm"] = np.where(
        (t > 5.3) & (t < 20.3), np.minimum(SET * (t - 5.3) / 2.5, SET), channels["motor_side_speed_rpm"]
    )
    channels["duty"] = np.where(
        channels["throttle_percent"] > 20.0, 0.78 * channels["motor_side_speed_rpm"] / SET + 0.01, 0.0
    )
    got = judged(t, channels)
    assert word(got, "soft_start_time") == "fail"
    assert word(got, "quick_restart_granted") == "pass"


@pytest.mark.parametrize(("reaches_rpm", "said"), [(150.0, "fail"), (12.0, "pass")])
def test_a_head_that_creeps_up_in_the_autorotation_position_was_started(reaches_rpm: float, said: str) -> None:
    """A soft ramp of which only five seconds are seen; a breeze is no start."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0)
    waits = t < 5.0
    channels["throttle_percent"] = np.where(waits & (t > 0.5), 14.0, channels["throttle_percent"])
    channels["throttle_percent"] = np.where((t > 4.8) & waits, 0.0, channels["throttle_percent"])
    channels["motor_side_speed_rpm"] = np.where(
        waits, np.interp(t, [0.5, 4.8, 5.0], [0.0, reaches_rpm, 0.0]), channels["motor_side_speed_rpm"]
    )
    assert word(judged(t, channels), "no_start_in_autorotation_position") == said
