"""Bail-out: agrees with the engine, loses what it must, and never passes what nobody knows."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out import STRAIGHT_DOWN, TODAY, bail_out, best_ramp, height_check
from steadyhead.flight.bail_out_case import base_case, ready
from steadyhead.flight.bail_out_columns import ROWS, TOLD
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_flight import bail_out as fly_one
from steadyhead.flight.bail_out_height import flown, granted, heights, least_height, rounded_up, with_ramp
from steadyhead.flight.bail_out_loads import broken as broken_by
from steadyhead.flight.bail_out_loads import load_checks, unknown_limits
from steadyhead.flight.begin import hovering
from steadyhead.flight.engine import flight_of
from steadyhead.flight.loop import COLLECTIVE, COMMANDS, FORWARD, LOAD_FACTOR, RATE_OF, TARGET
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Outcome

DESCENT_S = 14.0


@pytest.fixture(scope="module")
def fox():
    """The invented Fox with its autorotation position inside the idle band, so that a quick restart is granted."""
    return ready(read_machine(bundled("fox600")).replaced({"channel.autorotation": 0.15}), 1)


@pytest.fixture(scope="module")
def base(fox):
    return base_case(fox, 0.0)


def one(own, case, rows=0):
    told, record = np.zeros(len(TOLD)), np.zeros((rows, len(ROWS)))
    wrote = fly_one(own.craft, own.map, own.setting, own.limits, case, np.zeros(79), told, record)
    return told, record[:wrote]


def engine_rows(own, collective_rad, after=None):
    """Hover, autorotation at a collective for DESCENT_S, then the channel and the collective of a quick bail-out."""
    clock = own.rig.setting.clock
    frame_s = clock.step_s * clock.steps_a_frame
    before = round(DESCENT_S / frame_s)
    count = before + (0 if after is None else len(after))
    rows = np.full((count, len(COMMANDS)), math.nan)
    rows[:, RATE_OF], rows[:, FORWARD], rows[:, LOAD_FACTOR] = own.rig.logic.ramp_rate_percent_s, 0.0, 1.0
    rows[:, TARGET], rows[:, COLLECTIVE] = 15.0, collective_rad
    if after is not None:
        rows[before:, COLLECTIVE] = after[:, 5]
        switched = after[:, 0] >= columns_reaction(own) - 1e-9
        rows[before:, TARGET][switched] = base_case(own, 0.0)[columns.TARGET]
    now, arrays = hovering(own.rig, mode=own.mode, channel_percent=15.0, height_m=900.0, charge=0.5)
    scenario = read_scenario("bail_out")
    return flight_of(own.machine, scenario, own.rig, now, arrays, rows, silent).record


def columns_reaction(own):
    return base_case(own, 0.0)[columns.REACTION]


def test_the_quick_model_flies_the_bail_out_of_the_engine(fox, base):
    """Same state, same hands, same switch: height lost within 3 %, head speed within 1.5 %."""
    glide_rad = float(base[columns.COLLECTIVE])
    start = engine_rows(fox, glide_rad)[-1]
    case = base.copy()
    case[columns.HEAD], case[columns.MOTOR] = start[1], start[2]
    case[columns.SINK], case[columns.CHARGE], case[columns.IDLED] = -start[4], start[5], DESCENT_S
    told, record = one(fox, case, rows=600)
    assert told[columns.CODE] == columns.LEVEL_REACHED
    whole = engine_rows(fox, glide_rad, record)
    after = whole[whole[:, 0] >= DESCENT_S - 1e-6]
    level = int(np.flatnonzero((after[:, 4] >= 0.0) & (after[:, 0] > DESCENT_S + 1.0))[0])
    lost = after[0, 3] - after[: level + 1, 3].min()
    assert told[columns.LOST] == pytest.approx(lost, rel=0.03)
    assert told[columns.HEAD_LOW] == pytest.approx(after[: level + 1, 1].min(), rel=0.015)
    assert told[columns.PACK_A] == pytest.approx(after[: level + 1, 11].max(), rel=0.2)
    assert lost > 20.0


def test_a_slower_ramp_loses_more_height(fox, base):
    lost = [one(fox, with_ramp(base, ramp))[0][columns.LOST] for ramp in (0.3, 1.0, 3.0, 8.0)]
    assert lost == sorted(lost)
    assert lost[-1] > lost[0] + 20.0


def test_a_second_of_reaction_costs_a_second_of_sink(fox, base):
    later = base.copy()
    later[columns.REACTION] += 1.0
    more = one(fox, later)[0][columns.LOST] - one(fox, base)[0][columns.LOST]
    assert more == pytest.approx(base[columns.SINK], rel=0.03)


def test_an_autorotation_position_below_the_cut_off_costs_the_quick_restart():
    own = ready(read_machine(bundled("fox600")), 1)
    case = base_case(own, 0.0)
    assert case[columns.FROM] < own.setting.rules.stop_percent
    told, _ = one(own, case)
    other, _ = one(own, granted(own, case))
    assert told[columns.RUN_TAKEN] != columns.QUICK_RUN
    assert other[columns.RUN_TAKEN] == columns.QUICK_RUN
    assert told[columns.LOST] > other[columns.LOST] + 50.0


def test_a_motor_without_current_never_comes_back(fox, base):
    """A resistance that lets no current through: the motor never carries the head, and no height is told."""
    dead = base.copy()
    dead[columns.WINDING] = 1e3
    told = flown(fox, np.vstack([dead, dead]))
    assert np.all(told[:, columns.CODE] != columns.LEVEL_REACHED)
    assert np.all(np.isinf(heights(told)))
    assert least_height(heights(told), 0.95)[0] is None


def test_the_same_draws_give_the_same_height(fox, base):
    first, second = (flown(fox, drawn_cases(fox, base, 40)) for _ in range(2))
    assert np.array_equal(first[:, columns.LOST], second[:, columns.LOST])
    assert np.std(first[:, columns.LOST]) > 1.0


@pytest.mark.parametrize("number", [100, 237, 1000])
@pytest.mark.parametrize("chance", [0.8, 0.9])
def test_the_interval_of_a_height_stands_on_the_order_statistics_that_scipy_names(number, chance):
    low, high = (int(binom.ppf(share, number, chance)) for share in (0.05, 0.95))
    assert least_height(np.arange(0.0, number), chance)[1] == (low - 1.0, float(high))


def test_heights_are_rounded_up_and_a_quantile_has_its_own_interval():
    assert rounded_up(40.01) == 41.0
    assert rounded_up(math.inf) is None
    lost = np.arange(1.0, 1001.0)
    value, interval = least_height(lost, 0.95)
    assert value == 950.0
    assert interval is not None
    assert interval[0] < 950.0 < interval[1]
    # Binomial(1000, 0.95) has a standard deviation of 6.9: 1.645 of them to either side.
    assert interval[1] - interval[0] == pytest.approx(2.0 * 1.645 * math.sqrt(1000 * 0.95 * 0.05), abs=3.0)
    few, none = least_height(np.arange(1.0, 11.0), 0.95)
    assert few == 10.0
    assert none is None


def test_a_limit_that_nobody_stated_is_unknown_and_one_that_is_passed_fails(fox, base):
    told = one(fox, base)[0]
    spread = np.vstack([told, told])
    nobody = replace(fox, machine=read_machine(bundled("heron520")))
    by_name = {check.check: check for check in load_checks(nobody, told, spread)}
    assert "gears.one_way_torque_max" in unknown_limits(nobody)
    assert by_name["one_way_torque"].verdict is Outcome.UNKNOWN
    assert by_name["pack_current"].verdict is Outcome.PASS
    weak = replace(fox, machine=fox.machine.replaced({"pack.current_burst": 5.0, "gears.one_way_torque_max": 1.0}))
    broken = {check.check: check for check in load_checks(weak, told, spread)}
    assert broken["pack_current"].verdict is Outcome.FAIL
    assert broken["one_way_torque"].verdict is Outcome.FAIL
    assert set(broken_by(weak, told, spread)) >= {"pack_current", "one_way_torque"}


def test_today_is_told_with_what_no_quick_restart_would_cost(fox):
    told = bail_out(fox, STRAIGHT_DOWN, 0.0, 0.9, 100)
    assert told.today.restart == TODAY
    assert told.granted == told.today
    assert told.saved_m is not None
    assert told.saved_m > 50.0
    assert told.soft.least_height_m == told.today.least_height_m + told.saved_m
    assert {check.check for check in told.checks} >= {"bail_out_height", "bail_out_ramp", "bail_out_pack_voltage"}
    height = next(check for check in told.checks if check.check == "bail_out_height")
    limit = fox.machine.limit("limits.bail_out_height")
    assert height.limit == limit.value
    assert (height.verdict is Outcome.PASS) == (max(height.figure_interval) <= limit.value)
    generous = replace(fox, machine=fox.machine.replaced({"limits.bail_out_height": 400.0}))
    assert height_check(generous, told.today).verdict is Outcome.PASS
    unsaid = fox.machine.model_copy(update={"limits": fox.machine.limits.model_copy(update={"bail_out_height": None})})
    silent = height_check(replace(fox, machine=unsaid), told.today)
    assert silent.verdict is Outcome.UNKNOWN
    assert "limits.bail_out_height" in silent.needs
    # Gains that are typical values of nobody's machine: known is too big a word for such a height.
    other = height_check(replace(fox, machine=read_machine(bundled("heron520"))), told.today)
    assert other.verdict is Outcome.UNKNOWN
    assert "governor.gain" in other.needs
    assert [ramp.height_lost_m for ramp in told.ramps] == sorted(ramp.height_lost_m for ramp in told.ramps)
    best = best_ramp(told.ramps)
    assert best is not None
    assert best.ramp_s == told.best_ramp_s
    strict = tuple(replace(ramp, keeps_known_limits=ramp.ramp_s > 1.0) for ramp in told.ramps)
    assert best_ramp(strict).ramp_s > 1.0
    assert best_ramp(tuple(replace(ramp, keeps_known_limits=False) for ramp in told.ramps)) is None
