"""Flights of one log, what is left in each condition, and what moves from flight to flight."""

import dataclasses
import itertools
from functools import lru_cache

import numpy as np
import pytest

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement
from steadyhead.judge.session import session
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Outcome
from tests.naive.drive_log import Drive, fly
from tests.property.test_judge_any_trace import MACHINE
from tests.recorded import ALL, bench, flight, trace_of

RESISTANCES = (0.030, 0.036, 0.042, 0.048)


@lru_cache
def flown(pack_resistance: float = 0.03, pack_v: float = 49.5) -> Trace:
    return trace_of(fly(Drive(pack_resistance=pack_resistance, pack_v=pack_v), flight()))


def joined(*traces: Trace) -> Trace:
    """Return logs written end to end, as a logger that is not switched off between flights writes them."""
    step = 0.02
    starts = np.concatenate(([0.0], np.cumsum([trace.time_s[-1] + step for trace in traces])))[:-1]
    names = traces[0].channels
    time_s = np.concatenate([trace.time_s + start for trace, start in zip(traces, starts, strict=True)])
    return dataclasses.replace(
        traces[0],
        time_s=time_s,
        channels={name: np.concatenate([trace.channels[name] for trace in traces]) for name in names},
        rows_read=time_s.size,
        row=np.arange(time_s.size),
    )


@lru_cache
def four_flights() -> Judgement:
    return judge(MACHINE, joined(*(flown(resistance) for resistance in RESISTANCES)))


def test_a_log_of_four_flights_is_parted_into_four_that_share_its_time_and_energy() -> None:
    got = four_flights()
    assert [f.number for f in got.flights] == [1, 2, 3, 4]
    assert got.flights[0].start_s == 0.0
    assert got.flights[-1].end_s == pytest.approx(got.segments[-1].end_s)
    assert all(a.end_s == b.start_s for a, b in itertools.pairwise(got.flights))
    assert sum(f.energy_wh or 0.0 for f in got.flights) == pytest.approx(got.energy_wh, rel=0.001)
    assert all(f.flown for f in got.flights)


def test_each_flight_has_the_figures_of_the_same_flight_logged_alone() -> None:
    for number, resistance in enumerate(RESISTANCES):
        alone = judge(MACHINE, flown(resistance))
        inside = four_flights().flights[number]
        assert inside.climb_droop_percent == pytest.approx(alone.flights[0].climb_droop_percent, abs=0.05)
        assert inside.hover_duty == pytest.approx(alone.flights[0].hover_duty, abs=0.002)
        assert inside.energy_wh == pytest.approx(alone.energy_wh, rel=0.01)


def test_the_resistance_of_each_flight_is_its_own_and_its_rise_is_seen() -> None:
    got = four_flights()
    for one, true in zip(got.flights, RESISTANCES, strict=True):
        assert one.pack_resistance_mohm_interval is not None
        low, high = one.pack_resistance_mohm_interval
        assert low <= 1000.0 * true <= high
    trend = next(t for t in got.trends if t.figure == "pack_resistance_mohm")
    assert trend.said == "rises"
    low, high = trend.per_flight_interval
    assert low <= 6.0 <= high


def test_the_same_flight_four_times_shows_no_trend_of_the_pack() -> None:
    same = [trace_of(fly(Drive(), flight(), seed=seed)) for seed in (1, 2, 3, 4)]
    got = judge(MACHINE, joined(*same))
    assert {t.figure: t.said for t in got.trends}["pack_resistance_mohm"] == "not beyond noise"


def test_one_flight_has_no_trend_and_a_bench_run_is_not_flown() -> None:
    got = judge(MACHINE, trace_of(fly(Drive(blades=False, inertia=0.004), bench((4.0, 57.0), (40.0, 0.0)))))
    assert len(got.flights) == 1
    assert not got.flights[0].flown
    assert got.trends == ()


def test_a_fresh_pack_is_told_by_its_rest_voltage_and_judged_by_itself() -> None:
    small = dataclasses.replace(flown(), source="worn")
    amp = small.channels["pack_current_a"] * 12.0
    used = {**small.channels, "pack_current_a": amp}
    heavy = dataclasses.replace(small, channels=used)
    got = judge(MACHINE, joined(heavy, heavy))
    assert [f.pack_changed for f in got.flights] == [None, True]
    charge = next(c for c in got.checks if c.check == "charge_left")
    assert charge.reason.startswith("flight ")
    alone = next(c for c in judge(MACHINE, heavy).checks if c.check == "charge_left")
    assert charge.figure == pytest.approx(alone.figure, abs=0.02)


def test_the_head_room_is_least_in_the_climb_and_the_droop_there_is_the_governors_own() -> None:
    got = judge(MACHINE, flown())
    rooms = {room.condition: room for room in got.head_room}
    assert rooms["climb"].head_room < rooms["hover"].head_room
    assert rooms["climb"].head_room == pytest.approx(1.0 - rooms["climb"].duty)
    for event in (e for e in got.events if e.kind == "climb"):
        assert event.at_stop_share == 0.0
        assert event.governor_droop_percent == pytest.approx(event.droop_percent, abs=1e-6)


def test_droop_with_the_duty_at_its_stop_is_the_packs_not_the_governors() -> None:
    weak = Drive(pack_v=38.0, pack_resistance=0.06)
    got = judge(MACHINE, trace_of(fly(weak, flight(mode_percent=80.0)), keep=ALL))
    climbs = [e for e in got.events if e.kind == "climb" and (e.droop_percent or 0.0) > 1.0]
    assert climbs
    for event in climbs:
        assert event.sag_loss_percent is not None
        assert event.governor_droop_percent is not None
        assert event.droop_percent == pytest.approx(event.sag_loss_percent + event.governor_droop_percent, abs=1e-6)
        assert event.sag_loss_percent > 0.9 * event.droop_percent


def test_the_interval_of_a_peak_holds_what_the_sensor_showed() -> None:
    for event in judge(MACHINE, flown()).events:
        assert event.undershoot_percent_interval is not None
        low, high = event.undershoot_percent_interval
        assert low <= event.undershoot_percent <= high
        assert low < high


def test_a_session_takes_the_worst_of_each_check_and_a_proof_from_where_it_is() -> None:
    good = judge(MACHINE, flown())
    weak = judge(MACHINE, trace_of(fly(Drive(pack_v=38.0, pack_resistance=0.06), flight(mode_percent=80.0))))
    told = session(MACHINE, [good, weak])
    checks = {check.check: check for check in told.checks}
    assert told.verdict is Outcome.FAIL
    assert checks["climb_droop"].verdict is Outcome.FAIL
    assert (checks["climb_droop"].passed, checks["climb_droop"].failed) == (1, 1)
    assert told.flights == 2
    assert told.energy_wh == pytest.approx((good.energy_wh or 0.0) + (weak.energy_wh or 0.0))


def test_a_limit_of_every_flight_is_unknown_when_one_log_does_not_show_it() -> None:
    whole = judge(MACHINE, flown())
    blind = judge(MACHINE, trace_of(fly(Drive(), flight()), keep=("head", "throttle", "duty", "height", "collective")))
    checks = {check.check: check for check in session(MACHINE, [whole, blind]).checks}
    assert checks["esc_current"].verdict is Outcome.UNKNOWN
    assert checks["climb_droop"].verdict is Outcome.PASS
    assert blind.flights[0].energy_wh is None
