"""Sensor faults are told from the machine by what a rotor, a pack and a lump of copper can do."""

import numpy as np
import pytest

from steadyhead.trace.impossible import BOUNDS, impossible
from steadyhead.trace.trace import CHANNELS

RATES_HZ = (10.0, 25.0, 40.0, 100.0)


def flagged(name: str, values: np.ndarray, hz: float, duty: np.ndarray | None = None) -> list[int]:
    flags = impossible(name, values, np.arange(values.size) / hz, duty)
    return [] if flags is None else np.flatnonzero(flags).tolist()


def hover(hz: float, level: float = 2100.0) -> np.ndarray:
    draw = np.random.default_rng(5)
    return level + draw.normal(0.0, 0.002 * level, int(60 * hz))


def test_every_channel_has_a_bound() -> None:
    assert set(BOUNDS) == set(CHANNELS)


@pytest.mark.parametrize("hz", RATES_HZ)
@pytest.mark.parametrize("rows", [1, 2, 3])
@pytest.mark.parametrize("factor", [2.0, 0.0, 3.0, -1.0])
def test_a_speed_away_and_back_at_once_is_a_sensor_fault(hz: float, rows: int, factor: float) -> None:
    speed = hover(hz)
    at = list(range(200, 200 + rows))
    speed[at] *= factor
    assert flagged("head_speed_rpm", speed, hz) == at


@pytest.mark.parametrize("name", ["head_speed_rpm", "motor_side_speed_rpm"])
@pytest.mark.parametrize("factor", [0.5, 2.0])
@pytest.mark.parametrize("lost", [(199,), (201,), (199, 201), (201, 202)])
def test_a_halved_or_doubled_speed_is_seen_beside_lost_rows_of_a_slow_log(
    name: str, factor: float, lost: tuple[int, ...]
) -> None:
    speed, time_s = hover(10.0), np.arange(600) / 10.0
    speed[200] *= factor
    kept = np.setdiff1d(np.arange(600), lost)
    flags = impossible(name, speed[kept], time_s[kept], None)
    assert flags is not None
    assert kept[np.flatnonzero(flags)].tolist() == [200]


@pytest.mark.parametrize("factor", [0.91, 1.09])
def test_a_small_spike_in_one_row_of_a_quick_log_is_a_sensor_fault(factor: float) -> None:
    speed = hover(100.0)
    speed[3000] *= factor
    assert flagged("head_speed_rpm", speed, 100.0) == [3000]


def test_a_dip_of_a_tenth_that_takes_its_time_is_a_load() -> None:
    speed = hover(100.0)
    speed[3000:3020] *= np.interp(np.arange(20), (0, 10, 19), (1.0, 0.9, 1.0))
    assert flagged("head_speed_rpm", speed, 100.0) == []


def test_a_doubled_speed_is_seen_at_the_edge_of_a_hole() -> None:
    speed, time_s = hover(20.0), np.arange(1200) / 20.0
    speed[200] *= 2.0
    kept = np.setdiff1d(np.arange(1200), np.arange(201, 215))
    flags = impossible("motor_side_speed_rpm", speed[kept], time_s[kept], None)
    assert flags is not None
    assert kept[np.flatnonzero(flags)].tolist() == [200]


def test_a_motor_that_doubles_its_speed_between_two_rows_and_stays_there_is_no_fault() -> None:
    speed = hover(10.0)
    speed[:200] *= 0.5
    assert flagged("motor_side_speed_rpm", speed, 10.0) == []


@pytest.mark.parametrize("hz", RATES_HZ)
def test_a_head_that_reads_zero_for_a_second_and_is_back_at_speed_never_stopped(hz: float) -> None:
    speed = hover(hz)
    at = list(range(100, 100 + int(hz)))
    speed[at] = 0.0
    assert flagged("head_speed_rpm", speed, hz) == at


@pytest.mark.parametrize("hz", [1.0, 5.0, *RATES_HZ])
def test_a_spool_up_a_bail_out_and_a_hard_load_are_all_possible(hz: float) -> None:
    t = np.arange(0.0, 60.0, 1.0 / hz)
    knots = [
        (0, 0),
        (12, 2100),
        (20, 2100),
        (20.3, 1900),
        (21.5, 2100),
        (30, 2100),
        (36, 1500),
        (37.0, 2100),
        (60, 2100),
    ]
    speed = np.interp(t, *zip(*knots, strict=True))
    assert flagged("head_speed_rpm", speed, hz) == []


def test_a_log_of_one_row_a_second_still_shows_a_head_that_cannot_have_stopped() -> None:
    speed = hover(1.0)
    speed[20], speed[40] = 0.0, 4200.0
    assert flagged("head_speed_rpm", speed, 1.0) == [20, 40]


