"""A sensor that freezes is found and set aside; a steady value that nothing contradicts is believed."""

from pathlib import Path

import numpy as np
import pytest

from steadyhead.trace.frozen import frozen, held_rows
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from tests.naive.drive_log import Drive, fly
from tests.recorded import flight, trace_of

LOGS = sorted((Path(__file__).parents[2] / "data" / "logs").glob("*.truth.json"))
TRACE = trace_of(fly(Drive(), flight()), hertz=50.0)


@pytest.mark.parametrize("name", ["head_speed_rpm", "pack_voltage_v", "pack_current_a"])
@pytest.mark.parametrize("at_s", [30.0, 52.0, 86.0])
def test_a_sensor_frozen_for_two_seconds_is_found_to_the_row(name: str, at_s: float) -> None:
    first = int(at_s * 50.0)
    channels = {key: values.copy() for key, values in TRACE.channels.items()}
    channels[name][first : first + 100] = channels[name][first]
    flags = frozen(name, channels, TRACE.time_s)
    assert flags is not None
    found = np.flatnonzero(flags)
    assert abs(int(found[0]) - (first + 1)) <= 2
    assert abs(int(found[-1]) - (first + 99)) <= 3
    assert flags.sum() <= 104


def test_a_current_frozen_in_steady_hover_is_believed_for_nothing_contradicts_it() -> None:
    channels = {key: values.copy() for key, values in TRACE.channels.items()}
    channels["pack_current_a"][6500:6600] = channels["pack_current_a"][6500]
    assert frozen("pack_current_a", channels, TRACE.time_s) is None


def test_nothing_is_frozen_in_a_sound_flight_or_on_the_ground() -> None:
    assert all(frozen(name, TRACE.channels, TRACE.time_s) is None for name in TRACE.channels)


@pytest.mark.parametrize("path", LOGS, ids=lambda path: path.name)
def test_no_development_log_has_a_frozen_sensor(path: Path) -> None:
    trace = read_trace(
        path.with_name(path.name.removesuffix(".truth.json")), gearing=Gearing(9.0, 5.0, 12.0), remember=False
    )
    assert not any("stand still" in warning for warning in trace.warnings)


@pytest.mark.parametrize("at_s", [45.0, 52.6, 86.0])
def test_a_speed_that_stands_still_for_half_a_second_is_found(at_s: float) -> None:
    first = int(at_s * 50.0)
    noise = np.random.default_rng(5).normal(0.0, 3.0, TRACE.time_s.size)
    channels = dict(TRACE.channels) | {"head_speed_rpm": np.round(TRACE.channels["head_speed_rpm"] + noise)}
    assert frozen("head_speed_rpm", channels, TRACE.time_s) is None
    channels["head_speed_rpm"][first : first + 25] = channels["head_speed_rpm"][first]
    flags = frozen("head_speed_rpm", channels, TRACE.time_s)
    assert flags is not None
    found = np.flatnonzero(flags)
    assert abs(int(found[0]) - (first + 1)) <= 1
    assert 22 <= found.size <= 26


def test_empty_cells_do_not_end_a_frozen_run() -> None:
    channels = {key: values.copy() for key, values in TRACE.channels.items()}
    channels["head_speed_rpm"][2600:2800] = channels["head_speed_rpm"][2600]
    channels["head_speed_rpm"][2610:2800:12] = np.nan
    flags = frozen("head_speed_rpm", channels, TRACE.time_s)
    assert flags is not None
    assert int(np.count_nonzero(flags[2601:2800])) >= 180
    assert int(np.count_nonzero(flags)) <= 200


def test_a_speed_that_flickers_between_few_steps_may_stand_still() -> None:
    rng = np.random.default_rng(7)
    time_s = np.arange(0.0, 60.0, 0.01)
    slow = 2000.0 + 15.0 * np.sin(0.8 * time_s)
    channels = {"head_speed_rpm": np.round((slow + rng.normal(0.0, 8.0, time_s.size)) / 30.0) * 30.0}
    assert frozen("head_speed_rpm", channels, time_s) is None


