"""A charge counter that begins again within one log: what it had counted before was used, too."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.charge_counter import counted_on
from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.trace.trace import ColumnRead, Trace
from steadyhead.words.verdict import Outcome, Verdict
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown, joined

TIME_S = np.arange(0.0, 200.0, 0.1)


def count(until_mah: float, size: int) -> np.ndarray:
    """Return a count from zero to some charge in whole mAh."""
    return np.round(np.linspace(0.0, until_mah, size))


def test_a_count_that_begins_again_is_added_to_what_was_counted_before() -> None:
    values = np.concatenate([count(1500.0, 1000), count(900.0, 1000)])
    got, begins_s = counted_on(TIME_S, values)
    assert got[-1] == pytest.approx(2400.0, abs=2.0)
    assert np.all(np.diff(got) >= -2.0)
    assert begins_s == pytest.approx([100.0])


def test_a_new_beginning_is_found_over_rows_without_a_value() -> None:
    values = np.concatenate([count(1500.0, 1000), count(900.0, 1000)])
    values[np.arange(values.size) % 7 != 0] = np.nan
    got, begins_s = counted_on(TIME_S, values)
    assert float(np.nanmax(got)) == pytest.approx(2400.0, abs=20.0)
    assert len(begins_s) == 1


@pytest.mark.parametrize("rows", [3, 60])
def test_a_counter_that_drops_out_and_comes_back_has_not_begun_again(rows: int) -> None:
    values = count(1500.0, 2000)
    values[1200 : 1200 + rows] = 0.0
    got, begins_s = counted_on(TIME_S, values)
    assert begins_s == ()
    assert float(np.nanmax(got)) == 1500.0


def test_a_lone_high_row_and_a_trembling_count_are_no_new_beginning() -> None:
    values = count(1500.0, 2000)
    values[300] = 60_000.0
    values[500::7] -= 8.0
    assert counted_on(TIME_S, values)[1] == ()


CAPACITY = MACHINE.value("pack.capacity")
CAPACITY_MAH = 0.0 if CAPACITY is None else CAPACITY.si / 3.6


def counted(share: float, shown: float | None = None) -> Trace:
    """Return a flight whose current takes this share of the pack, and whose counter shows `shown` of it."""
    one = flown()
    amperes = one.channels["pack_current_a"]
    used = np.concatenate([[0.0], np.cumsum(0.5 * (amperes[1:] + amperes[:-1]) * np.diff(one.time_s))]) / 3.6
    amperes, used = (values * (share * CAPACITY_MAH / used[-1]) for values in (amperes, used))
    used = used if shown is None else used * shown / share
    return dataclasses.replace(
        one, channels={**one.channels, "pack_current_a": amperes, "charge_used_mah": np.round(used)}
    )


def charge_left(judged: Judgement) -> Verdict:
    return next(check for check in judged.checks if check.check == "charge_left")


def lowered(trace: Trace, cell_v: float) -> Trace:
    """Return a log in which every pack voltage reads so much lower."""
    volts = trace.channels["pack_voltage_v"] - cell_v * MACHINE.cells
    return dataclasses.replace(trace, channels={**trace.channels, "pack_voltage_v": volts})


def drained(trace: Trace, cell_v: float) -> Trace:
    """Return a log in which the pack voltage falls by so much as the charge is used."""
    used = trace.channels["charge_used_mah"]
    volts = trace.channels["pack_voltage_v"] - cell_v * MACHINE.cells * used / used[-1]
    return dataclasses.replace(trace, channels={**trace.channels, "pack_voltage_v": volts})


def test_two_flights_on_one_pack_use_the_sum_of_what_a_counter_shows_that_begins_again() -> None:
    first = drained(counted(0.35), 0.2)
    got = judge(MACHINE, joined(first, lowered(first, 0.2)))
    assert got.flights[1].pack_changed is False
    assert [f.charge_used_mah for f in got.flights] == pytest.approx([0.35 * CAPACITY_MAH] * 2, rel=0.01)
    alone, together = charge_left(judge(MACHINE, first)), charge_left(got)
    assert together.figure == pytest.approx((alone.figure or 0.0) - 0.35, abs=0.01)
    assert any("the charge counter begins again" in word for word in got.warnings)


def test_a_counter_that_the_current_contradicts_passes_nothing() -> None:
    assert charge_left(judge(MACHINE, counted(0.95, shown=0.94))).verdict is Outcome.FAIL
    check = charge_left(judge(MACHINE, counted(0.95, shown=0.1)))
    assert check.verdict is Outcome.UNKNOWN
    assert "the current adds up to" in check.reason


def test_a_log_that_ends_while_the_motor_drives_leaves_the_charge_unknown() -> None:
    read = dataclasses.replace(
        flown(), columns=(ColumnRead(channel="head_speed_rpm", heading="head", confidence="named"),)
    )
    whole = judge(MACHINE, read)
    assert charge_left(whole).verdict is Outcome.PASS
    governed = next(s for s in whole.segments if s.kind == "governed")
    rows = int(read.time_s.searchsorted(0.5 * (governed.start_s + governed.end_s)))
    cut = dataclasses.replace(
        read, time_s=read.time_s[:rows], channels={name: values[:rows] for name, values in read.channels.items()}
    )
    got = judge(MACHINE, cut)
    assert charge_left(got).verdict is Outcome.UNKNOWN
    assert any("ends while the motor drives" in word for word in got.warnings)


def test_a_log_without_a_pack_voltage_is_not_said_to_begin_after_rest() -> None:
    log = counted(0.5)
    bare = dataclasses.replace(log, channels={k: v for k, v in log.channels.items() if k != "pack_voltage_v"})
    got = judge(MACHINE, bare)
    assert got.segments[0].kind == "rest"
    check = charge_left(got)
    assert check.verdict is Outcome.UNKNOWN
    assert "no pack voltage at rest" in check.reason
