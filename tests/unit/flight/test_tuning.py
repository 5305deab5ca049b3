"""The map of gains: verdicts over the spread, the nearest good gains, advice that says what it does not know."""

import math

import numpy as np
import pytest

from steadyhead.flight.governor_answer import governor
from steadyhead.flight.governor_case import STEPPED, bench, cases
from steadyhead.flight.governor_result import TuningPoint
from steadyhead.flight.governor_spread import DRAWS, drawn, slowed
from steadyhead.flight.governor_told import loop_of, steps
from steadyhead.flight.governor_tolerances import tolerances
from steadyhead.flight.tuning import mapped, suggested, tuning, within
from steadyhead.flight.tuning_advice import nearest, turned
from steadyhead.flight.tuning_map import GridFigures, grid, grid_figures, step_pairs
from steadyhead.words.errors import InputError, SolveError
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome
from tests.unit.flight.governed import machine, ready, stepped

SIZE = 17
MIDDLE = SIZE * SIZE // 2


def made(name="wren450", own=True):
    """Return a machine whose gains are its own, or the bundled one whose gains are typical."""
    one = machine(name)
    if not own:
        return one
    values = {}
    for key in ("governor.gain", "governor.integral_time"):
        value = one.value(key)
        assert value is not None
        values[key] = type(value)(
            number=value.number, unit=value.unit, si=value.si, spread_si=0.0, origin=Origin.FITTED, note="a test"
        )
    return one.filled(values)


def figures(droop, modulus=None):
    count = SIZE * SIZE
    return GridFigures(
        drop=np.asarray(droop, dtype=float), rise=np.zeros(count), recovery_s=np.zeros(count),
        modulus=np.full(count, 0.8) if modulus is None else modulus, stable=np.ones(count, dtype=bool),
    )  # fmt: skip


def gains():
    return grid(1.0, 2.0)


def test_the_grid_has_todays_gains_in_its_middle():
    made_grid = gains()
    assert made_grid.pairs[MIDDLE] == pytest.approx([1.0, 2.0])
    assert made_grid.factors[0] == pytest.approx(0.25)
    assert made_grid.factors[-1] == pytest.approx(4.0)


def test_gains_pass_only_where_every_drawn_machine_holds():
    count = SIZE * SIZE
    droop = np.full(count, 0.02)
    droop[0] = 0.05
    other = np.ones(count, dtype=bool)
    other[1] = False
    good = np.ones(count, dtype=bool)
    held = tolerances(made())
    told = tuning(made(), mapped(gains(), figures(droop), held, [good, good, other], 0), held)
    assert told.points[0].verdict is Outcome.FAIL
    assert told.points[1].verdict is Outcome.UNKNOWN
    assert told.points[2].verdict is Outcome.PASS
    assert told.today.verdict is Outcome.PASS
    assert told.advice.startswith("leave the gains")


def test_a_machine_that_cannot_be_flown_takes_every_pass_away():
    count = SIZE * SIZE
    told = mapped(gains(), figures(np.full(count, 0.02)), tolerances(made()), [np.ones(count, dtype=bool)], 1)
    assert told.share.max() == 0.5
    assert suggested([Outcome.UNKNOWN] * count, told, SIZE) is None


@pytest.mark.parametrize("name", ["wren450", "heron520"])
def test_the_map_at_todays_gains_is_what_the_engine_flies(name):
    bench, found = ready(name), stepped(name)
    law, held = bench.governor, tolerances(machine(name))
    pairs = np.array([[law.gain, law.gain_per_s]])
    mapped_figures = grid_figures(bench, found, pairs, band_share=0.01, recovery_s=1.0)
    flown = steps(bench, step_pairs(found), held).values()
    # The replay keeps the torque of another flight: a tenth of the recovery band.
    assert mapped_figures.drop[0] == pytest.approx(max(step.drop for step in flown), abs=1e-3)
    assert mapped_figures.rise[0] == pytest.approx(max(step.rise for step in flown), abs=1e-3)
    assert abs(mapped_figures.rise[0] - mapped_figures.drop[0]) > (4e-3 if name == "heron520" else 0.0)
    modulus = min(loop_of(bench, case)[0].modulus for case in found)
    assert mapped_figures.modulus[0] == pytest.approx(modulus, abs=0.01)
    assert mapped_figures.stable[0]