def test_a_motor_that_stops_with_its_duty_and_starts_again_is_no_fault() -> None:
    hz = 40.0
    speed, duty = hover(hz), np.full(int(60 * hz), 0.7)
    speed[300:312], duty[299:312] = 0.0, 0.0
    assert flagged("motor_side_speed_rpm", speed, hz, duty) == []


def test_a_speed_sensor_that_dies_below_its_least_speed_may_chatter_there() -> None:
    hz = 40.0
    speed = np.concatenate([np.linspace(0, 2100, 800), hover(hz)])
    speed[speed < 190] = 0.0
    speed[[70, 72, 74, 76]] = 0.0
    assert flagged("motor_side_speed_rpm", speed, hz) == []


def test_a_doubled_reading_of_a_slow_head_is_seen() -> None:
    hz = 40.0
    speed = np.concatenate([np.linspace(0, 2100, 800), hover(hz)])
    speed[150] *= 2.0
    assert flagged("head_speed_rpm", speed, hz) == [150]


@pytest.mark.parametrize("reads", [0.0, 3.0, 118.0, -4.0, np.inf])
def test_a_pack_cannot_lose_or_gain_its_voltage_for_a_moment(reads: float) -> None:
    volts = hover(25.0, level=46.0)
    volts[500] = reads
    assert flagged("pack_voltage_v", volts, 25.0) == [500]


def test_a_deep_sag_under_load_is_not_taken_for_a_fault() -> None:
    volts = hover(25.0, level=46.0)
    volts[500:504] *= 0.72
    assert flagged("pack_voltage_v", volts, 25.0) == []


def test_a_current_that_is_gone_while_the_duty_goes_on_was_only_not_read() -> None:
    amps, duty = hover(25.0, level=25.0), np.full(1500, 0.7)
    amps[[400, 401]] = 0.0
    assert flagged("pack_current_a", amps, 25.0, duty) == [400, 401]


def test_a_current_that_is_gone_with_the_duty_is_believed() -> None:
    amps, duty = hover(25.0, level=25.0), np.full(1500, 0.7)
    amps[400:402], duty[400:402] = 0.0, 0.0
    assert flagged("pack_current_a", amps, 25.0, duty) == []
    assert flagged("pack_current_a", amps, 25.0, None) == []


def test_a_current_peak_is_never_hidden() -> None:
    amps, duty = hover(25.0, level=25.0), np.full(1500, 0.7)
    amps[700] = 260.0
    assert flagged("pack_current_a", amps, 25.0, duty) == []


@pytest.mark.parametrize(
    ("name", "level", "reads"),
    [
        ("controller_temperature_c", 40.0, 0.0),
        ("motor_temperature_c", 70.0, 255.0),
        ("pack_temperature_c", 30.0, -40.0),
        ("height_m", 40.0, 0.0),
        ("charge_used_mah", 800.0, 0.0),
        ("link_percent", 95.0, 255.0),
        ("duty", 0.7, 65535.0),
        ("throttle_percent", 70.0, 1e9),
    ],
)
def test_other_channels_have_their_own_sense(name: str, level: float, reads: float) -> None:
    values = np.full(1000, level)
    values[300] = reads
    assert flagged(name, values, 20.0) == [300]


def test_a_channel_of_noise_is_not_called_faulty_everywhere() -> None:
    draw = np.random.default_rng(3)
    assert len(flagged("head_speed_rpm", draw.uniform(0.0, 5000.0, 4000), 40.0)) == 0


def test_a_motor_cut_for_four_seconds_in_slow_rows_is_no_fault() -> None:
    """Without a duty, and so slow that its fall looks like a speed halved between two rows."""
    speed = hover(2.0)
    speed[40:48] = [1000.0, 480.0, 230.0, 110.0, 110.0, 600.0, 1100.0, 1050.0]
    assert flagged("motor_side_speed_rpm", speed, 2.0) == []


def test_a_halved_speed_behind_a_hole_is_told_by_its_way_back() -> None:
    speed, time_s = hover(33.0), np.arange(1980) / 33.0
    speed[[220, 221]] *= 0.5
    kept = np.setdiff1d(np.arange(1980), np.arange(202, 220))
    flags = impossible("motor_side_speed_rpm", speed[kept], time_s[kept], None)
    assert flags is not None
    assert kept[np.flatnonzero(flags)].tolist() == [220, 221]


def test_a_fault_beside_a_fault_is_seen_once_that_is_out_of_the_way() -> None:
    speed = hover(10.0)
    speed[[300, 301, 302, 303]] = [0.0, 4200.0, 0.5 * speed[302], 0.5 * speed[303]]
    assert set(flagged("head_speed_rpm", speed, 10.0)) >= {300, 301, 302, 303}
