"""Landing without motor: energy closes, the optimum beats the pilot, a solver that fails says so."""

import math

import numpy as np
import pytest

from steadyhead.flight import landing_flight, landing_optimal
from steadyhead.flight.bail_out_case import ready
from steadyhead.flight.height_velocity import height_velocity
from steadyhead.flight.landing import landing_answer
from steadyhead.flight.landing_flight import Falling, Hand, Schedule, falling_rates, moved_on
from steadyhead.flight.landing_optimal import optimal_landing, start_of
from steadyhead.flight.landing_pilot import REACTION_S, cost, landed, landing_case, landing_record
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.rotor_map import Grade
from steadyhead.words.verdict import Outcome

PLAN = Schedule(6.0, 0.5, 1.0, 0.8)


@pytest.fixture(scope="module")
def fox():
    return ready(read_machine(bundled("fox600")), 1)


@pytest.fixture(scope="module")
def flown(fox):
    case = landing_case(fox, 40.0, 8.0, glide_m_s=8.0)
    return (case, *landing_record(fox, PLAN, case))


def test_energy_is_accounted_for_down_to_touchdown(flown):
    case, told, rows = flown
    assert told[landing_flight.CODE] == landing_flight.TOUCHED
    assert abs(told[landing_flight.GAP]) < 1e-4
    assert np.ptp(rows[:, 7]) < 1e-4 * rows[0, 7]
    assert case[landing_flight.HEIGHT] == rows[0, 1]


def test_a_pilot_who_reacts_later_or_from_lower_lands_harder(fox):
    base = landing_case(fox, 12.0, 0.0, glide_m_s=0.0)
    late = base.copy()
    late[landing_flight.REACTION] = 1.6
    quick, slow = landed(fox, Schedule(0.0, 0.0, 1.0, 0.6), np.vstack([base, late]))
    assert cost(slow[None, :])[0] > cost(quick[None, :])[0]


def test_the_optimum_lands_more_gently_than_the_pilot_and_keeps_the_physics(fox, flown):
    """Its controls, flown again by our own steps, end within 0.5 m/s and 1 m of where the solver says."""
    _, told, rows = flown
    best = optimal_landing(fox, start_of(rows, REACTION_S), rows[int(REACTION_S / landing_flight.STEP_S) :])
    assert best.solved, best.ended
    assert best.sink_m_s is not None
    assert best.forward_m_s is not None
    hard = 2.0 * best.sink_m_s**2 + best.forward_m_s**2
    assert hard < 0.5 * cost(told[None, :])[0]
    grade = Grade(fox.craft.air.density_kg_m3, 1.0, 1.0)
    now = Falling(*(float(value) for value in best.states[0, :4]))
    steps = 2000
    step_s = float(best.time_s[-1]) / steps
    for number in range(steps):
        at = (number + 0.5) * step_s
        pitch, tilt = (float(np.interp(at, best.time_s, best.states[:, column])) for column in (4, 5))
        hand = Hand(pitch, tilt, math.nan, 0.0)
        middle = moved_on(now, falling_rates(fox.craft, fox.map, grade, now, hand, 0.0), 0.5 * step_s)
        now = moved_on(now, falling_rates(fox.craft, fox.map, grade, middle, hand, 0.0), step_s)
    assert abs(now.height_m) < 1.0
    assert abs(now.climb_m_s - best.states[-1, 2]) < 0.5
    assert now.head_rad_s == pytest.approx(best.states[-1, 3], rel=0.03)


def test_a_solver_that_gives_up_is_told_and_gives_no_figures(fox, flown, monkeypatch):
    _, _, rows = flown
    monkeypatch.setattr(landing_optimal, "MOST_TURNS", 2)
    best = optimal_landing(fox, start_of(rows, REACTION_S), rows[70:])
    assert not best.solved
    assert best.ended == "Maximum_Iterations_Exceeded"
    assert best.sink_m_s is None
    assert best.states.shape[0] == 0


def test_the_answer_has_both_and_judges_the_pilot(fox):
    told = landing_answer(fox)
    assert told.best_possible.sink_m_s < told.pilot.sink_m_s
    assert told.pilot.head_speed_rpm < 1990.0
    assert told.check.check == "touchdown_sink"
    low, high = told.pilot.sink_m_s_interval
    assert low < told.pilot.sink_m_s < high
    if high > told.check.limit >= told.pilot.sink_m_s:
        assert told.check.verdict is Outcome.UNKNOWN


def test_the_diagram_has_two_edges_and_a_bail_out_leaves_less(fox):
    diagram = height_velocity(fox, speeds=4, fastest_m_s=9.0)
    assert len(diagram.points) == 4
    hover = diagram.points[0]
    assert hover.avoided
    assert hover.low_m < 3.0
    assert hover.high_m > 10.0
    assert hover.bail_out_m < hover.high_m
    assert hover.bail_out_m_interval[0] < hover.bail_out_m < hover.bail_out_m_interval[1]


def test_with_a_harder_touchdown_allowed_less_is_avoided(fox):
    from dataclasses import replace

    soft = replace(fox, machine=fox.machine.replaced({"limits.touchdown_sink": 3.0, "limits.touchdown_speed": 6.0}))
    strict = height_velocity(fox, speeds=2, fastest_m_s=4.0).points[0]
    easy = height_velocity(soft, speeds=2, fastest_m_s=4.0).points[0]
    assert not easy.avoided or easy.high_m < strict.high_m
    assert easy.share_avoided <= strict.share_avoided
