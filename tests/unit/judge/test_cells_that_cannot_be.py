"""A weakest cell that reads what no weakest cell does, or that was not all read, does not pass; a sound one does."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.unit.judge.test_telemetry import MACHINE, flight

LEFT = ColumnRead(channel="lowest_cell_v", heading="Cells", confidence="left out")
CELLS = 12


def flown(*, hertz: float = 25.0) -> Trace:
    """A flight of 100 s whose cells sag from 4.1 to 3.6 V; the weakest lies 0.06 V below the mean under load."""
    t, channels = flight(restart_s=1.2, cut_rpm=1000.0, hertz=hertz)
    rng = np.random.default_rng(8)
    climb = np.interp(t, [69.5, 70.0, 74.0, 74.5, 80.0, 80.5, 84.0, 84.5], [0, 50, 90, 0, 0, 50, 90, 0])
    drawn = np.where(channels["duty"] > 0.1, 40.0 + climb, 0.3)
    mean = 4.15 - np.cumsum(drawn) / hertz / 3600.0 / 4.0 * 0.5 - 0.0025 * drawn
    lowest = mean - 0.0006 * drawn + 0.003 * rng.normal(size=t.size)
    channels |= {
        "pack_current_a": drawn + 0.2 * rng.normal(size=t.size),
        "pack_voltage_v": CELLS * mean + 0.01 * rng.normal(size=t.size),
        "lowest_cell_v": np.round(lowest, 3),
    }
    return Trace(source="made", time_s=t, channels=channels, rows_read=t.size)


def cell_voltage(trace: Trace) -> Verdict:
    return next(check for check in judge(MACHINE, trace).checks if check.check == "cell_voltage")


def reading(trace: Trace, lowest: np.ndarray | None) -> Trace:
    channels = {name: values for name, values in trace.channels.items() if name != "lowest_cell_v"}
    return dataclasses.replace(trace, channels=channels if lowest is None else {**channels, "lowest_cell_v": lowest})


@pytest.mark.parametrize("hertz", [10.0, 25.0, 50.0])
def test_a_cell_that_follows_the_pack_passes(hertz: float) -> None:
    trace = flown(hertz=hertz)
    lowest = trace.channels["lowest_cell_v"]
    every = int(hertz)
    held = lowest[np.arange(lowest.size) // every * every]
    late = np.concatenate((np.full(every // 2, lowest[0]), lowest[: -(every // 2)]))
    for sound in (lowest, np.round(lowest, 2), np.round(lowest, 1), held, late, lowest + 0.04, 1.02 * lowest):
        found = cell_voltage(reading(trace, sound))
        assert found.verdict is Outcome.PASS, found.reason


@pytest.mark.parametrize("from_s", [0.0, 40.0])
def test_a_cell_that_stands_above_the_mean_does_not(from_s: float) -> None:
    trace = flown()
    row = int(from_s * 25.0)
    stuck = np.where(np.arange(trace.time_s.size) < row, trace.channels["lowest_cell_v"], 3.95)
    found = cell_voltage(reading(trace, stuck))
    assert found.verdict is Outcome.UNKNOWN
    assert "and the mean of all" in found.reason


def test_a_cell_that_reads_no_less_than_some_value_does_not() -> None:
    trace = flown()
    lowest = trace.channels["lowest_cell_v"]
    found = cell_voltage(reading(trace, np.maximum(lowest, float(np.quantile(lowest, 0.05)))))
    assert found.verdict is Outcome.UNKNOWN
    assert "its sensor stands still" in found.reason


@pytest.mark.parametrize("with_lowest", [True, False])
def test_beside_a_column_that_may_hold_a_weaker_cell_nothing_passes_and_a_fail_stays(with_lowest: bool) -> None:
    trace = flown()
    lowest = trace.channels["lowest_cell_v"] if with_lowest else None
    trace = dataclasses.replace(reading(trace, lowest), unread=(LEFT,))
    found = cell_voltage(trace)
    assert found.verdict is Outcome.UNKNOWN
    assert "Cells may hold a weaker cell" in found.reason
    low = {**trace.channels, "pack_voltage_v": trace.channels["pack_voltage_v"] - 6.0}
    if with_lowest:
        low["lowest_cell_v"] = trace.channels["lowest_cell_v"] - 0.5
    assert cell_voltage(dataclasses.replace(trace, channels=low)).verdict is Outcome.FAIL


def test_a_dead_pack_voltage_takes_nothing_from_a_cell_that_was_read() -> None:
    trace = flown()
    channels = {**trace.channels, "pack_voltage_v": np.zeros(trace.time_s.size)}
    assert cell_voltage(dataclasses.replace(trace, channels=channels)).verdict is Outcome.PASS
