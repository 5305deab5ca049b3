"""A file that holds several runs of its logger: nothing reaches over a seam, and a mere jump of the clock is none."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.log_runs import runs_of
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown, joined


def until(trace: Trace, rows: int) -> Trace:
    """Return the first rows of a log."""
    return dataclasses.replace(
        trace, time_s=trace.time_s[:rows], channels={name: values[:rows] for name, values in trace.channels.items()}
    )


def broken_off() -> Trace:
    """Return a flight whose logger was stopped while the head still coasted."""
    head = flown().channels["head_speed_rpm"]
    running = np.flatnonzero(head > 0.5 * float(head.max()))
    return until(flown(), int(running[-1]))


def seamed(first: Trace, second: Trace) -> Trace:
    """Return two runs in one file, whose clock began again with the second."""
    whole = joined(first, second)
    return dataclasses.replace(whole, seams_s=(float(whole.time_s[first.time_s.size]),))


def test_a_run_that_begins_at_rest_is_a_flight_of_its_own_though_the_head_was_not_seen_to_stop() -> None:
    trace = seamed(broken_off(), flown())
    seam_s = trace.seams_s[0]
    got, alone = judge(MACHINE, trace), judge(MACHINE, flown())
    assert len(got.flights) == 2
    assert not [s for s in got.segments if s.start_s < seam_s - 0.1 < s.end_s - 0.2 and s.end_s > seam_s + 0.1]
    assert [s.kind for s in got.segments if s.start_s >= seam_s - 0.1] == [s.kind for s in alone.segments]
    assert got.flights[1].energy_wh == pytest.approx(alone.energy_wh, rel=0.01)
    assert got.trace is trace
    assert any("2 runs of the logger" in word for word in got.warnings)
    told = {check.check: check.verdict for check in got.checks}
    assert told["hold_clears_quick_restart"] is not Outcome.FAIL


def test_a_soft_start_that_is_too_quick_is_found_in_the_second_run_too() -> None:
    spool = next(s for s in judge(MACHINE, flown()).segments if s.kind == "soft_spool")
    one = flown()
    keep = (one.time_s < spool.start_s + 0.1) | (one.time_s > spool.end_s - 0.1)
    rows = np.flatnonzero(keep)
    quick = dataclasses.replace(
        one,
        time_s=np.arange(rows.size) * 0.02,
        channels={name: values[rows] for name, values in one.channels.items()},
    )
    alone = {check.check: check.verdict for check in judge(MACHINE, quick).checks}
    assert alone["soft_start_time"] is Outcome.FAIL
    told = {check.check: check.verdict for check in judge(MACHINE, seamed(broken_off(), quick)).checks}
    assert told["soft_start_time"] is Outcome.FAIL
    assert told["hold_clears_quick_restart"] is not Outcome.FAIL


def test_a_clock_that_was_set_in_flight_parts_nothing() -> None:
    governed = next(s for s in judge(MACHINE, flown()).segments if s.kind == "governed")
    trace = dataclasses.replace(flown(), seams_s=(0.5 * (governed.start_s + governed.end_s),))
    assert len(runs_of(trace)) == 1


def test_a_clock_set_in_flight_while_the_speed_is_lost_parts_nothing() -> None:
    whole = flown()
    governed = next(s for s in judge(MACHINE, whole).segments if s.kind == "governed")
    seam_s = 0.5 * (governed.start_s + governed.end_s)
    head = np.where(np.abs(whole.time_s - seam_s) < 1.2, np.nan, whole.channels["head_speed_rpm"])
    trace = dataclasses.replace(whole, channels={**whole.channels, "head_speed_rpm": head}, seams_s=(seam_s,))
    assert len(runs_of(trace)) == 1


def test_rows_missing_for_more_than_a_minute_part_two_runs_unless_the_head_turns_on() -> None:
    first, second = broken_off(), flown()
    whole = joined(first, second)
    later = whole.time_s.copy()
    later[first.time_s.size :] += 100.0
    assert len(runs_of(dataclasses.replace(whole, time_s=later))) == 2
    middle = int(0.6 * first.time_s.size)
    within = first.time_s.copy()
    within[middle:] += 100.0
    assert len(runs_of(dataclasses.replace(first, time_s=within))) == 1


def test_a_run_in_which_nothing_turned_leaves_nothing_in_doubt() -> None:
    rest = until(flown(), 100)
    told, alone = (
        {check.check: check.verdict for check in judge(MACHINE, trace).checks}
        for trace in (seamed(rest, flown()), flown())
    )
    assert told == alone


def test_two_runs_on_one_pack_share_its_charge() -> None:
    first = flown()
    amperes = first.channels["pack_current_a"]
    capacity = MACHINE.value("pack.capacity")
    assert capacity is not None
    used = float(np.sum(0.5 * (amperes[1:] + amperes[:-1]) * np.diff(first.time_s)))
    draw = 0.45 * capacity.si / used
    falls_v = 0.3 * MACHINE.cells
    volts = first.channels["pack_voltage_v"] - falls_v * np.linspace(0.0, 1.0, first.time_s.size)
    heavy = dataclasses.replace(
        first, channels={**first.channels, "pack_current_a": amperes * draw, "pack_voltage_v": volts}
    )
    again = dataclasses.replace(heavy, channels={**heavy.channels, "pack_voltage_v": volts - falls_v})
    told = {check.check: check for check in judge(MACHINE, seamed(heavy, again)).checks}
    assert told["charge_left"].verdict is Outcome.FAIL
    assert told["charge_left"].reason.startswith("flights 1 to 2, on one pack: ")
    fresh = {check.check: check for check in judge(MACHINE, seamed(heavy, heavy)).checks}
    assert fresh["charge_left"].verdict is Outcome.PASS


def test_a_lone_row_of_another_time_is_no_run() -> None:
    trace = seamed(until(flown(), 1), flown())
    assert [run.time_s.size for run in runs_of(trace)] == [flown().time_s.size]
