"""The worst of a flight passes only where its channel was there, and alive, in the hard loads that others show."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.stood_still import missing_spans, still_spans
from steadyhead.machine.reading import machine_from_text
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.given_machine import machine_text
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import GIVEN
from tests.recorded import flight, trace_of

CLIMBS = ((49.8, 53.4), (69.8, 73.4))
LOADS = (*CLIMBS, (84.8, 88.0))
MACHINE = machine_from_text(machine_text(GIVEN).replace("[pack]", 'temperature_max = "90 degC"\n\n[pack]'), "any.toml")
COLUMNS = (ColumnRead(channel="head_speed_rpm", heading="head", confidence="named"),)


@pytest.fixture(scope="module")
def sound() -> Trace:
    trace, rng = trace_of(fly(Drive(), flight())), np.random.default_rng(3)
    noise = {"head_speed_rpm": 2.0, "duty": 0.002, "pack_voltage_v": 0.02, "pack_current_a": 0.2}
    channels = dict(trace.channels)
    for name, sd in noise.items():
        moving = channels[name] != 0.0
        channels[name] = np.where(moving, channels[name] + rng.normal(0.0, sd, trace.time_s.size), 0.0)
    channels["duty"] = np.round(np.clip(channels["duty"], 0.0, 1.0), 3)
    channels["lowest_cell_v"] = np.round(channels["pack_voltage_v"] / GIVEN["cells_in_series"] - 0.02, 3)
    warm = np.clip((trace.time_s - 4.0) / 120.0, 0.0, 1.0)
    channels["controller_temperature_c"] = np.round(25.0 + 30.0 * warm + rng.normal(0.0, 0.2, warm.size))
    return dataclasses.replace(trace, channels=channels, columns=COLUMNS)


def with_channel(trace: Trace, name: str, values: np.ndarray) -> Trace:
    return dataclasses.replace(trace, channels={**trace.channels, name: values})


def inside(trace: Trace, spans: tuple[tuple[float, float], ...]) -> np.ndarray:
    return np.logical_or.reduce([(trace.time_s > a) & (trace.time_s < b) for a, b in spans])


def blanked(trace: Trace, name: str, *spans: tuple[float, float]) -> Trace:
    return with_channel(trace, name, np.where(inside(trace, spans), np.nan, trace.channels[name]))


def frozen_from(trace: Trace, name: str, from_s: float) -> Trace:
    values = trace.channels[name]
    at = float(values[int(trace.time_s.searchsorted(from_s))])
    return with_channel(trace, name, np.where(trace.time_s >= from_s, at, values))


def check(trace: Trace, name: str) -> Verdict:
    return next(one for one in judge(MACHINE, trace).checks if one.check == name)


WORST = {
    "esc_current": "pack_current_a",
    "cell_voltage": "lowest_cell_v",
    "duty_margin": "duty",
    "climb_droop": "head_speed_rpm",
}


@pytest.mark.parametrize(("name", "channel"), WORST.items())
def test_a_worst_figure_does_not_pass_where_its_channel_is_missing_in_every_climb_out(
    sound: Trace, name: str, channel: str
) -> None:
    assert check(sound, name).verdict is Outcome.PASS
    hidden = LOADS if name != "climb_droop" else CLIMBS
    told = check(blanked(sound, channel, *hidden), name)
    assert told.verdict is Outcome.UNKNOWN
    if name != "climb_droop":
        assert "hardest load" in told.reason


@pytest.mark.parametrize(("name", "channel"), WORST.items())
def test_it_passes_where_an_equal_load_was_seen_or_the_holes_are_short(sound: Trace, name: str, channel: str) -> None:
    assert check(blanked(sound, channel, CLIMBS[0]), name).verdict is Outcome.PASS
    short = [(a + k, a + k + 0.5) for a, _ in CLIMBS for k in (0.3, 1.4)]
    assert check(blanked(sound, channel, *short), name).verdict is Outcome.PASS
    scattered = np.random.default_rng(5).random(sound.time_s.size) < 0.3
    lost = with_channel(sound, channel, np.where(scattered, np.nan, sound.channels[channel]))
    assert check(lost, name).verdict is Outcome.PASS


def test_it_passes_where_the_sensor_is_slow(sound: Trace) -> None:
    slow = np.repeat(sound.channels["lowest_cell_v"][::10], 10)[: sound.time_s.size]
    assert check(with_channel(sound, "lowest_cell_v", slow), "cell_voltage").verdict is Outcome.PASS


def test_rows_that_are_missing_in_every_load_take_the_passes_away(sound: Trace) -> None:
    def without(*spans: tuple[float, float]) -> Trace:
        keep = ~inside(sound, spans)
        channels = {name: values[keep] for name, values in sound.channels.items()}
        return dataclasses.replace(
            sound, time_s=sound.time_s[keep], channels=channels, rows_read=int(keep.sum()), row=sound.row[keep]
        )

    assert check(without((49.6, 53.4), (69.6, 73.4)), "esc_current").verdict is Outcome.UNKNOWN
    assert check(without((40.0, 41.0), (60.0, 61.2)), "esc_current").verdict is Outcome.PASS


@pytest.mark.parametrize(("name", "channel"), [("cell_voltage", "lowest_cell_v"), ("duty_margin", "duty")])
def test_a_channel_that_froze_before_the_loads_proves_nothing(sound: Trace, name: str, channel: str) -> None:
    assert check(frozen_from(sound, channel, 45.0), name).verdict is Outcome.UNKNOWN


def test_a_value_that_stands_at_the_end_of_its_scale_proves_nothing(sound: Trace) -> None:
    duty = sound.channels["duty"]
    top = 0.5 * (np.median(duty[inside(sound, ((40.0, 49.0),))]) + duty[inside(sound, CLIMBS)].max())
    told = check(with_channel(sound, "duty", np.minimum(duty, top)), "duty_margin")
    assert told.verdict is Outcome.UNKNOWN
    assert "greatest value" in told.reason


def test_a_duty_that_stands_still_below_its_stop_is_not_called_room_left(sound: Trace) -> None:
    deep = np.where(inside(sound, ((50.4, 52.7), (70.4, 72.7))), 0.9, 1.0) * sound.channels["head_speed_rpm"]
    drooped = with_channel(sound, "head_speed_rpm", deep)
    assert "had room" in check(drooped, "climb_droop").reason
    clipped = with_channel(drooped, "duty", np.where(inside(sound, CLIMBS), 0.9, sound.channels["duty"]))
    told = check(clipped, "climb_droop")
    assert told.verdict is Outcome.FAIL
    assert "stood still at 0.90" in told.reason
    assert "had room and" not in told.reason
    assert not any("Raise" in line for line in judge(MACHINE, clipped).advice)


def test_a_temperature_that_was_not_seen_to_the_end_of_the_flight_does_not_pass(sound: Trace) -> None:
    name, channel = "controller_temperature", "controller_temperature_c"
    assert check(sound, name).verdict is Outcome.PASS
    assert check(blanked(sound, channel, (60.0, 1e9)), name).verdict is Outcome.UNKNOWN
    assert check(blanked(sound, channel, (60.0, 66.0)), name).verdict is Outcome.PASS
    assert check(blanked(sound, channel, (165.0, 1e9)), name).verdict is Outcome.PASS
    assert check(frozen_from(sound, channel, 45.0), name).verdict is Outcome.UNKNOWN


def test_a_temperature_that_has_come_to_rest_passes(sound: Trace) -> None:
    settled = np.round(25.0 + 30.0 * (1.0 - np.exp(-np.maximum(sound.time_s - 4.0, 0.0) / 15.0)))
    assert (
        check(with_channel(sound, "controller_temperature_c", settled), "controller_temperature").verdict
        is Outcome.PASS
    )


def test_spans_that_show_nothing_are_found() -> None:
    time_s = np.arange(0.0, 20.0, 0.05)
    values = np.random.default_rng(1).normal(0.0, 1.0, time_s.size)
    values[100:140] = values[100]
    assert still_spans(time_s, values) == pytest.approx(np.array([[5.0, 6.95]]))
    coarse = np.round(np.random.default_rng(2).normal(0.0, 0.35, time_s.size))
    assert still_spans(time_s, coarse).shape == (0, 2)
    values[300:] = np.nan
    assert missing_spans(time_s, values, 0.05) == pytest.approx(np.array([[14.95, 19.95]]))