def test_advice_is_a_turn_of_todays_gains():
    # Only gains of three lines more P hold; they and all beyond.
    factors = gains().factors
    droop = np.repeat(np.where(factors >= factors[SIZE // 2 + 3] - 1e-9, 0.02, 0.09), SIZE)
    held = tolerances(made())
    told = tuning(made(), mapped(gains(), figures(droop), held, [within(figures(droop), held)], 0), held)
    assert told.advice_known
    assert told.suggested is not None
    # One line further inside, so that the next line over still holds.
    assert told.suggested.gain_factor == pytest.approx(2.0)
    assert told.suggested.integral_factor == pytest.approx(1.0)
    assert told.advice.startswith("P: raise to about 2.0 times today's")
    assert told.suggested_gain == pytest.approx(told.suggested.gain_factor)


def test_advice_on_typical_gains_is_unknown_and_says_how_to_know():
    count = SIZE * SIZE
    held = tolerances(made())
    told = tuning(made(own=False), mapped(gains(), figures(np.full(count, 0.02)), held, [], 0), held)
    assert not told.advice_known
    assert "unknown until the gains are learned from a log" in told.advice


def test_no_gains_at_all_says_which_tolerance_is_in_the_way():
    count = SIZE * SIZE
    held = tolerances(made())
    told = tuning(made(), mapped(gains(), figures(np.full(count, 0.08)), held, [np.zeros(count, dtype=bool)], 0), held)
    assert told.suggested is None
    assert "droop is at least 8.0 %, limit 4 %" in told.advice


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (1.0, ""),
        (1.19, "raise by about 20 %"),
        (0.84, "lower by about 15 %"),
        (2.83, "raise to about 2.8 times today's"),
    ],
)
def test_turns_are_told_in_rounded_steps(factor, words):
    assert turned(factor) == words


def test_the_same_machines_are_drawn_every_time_and_none_is_impossible():
    first, again = drawn(made()), drawn(made())
    assert len(first) == DRAWS
    assert [dict(one.values()) for one in first] == [dict(one.values()) for one in again]
    for one in first:
        gain = one.value("governor.integral_time")
        assert gain is not None
        assert gain.si > 0.0


def test_draws_spread_as_the_machine_says():
    inertia = [one.value("rotor.inertia") for one in drawn(machine("wren450"))]
    stated = machine("wren450").value("rotor.inertia")
    assert stated is not None
    moved = np.array([(value.si - stated.si) / stated.spread_si for value in inertia if value is not None])
    # 19 draws: their standard deviation lies within a half of the true 1/1.645 with near certainty.
    assert moved.std(ddof=1) == pytest.approx(1.0 / 1.645, rel=0.5)


@pytest.mark.parametrize("filter_s", [0.0, 0.002, 0.008])
def test_a_fast_governor_is_slowed_for_the_map_without_its_reading_growing_older(filter_s):
    fast = made().replaced(
        {
            "governor.rate": 2000.0,
            "governor.sensor_delay": 0.003,
            "governor.filter_time": filter_s,
            "governor.gain": 4.0,
        }
    )
    slow = slowed(fast)
    rate = slow.value("governor.rate")
    assert rate is not None
    assert rate.si == 500.0
    ready_ones = (bench(fast), bench(slow))
    margin = [min(loop_of(one, case)[0].modulus for case in cases(one, STEPPED)[0]) for one in ready_ones]
    assert margin[1] == pytest.approx(margin[0], abs=0.01)
    assert slowed(slow) is slow


def test_a_machine_that_cannot_hover_says_so():
    with pytest.raises(SolveError, match="hovers at none"):
        governor(made().replaced({"flight_mode.1.head_speed": 40.0}), "normal")


def test_a_governor_without_gain_is_refused():
    with pytest.raises(InputError, match="gain above 0"):
        governor(made().replaced({"governor.gain": 0.0}), "normal")


def test_one_machine_answers_whole_and_a_pass_on_typical_gains_is_none():
    answer = governor(machine("wren450"), "idle-up 1", matrices=True)
    assert {one.mode for one in answer.conditions} == {"idle-up 1"}
    assert {one.load for one in answer.conditions} == {"hover", "climb", "hard cyclic", "fast forward"}
    assert len(answer.tuning.points) == SIZE * SIZE
    assert answer.tuning.drawn == DRAWS
    assert answer.verdict is not Outcome.PASS
    # Whether full duty holds the climb is the one thing that no gain decides.
    assert {check.check for check in answer.checks if check.verdict is not Outcome.UNKNOWN} == {"step_held"}
    assert answer.conditions[0].a_matrix is not None
    assert len(answer.conditions[0].a_matrix) == 16
    assert answer.cautions
    low, high = answer.conditions[0].modulus_margin_interval or (math.nan, math.nan)
    assert low <= answer.conditions[0].modulus_margin <= high
    # Today's cell of the map is what the engine flew with today's gains, at worst of all steps.
    flown = [step for step in answer.steps if step.drop_percent is not None]
    assert answer.tuning.today.drop_percent == pytest.approx(max(s.drop_percent or 0.0 for s in flown), abs=0.1)
    assert answer.tuning.today.rise_percent == pytest.approx(max(s.rise_percent or 0.0 for s in flown), abs=0.1)


def test_gains_of_the_machines_own_are_judged():
    answer = governor(machine("fox600"), "idle-up 2")
    verdicts = {check.check: check.verdict for check in answer.checks}
    assert {"modulus_margin", "gain_margin", "phase_margin", "climb_droop", "overspeed", "recovery"} < set(verdicts)
    assert all(verdict is Outcome.PASS for verdict in verdicts.values()), verdicts
    assert answer.gains.own
    assert answer.tuning.advice_known
    # No gain saves the invented plastic gear from a quick restart.
    assert answer.verdict is Outcome.FAIL


def weak(gain, drop, rise, modulus, *, share=0.0, recovery=None):
    return TuningPoint(
        gain_factor=gain, integral_factor=gain, drop_percent=drop, rise_percent=rise, recovery_s=recovery,
        modulus_margin=modulus, machines_share=share, verdict=Outcome.FAIL,
    )  # fmt: skip


def test_where_no_gains_hold_those_are_nearest_that_lie_least_beyond_the_tolerances():
    """Gains far too weak: the smallest are farthest from hunting, and every figure is worst with them."""
    held = tolerances(machine("wren450"))
    smaller, today, larger = weak(0.25, 9.0, 14.0, 0.99), weak(1.0, 7.0, 10.0, 0.97), weak(4.0, 4.3, 5.4, 0.88)
    unstable = weak(3.4, 4.1, 5.1, 0.0, recovery=0.8)
    assert nearest((smaller, today, larger, unstable), held) is larger
    assert nearest((smaller, today, weak(2.0, 5.9, 7.8, 0.9, share=0.1), larger), held).gain_factor == 2.0
    assert nearest((today, weak(1.0, 7.0, 10.0, 0.6)), held) is today
