"""A current that could not turn the blades is in another unit: nothing that rests on it passes."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_slip import flown


def drawing(times: float, *, with_voltage: bool = True) -> Trace:
    """Return a flight whose current was read so many times too large, without a counter of the charge."""
    trace = flown()
    gone = {"charge_used_mah"} | (set() if with_voltage else {"pack_voltage_v", "lowest_cell_v"})
    channels = {name: values for name, values in trace.channels.items() if name not in gone}
    channels["pack_current_a"] = np.full(trace.time_s.size, 18.0) * (trace.channels["duty"] > 0.05) * times
    return dataclasses.replace(trace, channels=channels)


def esc_current(trace: Trace) -> Outcome:
    return {check.check: check.verdict for check in judge(MACHINE, trace).checks}["esc_current"]


def test_the_current_of_a_flight_passes() -> None:
    assert esc_current(drawing(1.0)) is Outcome.PASS


@pytest.mark.parametrize("with_voltage", [True, False])
@pytest.mark.parametrize("times", [0.1, 0.01])
def test_a_current_too_small_for_the_blades_passes_nothing(times: float, with_voltage: bool) -> None:
    trace = drawing(times, with_voltage=with_voltage)
    assert esc_current(trace) is Outcome.UNKNOWN
    assert any("another unit, or no blades" in reason for reason in (c.reason for c in judge(MACHINE, trace).checks))


def test_a_bench_log_without_blades_is_no_wrong_unit() -> None:
    trace = drawing(1.0)
    grounded = {
        **trace.channels,
        "height_m": np.zeros(trace.time_s.size),
        "collective_deg": np.zeros(trace.time_s.size),
    }
    idling = np.where(trace.channels["duty"] > 0.05, 2.5, 0.0)
    bench = dataclasses.replace(trace, channels={**grounded, "pack_current_a": idling})
    assert esc_current(bench) is Outcome.PASS
    hundredth = dataclasses.replace(trace, channels={**grounded, "pack_current_a": 0.01 * idling})
    assert esc_current(hundredth) is Outcome.UNKNOWN
