"""The figures of one load, against a head speed drawn by hand."""

from dataclasses import replace

import numpy as np
import pytest

from steadyhead.judge.events import event
from steadyhead.judge.loads import Load, loads
from steadyhead.judge.result import LoadEvent
from tests.unit.judge.made_signals import governed, made

TIME = np.arange(0.0, 30.0, 0.02)
SET = 2000.0


def head(*points: tuple[float, float]) -> np.ndarray:
    times, values = zip(*points, strict=True)
    return np.interp(TIME, times, values)


def after_a_climb(speed: np.ndarray, end_s: float = 30.0) -> LoadEvent | None:
    """What a climb from 10 to 12 s did to a head speed, in a stretch that ends at `end_s`."""
    load = Load(kind="climb", start_s=10, end_s=12)
    return event(made(TIME, head_speed_rpm=speed), speed, governed(0, end_s, SET), load, end_s, 0.01)


def test_droop_is_the_loss_over_the_last_forty_percent_of_the_climb() -> None:
    # 10 s to 12 s: a dip to 1900, then 1960 held over the last 0.8 s and more.
    speed = head((0, 2000), (10, 2000), (10.3, 1900), (11.0, 1960), (12.0, 1960), (12.2, 2000), (30, 2000))
    got = after_a_climb(speed)
    assert got is not None
    assert got.droop_percent == pytest.approx(2.0, abs=0.01)
    assert got.undershoot_percent == pytest.approx(5.0, abs=0.05)
    assert got.load_recovery_s is None
    assert got.recovered is False


def test_recovery_and_overshoot_are_read_between_rows() -> None:
    # Leaves 1980 at 10.1 s on the way down, is back at 10.6 s; after the climb up to 2040 and back under 2020.
    speed = head(
        (0, 2000),
        (10, 2000),
        (10.2, 1960),
        (10.4, 1960),
        (10.8, 2000),
        (12, 2000),
        (12.2, 2040),
        (12.8, 2000),
        (30, 2000),
    )
    got = after_a_climb(speed)
    assert got is not None
    assert got.load_recovery_s == pytest.approx(0.5, abs=0.005)
    assert got.unload_recovery_s == pytest.approx(0.4, abs=0.005)
    assert got.overshoot_percent == pytest.approx(2.0, abs=0.01)
    assert got.recovered is True


def test_a_load_cut_off_by_the_end_of_the_log_is_not_called_recovered() -> None:
    speed = head((0, 2000), (10, 2000), (10.2, 1900), (30, 1900))
    got = after_a_climb(speed, 12.0)
    assert got is not None
    assert got.recovered is False


def pitch(*points: tuple[float, float]) -> np.ndarray:
    return head(*points)


def test_one_long_high_of_collective_is_a_climb_and_a_short_one_is_nothing() -> None:
    long = pitch((0, 3), (10, 3), (10.1, 11), (12.5, 11), (12.6, 3), (30, 3))
    short = pitch((0, 3), (10, 3), (10.1, 11), (10.5, 11), (10.6, 3), (30, 3))
    got = loads(made(TIME, collective_deg=long), governed(0, 30, SET))
    assert [load.kind for load in got] == ["climb"]
    assert got[0].start_s == pytest.approx(10.0, abs=0.05)
    assert got[0].end_s == pytest.approx(12.5, abs=0.05)
    assert loads(made(TIME, collective_deg=short), governed(0, 30, SET)) == ()


def test_highs_with_lows_between_are_one_run_of_pumps() -> None:
    beat = np.where((TIME >= 10) & (TIME < 13.6), 9.0 * np.sign(np.sin(2 * np.pi * (TIME - 10) / 0.9)), 0.0)
    got = loads(made(TIME, collective_deg=3.0 + beat), governed(0, 30, SET))
    assert [load.kind for load in got] == ["pump"]
    assert got[0].end_s == pytest.approx(13.6, abs=0.5)


@pytest.mark.parametrize(("caught_deg", "end_s"), [(0.0, 15.4), (6.0, 14.8)])
def test_pumps_of_uneven_depth_are_one_run_to_the_last(caught_deg: float, end_s: float) -> None:
    """Five pumps, each low less deep than the one before; then the sink is caught with a softer high, or not at all."""
    points = [(0.0, 3.0), (9.9, 3.0)]
    for k, (top, low) in enumerate([(10.0, -8.0), (10.8, -6.0), (11.0, -5.0), (10.2, -3.5), (10.4, -3.0)]):
        points += [(10.0 + k, top), (10.3 + k, top), (10.5 + k, low), (10.8 + k, low)]
    if caught_deg:
        points += [(15.0, 3.0 + caught_deg), (15.4, 3.0 + caught_deg), (16.5, 3.0), (30.0, 3.0)]
    else:
        points += [(15.0, 10.6), (15.4, 10.6), (15.5, 3.0), (30.0, 3.0)]
    got = loads(made(TIME, collective_deg=pitch(*points)), governed(0, 30, SET))
    assert [one.kind for one in got] == ["pump"]
    assert got[0].start_s == pytest.approx(9.9, abs=0.1)
    assert got[0].end_s == pytest.approx(end_s, abs=0.12)


