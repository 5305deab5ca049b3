"""Logs that were given twice, that repeat the end of another, or that go on where another ends."""

import dataclasses

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.one_flight import as_one
from steadyhead.judge.result import Judgement
from steadyhead.judge.rotated import repeated_rows
from steadyhead.judge.session import session
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.property.test_judge_any_trace import MACHINE
from tests.unit.judge.test_flights import flown


def cut(first_s: float, end_s: float, name: str) -> Trace:
    """Return the rows of a flight between two times, as a logger writes them that begins a new file."""
    one = flown()
    rows = slice(*one.time_s.searchsorted((first_s, end_s)))
    return dataclasses.replace(
        one,
        source=name,
        time_s=one.time_s[rows] - one.time_s[rows][0],
        channels={name: values[rows].copy() for name, values in one.channels.items()},
    )


def judged(*traces: Trace) -> list[Judgement]:
    return [judge(MACHINE, trace) for trace in traces]


def test_a_log_that_is_given_twice_counts_once_and_that_is_said() -> None:
    alone = judge(MACHINE, flown())
    got = session(MACHINE, judged(flown(), dataclasses.replace(flown(), source="copy.csv")))
    assert got.energy_wh == alone.energy_wh
    assert got.flights == 1
    assert len(got.logs) == 1
    assert any("copy.csv is the same log as" in word for word in got.logs[0].warnings)


def test_the_rows_that_a_log_repeats_from_the_one_before_are_counted() -> None:
    before, after = cut(0.0, 60.0, "one.csv"), cut(50.0, 190.0, "two.csv")
    assert repeated_rows(before, after) == np.count_nonzero((flown().time_s >= 50.0) & (flown().time_s < 60.0))
    assert repeated_rows(after, before) == 0
    assert repeated_rows(before, cut(60.0, 190.0, "two.csv")) == 0


@pytest.mark.parametrize("again_s", [0.0, 10.0])
def test_one_flight_in_three_files_is_one_flight_with_the_energy_of_one(again_s: float) -> None:
    parts = (cut(0.0, 60.0, "1.csv"), cut(60.0 - again_s, 90.0, "2.csv"), cut(90.0 - again_s, 190.0, "3.csv"))
    got = session(MACHINE, judged(*parts))
    assert got.flights == 1
    assert got.energy_wh == pytest.approx(judge(MACHINE, flown()).energy_wh, rel=0.005)
    assert sum("goes on where" in word for word in got.warnings) == 2
    assert sum("its energy there counts once" in word for word in got.warnings) == (2 if again_s else 0)


def test_two_whole_flights_are_two() -> None:
    other = dataclasses.replace(
        flown(), channels={**flown().channels, "pack_voltage_v": flown().channels["pack_voltage_v"] - 0.3}
    )
    got = session(MACHINE, judged(flown(), other))
    assert got.flights == 2
    assert got.warnings == ()


def test_a_log_that_ends_just_after_the_motor_was_called_back_does_not_tell_how() -> None:
    bail_out = judge(MACHINE, flown()).bail_outs[0]
    got = judge(MACHINE, cut(0.0, bail_out.start_s + 0.8, "short.csv"))
    granted = next(check for check in got.checks if check.check == "quick_restart_granted")
    assert granted.verdict is Outcome.UNKNOWN
    assert "the log ends 0.8 s after" in granted.reason


@pytest.mark.parametrize("again_s", [0.0, 10.0])
def test_a_flight_in_two_files_is_followed_from_flight_to_flight_as_one(again_s: float) -> None:
    whole = judge(MACHINE, flown())
    duty = flown().channels["duty"] * 0.999
    other = dataclasses.replace(flown(), source="1.csv", channels={**flown().channels, "duty": duty})
    got = session(
        MACHINE,
        judged(
            other,
            cut(0.0, 60.0, "2.csv"),
            cut(60.0 - again_s, 190.0, "3.csv"),
            flown(),
        ),
    )
    assert got.flights == 3
    energy = next(trend for trend in got.trends if trend.figure == "energy_wh")
    assert energy.count == 3
    assert energy.said == "not beyond noise"
    assert energy.per_flight == pytest.approx(0.0, abs=0.01 * (whole.energy_wh or 0.0))
    power = next(trend for trend in got.trends if trend.figure == "power_w")
    assert power.per_flight_interval[1] < 0.05 * power.first


def test_two_parts_are_one_flight_with_what_both_took_and_the_worse_of_both() -> None:
    first, second = (judge(MACHINE, trace).flights[0] for trace in (cut(0.0, 60.0, "1.csv"), cut(50.0, 190.0, "2.csv")))
    one = as_one(first, second, 10.0, 1.0)
    assert one.energy_wh == pytest.approx((first.energy_wh or 0.0) + (second.energy_wh or 0.0) - 1.0)
    assert one.driven_s == pytest.approx(first.driven_s + second.driven_s - 10.0)
    assert one.power_w == pytest.approx(3600.0 * (one.energy_wh or 0.0) / one.driven_s)
    assert one.pack_voltage_min_v == min(first.pack_voltage_min_v or 99.0, second.pack_voltage_min_v or 99.0)
    assert one.duty_max == max(first.duty_max or 0.0, second.duty_max or 0.0)
    assert one.rest_voltage_v == first.rest_voltage_v
    blind = dataclasses.replace(second, energy_wh=None, pack_voltage_min_v=None, hover_duty=None)
    assert as_one(first, blind, 0.0, 0.0).energy_wh is None
    assert as_one(first, blind, 0.0, 0.0).pack_voltage_min_v == first.pack_voltage_min_v
    assert as_one(first, blind, 0.0, 0.0).hover_duty == first.hover_duty
