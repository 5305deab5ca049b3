"""Load steps: figures against the judge's own, and the map's replay against the engine."""

import numpy as np
import pytest

from steadyhead.flight.governor_engine import engine_step
from steadyhead.flight.governor_replay import load_course, replay, replay_gains, step_between
from steadyhead.flight.governor_step import StepStart, figures_of, step_response
from steadyhead.flight.tuning_map import step_pairs
from steadyhead.judge.transient import recovery_time_s
from tests.unit.flight.governed import case, ready, stepped

SAMPLE_S = 0.004


@pytest.mark.parametrize("seed", range(20))
def test_recovery_is_the_one_that_the_judge_measures(seed):
    random = np.random.default_rng(seed)
    time_s = np.arange(0.0, 2.0, SAMPLE_S)
    swing = np.sin(2.0 * np.pi * random.uniform(0.5, 4.0) * time_s + random.uniform(0.0, 1.0))
    deviation = (
        random.uniform(2.0, 9.0) * swing * np.exp(-time_s / random.uniform(0.2, 0.6)) * (1.0 - np.exp(-time_s / 0.05))
    )
    got = figures_of(deviation, 200.0, 0.01, SAMPLE_S)
    judged, _ = recovery_time_s(time_s, 200.0 + deviation, 200.0, 2.0)
    if judged is None:
        assert got.recovery_s == -1.0
    else:
        assert got.recovery_s == pytest.approx(judged, abs=1e-9)
    assert got.rise == pytest.approx(max(deviation.max(), 0.0) / 200.0)
    assert got.drop == pytest.approx(max(-deviation.min(), 0.0) / 200.0)


def test_a_head_that_is_not_back_by_the_end_says_so():
    away = np.full(100, -3.0)
    assert figures_of(away, 200.0, 0.01, SAMPLE_S).recovery_s == -1.0
    assert figures_of(np.zeros(100), 200.0, 0.01, SAMPLE_S).recovery_s == 0.0


@pytest.mark.parametrize("name", ["wren450", "fox600", "heron520"])
@pytest.mark.parametrize(("more_p", "more_i"), [(1.0, 1.0), (0.4, 0.4), (3.0, 8.0), (0.5, 5.0)])
def test_the_replay_of_the_map_is_the_engine_for_other_gains_too(name, more_p, more_i):
    bench = ready(name)
    law = bench.governor._replace(gain=bench.governor.gain * more_p, gain_per_s=bench.governor.gain_per_s * more_i)
    for low, high in step_pairs(stepped(name)):
        for start, end in ((low, high), (high, low)):
            course = load_course(start.point, end.point, bench.rig.setting, 1.5)
            out = np.empty((course.rows.shape[0], 2))
            replay(bench.rig.craft, course, law, out)
            flown, _ = engine_step(start.point, bench.rig.setting, law, step_between(start.point, end.point), 1.5)
            # The torque, tail and all, is that of a flight with other gains: a twentieth of the swing, or a tenth of
            # the recovery band.
            most = max(0.05 * np.abs(flown).max(), 1e-3 * start.point.speed_rad_s)
            assert np.abs(out[: flown.size, 0] - flown).max() < most


def test_many_gains_at_once_are_the_same_as_one_by_one():
    bench = ready("fox600")
    low, high = step_pairs(stepped("fox600"))[0]
    course = load_course(low.point, high.point, bench.rig.setting, 1.0)
    law = bench.governor
    pairs = np.array([[law.gain, law.gain_per_s], [2.0 * law.gain, 0.5 * law.gain_per_s]])
    many = np.empty((2, 4))
    replay_gains(bench.rig.craft, course, law, pairs, 0.01, many)
    for row, (gain, per_s) in zip(many, pairs, strict=True):
        out = np.empty((course.rows.shape[0], 2))
        replay(bench.rig.craft, course, law._replace(gain=gain, gain_per_s=per_s), out)
        one = figures_of(np.ascontiguousarray(out[:, 0]), course.goal_rad_s, 0.01, law.sample_s)
        np.testing.assert_allclose(row, one, rtol=1e-12)


def test_a_duty_limit_holds_the_law_back():
    one, law = case("fox600", "hover"), ready("fox600").governor
    duty = float(one.point.inputs[0])
    start = StepStart(one.point.speed_rad_s, duty, float(one.point.inputs[1]), 0.0, 0.05 * one.point.speed_rad_s)
    free, _ = step_response(one.plant, law, start, 0.5)
    held, given = step_response(one.plant, law._replace(duty_high=duty + 0.01), start, 0.5)
    assert given.max() == pytest.approx(duty + 0.01)
    assert held.max() < free.max()


def test_a_loop_that_runs_away_ends_in_numbers_that_fail():
    one, law = case("fox600", "hover"), ready("fox600").governor
    wild = law._replace(gain=law.gain * 200.0, duty_low=-99.0, duty_high=99.0)
    start = StepStart(one.point.speed_rad_s, float(one.point.inputs[0]), 0.0, 0.05, 0.0)
    away, _ = step_response(one.plant, wild, start, 2.0)
    got = figures_of(away, one.point.speed_rad_s, 0.01, law.sample_s)
    assert np.isfinite(away).all()
    assert got.recovery_s == -1.0
