"""A current that could not turn the blades is in another unit: nothing that rests on it passes."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_cells_that_cannot_be import flown as cells_flown
from tests.unit.judge.test_slip import flown
from tests.unit.judge.test_telemetry import MACHINE as PACK_MACHINE


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


NEW_OHM = 0.028
LOGGED = ColumnRead(channel="pack_current_a", heading="current (A)", confidence="named")
CURRENT_CHECKS = ("esc_current", "charge_left", "pack_resistance")


def checks_of(channels: dict[str, np.ndarray], columns: tuple[ColumnRead, ...] = ()) -> dict[str, Verdict]:
    """Judge a flight with hard loads, with other readings of its pack."""
    trace = cells_flown(hertz=25.0)
    trace = dataclasses.replace(trace, channels={**trace.channels, **channels}, columns=columns)
    return {check.check: check for check in judge(PACK_MACHINE, trace).checks if check.check in CURRENT_CHECKS}


def drawn_a() -> np.ndarray:
    return np.maximum(cells_flown(hertz=25.0).channels["pack_current_a"], 0.0)


@pytest.mark.parametrize("share", [0.6, 1.0, 1.2])
def test_a_warm_pack_may_have_half_of_its_resistance(share: float) -> None:
    checks = checks_of({"pack_voltage_v": 50.0 - share * NEW_OHM * drawn_a()})
    assert {check.verdict for check in checks.values()} == {Outcome.PASS}


@pytest.mark.parametrize("share", [-0.6, 0.012, 0.04])
def test_a_resistance_that_no_pack_has_passes_nothing_of_the_current(share: float) -> None:
    checks = checks_of({"pack_voltage_v": 50.0 - share * NEW_OHM * drawn_a()})
    assert {check.verdict for check in checks.values()} == {Outcome.UNKNOWN}


@pytest.mark.parametrize("full_a", [65.536, 81.92])
def test_a_current_that_begins_again_when_full_passes_nothing(full_a: float) -> None:
    drawn = drawn_a()
    volts = 50.0 - NEW_OHM * drawn
    sound = checks_of({"pack_voltage_v": volts, "pack_current_a": drawn}, (LOGGED,))
    assert not any("begins again" in check.reason for check in sound.values())
    wrapped = checks_of({"pack_voltage_v": volts, "pack_current_a": drawn % full_a}, (LOGGED,))
    assert Outcome.PASS not in {check.verdict for check in wrapped.values()}
    assert "begins again" in wrapped["charge_left"].reason