def test_a_log_without_noise_stands_still_in_steady_running_and_is_believed() -> None:
    time_s = np.arange(0.0, 60.0, 0.02)
    head = 2000.0 - 200.0 * np.exp(-time_s / 1.5)
    head[1500:2000] = 2000.0
    channels = {"head_speed_rpm": np.round(head), "duty": np.full(time_s.size, 0.7)}
    assert frozen("head_speed_rpm", channels, time_s) is None


def test_a_coarse_sensor_that_shows_no_noise_is_believed_while_the_current_moves() -> None:
    rng = np.random.default_rng(3)
    time_s = np.arange(0.0, 60.0, 0.02)
    channels = {
        "head_speed_rpm": np.round((2000.0 + rng.normal(0.0, 2.0, time_s.size)) / 20.0) * 20.0,
        "pack_current_a": 20.0 + rng.normal(0.0, 1.0, time_s.size),
    }
    assert frozen("head_speed_rpm", channels, time_s) is None


def test_the_reader_counts_frozen_values_and_sets_them_aside(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    rows = 3000
    head = np.round(2000.0 + rng.normal(0.0, 5.0, rows), 1)
    head[1000:1100] = head[1000]
    amp = np.round(20.0 + 5.0 * np.sin(np.arange(rows) / 50.0) + rng.normal(0.0, 0.5, rows), 1)
    lines = [f"{0.02 * k:.2f},{head[k]},{amp[k]}" for k in range(rows)]
    path = tmp_path / "log.csv"
    path.write_text("time (s),head speed (rpm),current (A)\n" + "\n".join(lines) + "\n", "utf-8")
    trace = read_trace(path, remember=False)
    assert "99 values in head speed (rpm) stand still while the rest moves: a frozen sensor" in trace.warnings
    assert np.isnan(trace.channels["head_speed_rpm"]).sum() == 99


def _noisy_log(rows: int = 2000) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(5)
    speed = np.round(2000.0 + 3.0 * rng.standard_normal(rows))
    volts = np.round(48.0 + 0.05 * rng.standard_normal(rows), 2)
    speed[:300] = volts[:300] = 0.0
    return {"head_speed_rpm": speed, "pack_voltage_v": volts, "throttle_percent": np.full(rows, 70.0)}


def test_rows_that_only_repeat_the_last_one_are_no_measurement():
    channels, time_s = _noisy_log(), np.arange(2000) * 0.05
    for values in channels.values():
        values[900:912] = values[899]
    held = held_rows(channels, time_s)
    assert held is not None
    assert set(range(900, 912)) <= set(np.flatnonzero(held)) <= set(range(900, 914))


def test_a_log_at_rest_and_one_coarse_sensor_repeat_rows_of_right():
    channels, time_s = _noisy_log(), np.arange(2000) * 0.05
    assert held_rows(channels, time_s) is None
    channels["head_speed_rpm"][900:930] = 2001.0
    assert held_rows(channels, time_s) is None
    assert held_rows({"head_speed_rpm": channels["head_speed_rpm"]}, time_s) is None


def test_a_coarse_speed_that_leaps_out_of_a_long_stand_was_frozen() -> None:
    """In steps of 50 rpm a hover stands still by itself; out of a freeze it leaps where no rotor does."""
    channels = {key: values.copy() for key, values in TRACE.channels.items()}
    coarse = np.round(channels["head_speed_rpm"] / 50.0) * 50.0
    first, last = int(104.8 * 50.0), int(110.0 * 50.0)
    coarse[first:last] = coarse[first]
    channels["head_speed_rpm"] = coarse
    assert abs(coarse[last] - coarse[first]) > 0.06 * coarse.max()
    flags = frozen("head_speed_rpm", channels, TRACE.time_s)
    assert flags is not None
    assert flags[first + 2 : last].all()
    stood = first - int(np.argmax(coarse[first::-1] != coarse[first])) + 1
    assert not flags[:stood].any()
    assert not flags[last:].any()