def test_a_rippling_current_under_a_long_load_is_a_climb_of_a_hunting_drive() -> None:
    ripple = 6.0 * np.sin(2 * np.pi * 4.0 * TIME)
    current = 15.0 + ripple + np.where((TIME >= 10) & (TIME < 12.6), 40.0, 0.0)
    got = loads(made(TIME, pack_current_a=current), governed(0, 30, SET))
    assert [load.kind for load in got] == ["climb"]


@pytest.mark.parametrize(("more", "kinds"), [(0.3, []), (0.75, ["climb"])])
def test_a_current_of_six_tenths_more_than_in_hover_is_a_hard_load(more: float, kinds: list[str]) -> None:
    current = 20.0 + np.where((TIME >= 10) & (TIME < 12.6), 20.0 * more, 0.0)
    got = loads(made(TIME, pack_current_a=current), governed(0, 30, SET))
    assert [load.kind for load in got] == kinds


def test_a_climb_begins_where_the_current_left_the_level_before_it() -> None:
    current = np.interp(TIME, [0, 9.0, 9.1, 10, 12, 14, 14.1, 30], [12.0, 12.0, 17.0, 17.0, 30.0, 30.0, 12.0, 12.0])
    (load,) = loads(made(TIME, pack_current_a=current), governed(0, 30, SET))
    assert load.start_s == pytest.approx(10.3, abs=0.1)


def test_pumps_of_a_current_with_pumps_before_them_are_no_climb() -> None:
    """Ten seconds of pumping, of which only the last few stand out of the average over half a second."""
    beat = np.sin(2 * np.pi * (TIME - 10) / 0.8)
    current = 20.0 + np.where((TIME >= 10) & (TIME < 13.2), 30.0 * beat + np.where(TIME > 11.9, 25.0, 0.0), 0.0)
    got = loads(made(TIME, pack_current_a=np.maximum(current, 0.0)), governed(0, 30, SET))
    assert {load.kind for load in got} <= {"pump"}


def test_a_head_speed_in_coarse_steps_fails_no_recovery() -> None:
    """In steps of 30 rpm a head 16 rpm off shows 30, outside the band of 20."""
    speed = head(
        (0, 2010), (10, 2010), (10.1, 1950), (10.5, 2010), (12, 2010), (12.1, 2060), (12.5, 2026), (15.9, 2026)
    )
    coarse = np.round((speed + 8.0 * np.sin(40.0 * TIME)) / 30.0) * 30.0
    signals = replace(made(TIME, head_speed_rpm=coarse), speed_step_rpm=30.0)
    load = Load(kind="climb", start_s=10, end_s=12)
    got = event(signals, coarse, governed(0, 30, 2010.0), load, 30.0, 0.01)
    assert got is not None
    assert got.recovered is not False
    assert got.least_likely_s is not None
    assert got.least_likely_s < 1.0


def test_a_last_row_outside_its_band_is_no_head_that_did_not_come_back() -> None:
    speed = head((0, 2000), (10, 2000), (10.2, 1900), (10.6, 2000), (12, 2000), (15.9, 2000), (15.96, 2060), (30, 2060))
    got = after_a_climb(speed)
    assert got is not None
    assert got.recovered is None
    assert got.unload_recovery_s_interval is not None
    assert got.unload_recovery_s_interval[1] > 3.0


def test_a_load_right_after_a_change_of_speed_has_no_level_before_it() -> None:
    speed = head((0, 1950), (10.4, 1960), (10.6, 1940), (12, 1970), (13, 2000), (30, 2000))
    load = Load(kind="climb", start_s=10.4, end_s=12)
    got = event(made(TIME, head_speed_rpm=speed), speed, governed(10.0, 30, SET), load, 30.0, 0.01)
    assert got is not None
    assert got.recovered is None
    assert got.droop_percent is None


def test_the_level_before_a_load_is_not_read_on_the_way_to_another_set_speed() -> None:
    """A switch to a slower mode, and a push 0.3 s after the head is there: what it lost on the way is no droop."""
    time_s = np.arange(0.0, 30.0, 0.02)
    speed = np.interp(time_s, [0.0, 10.0, 11.2, 30.0], [2850.0, 2850.0, 2575.0, 2575.0])
    signals = made(time_s, head_speed_rpm=speed + np.random.default_rng(5).standard_normal(time_s.size))
    slower = replace(governed(10.0, 30.0, 2575.0), ready_s=11.1)
    load = Load(kind="climb", start_s=11.4, end_s=16.0)
    found = event(signals, signals.speed_rpm, slower, load, 30.0, 0.01)
    assert found is not None
    assert found.droop_percent is None
    assert found.undershoot_percent < 1.0
    assert found.recovered is not False
