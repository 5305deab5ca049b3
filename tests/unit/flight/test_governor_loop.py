"""The sampled loop against python-control, and against itself: Nyquist and the poles must tell the same."""

import math

import numpy as np
import pytest

from steadyhead.flight.governor_loop import (
    closed_loop,
    delay_parts,
    frequencies,
    margins,
    open_loop,
    plant_response,
    slowest_swing,
    smoothing_share,
)
from steadyhead.flight.governor_step import StepStart, step_response
from steadyhead.flight.linear_model import STATES
from steadyhead.flight.tuning_map import grid_margins, turns_around_nothing
from tests.unit.flight.governed import case, ready

control = pytest.importorskip("control")
LOUD = 60.0
"""So many times the typical gains, and these loops are near hunting."""


def law_of(name, times=1.0, delay_s=0.0055):
    law = ready(name).governor
    return law._replace(gain=times * law.gain, gain_per_s=times * law.gain_per_s, sensor_delay_s=delay_s, gain_s=0.002)


def oracle(plant, law):
    """Return our loop written anew with transfer functions of python-control."""
    whole, part = delay_parts(law)
    share, sample = smoothing_share(law), law.sample_s
    pick = np.zeros((1, STATES))
    pick[0, 0] = 1.0
    body = control.ss(plant.phi, plant.gain[:, :1], pick, 0.0, sample)
    z = control.tf([1.0, 0.0], [1.0], sample)
    seen = ((1.0 - part) * z + part) / z ** (whole + 1) * share * z / (z - (1.0 - share)) / plant.goal_rad_s
    pid = law.gain + law.gain_per_s * sample * z / (z - 1.0) + law.gain_s / sample * (z - 1.0) / z
    return body, pid * seen


@pytest.mark.parametrize("times", [1.0, 8.0])
def test_the_open_loop_is_the_oracles_at_every_frequency(times):
    plant, law = case("fox600", "hover").plant, law_of("fox600", times)
    omega = frequencies(law.sample_s)[::50]
    body, rest = oracle(plant, law)
    z = np.exp(1j * omega * law.sample_s)
    theirs = np.array([body(value) * rest(value) for value in z])
    np.testing.assert_allclose(open_loop(plant, law, omega), theirs, rtol=1e-7)
    np.testing.assert_allclose(plant_response(plant, omega), [body(value) for value in z], rtol=1e-8)


@pytest.mark.parametrize("name", ["wren450", "fox600", "heron520"])
@pytest.mark.parametrize("load", ["hover", "climb"])
def test_margins_are_the_oracles(name, load):
    plant, law = case(name, load).plant, law_of(name, 4.0)
    omega = frequencies(law.sample_s)
    ours = margins(omega, open_loop(plant, law, omega))
    body, rest = oracle(plant, law)
    z = np.exp(1j * omega * law.sample_s)
    response = np.array([body(value) * rest(value) for value in z])
    gain, phase, modulus, at_phase, at_gain, _ = control.stability_margins(control.frd(response, omega), method="frd")
    assert ours.gain == pytest.approx(gain, rel=2e-3)
    assert ours.phase_deg == pytest.approx(phase, rel=2e-3)
    assert ours.modulus == pytest.approx(modulus, rel=2e-3)
    assert ours.phase_crossover_rad_s == pytest.approx(at_phase, rel=2e-3)
    assert ours.crossover_rad_s == pytest.approx(at_gain, rel=2e-3)


@pytest.mark.parametrize("times", [0.5, 2.0, 10.0, LOUD, 2.0 * LOUD])
@pytest.mark.parametrize("load", ["hover", "climb"])
def test_nyquist_and_the_poles_tell_the_same(times, load):
    one, law = case("fox600", load), law_of("fox600", times)
    radius, _, _ = slowest_swing(closed_loop(one.plant, law), law.sample_s)
    found = margins(frequencies(law.sample_s), open_loop(one.plant, law, frequencies(law.sample_s)))
    stable = bool(turns_around_nothing(open_loop(one.plant, law, frequencies(law.sample_s))[None, :])[0])
    assert stable == (radius < 1.0)
    assert (found.gain is None or found.gain > 1.0) == (radius < 1.0)


def test_raising_the_gain_by_its_margin_brings_the_loop_to_hunting():
    one, law = case("fox600", "hover"), law_of("fox600", 4.0)
    omega = frequencies(law.sample_s)
    found = margins(omega, open_loop(one.plant, law, omega))
    assert found.gain is not None
    assert found.phase_crossover_rad_s is not None
    times = found.gain
    edge = law._replace(gain=law.gain * times, gain_per_s=law.gain_per_s * times, gain_s=law.gain_s * times)
    radius, damping, swing_hz = slowest_swing(closed_loop(one.plant, edge), law.sample_s)
    assert radius == pytest.approx(1.0, abs=2e-4)
    assert damping == pytest.approx(0.0, abs=1e-3)
    assert swing_hz == pytest.approx(found.phase_crossover_rad_s / (2.0 * math.pi), rel=1e-3)


def test_adding_the_delay_margin_brings_the_loop_to_hunting():
    one, law = case("fox600", "hover"), law_of("fox600", 3.0)._replace(gain_s=0.0)
    omega = frequencies(law.sample_s)
    found = margins(omega, open_loop(one.plant, law, omega))
    assert found.delay_s is not None
    assert found.delay_s > 0.0
    for share, low, high in ((0.9, 0.0, 1.0), (1.0, 0.9997, 1.0005), (1.1, 1.0, 2.0)):
        late = law._replace(sensor_delay_s=law.sensor_delay_s + share * found.delay_s)
        assert low <= slowest_swing(closed_loop(one.plant, late), law.sample_s)[0] <= high


def test_the_closed_loop_matrix_is_the_law_that_flies():
    one, law = (
        case("fox600", "hover"),
        law_of("fox600", 3.0)._replace(sensor_step_rad_s=0.0, duty_low=-9.0, duty_high=9.0),
    )
    start = StepStart(one.point.speed_rad_s, float(one.point.inputs[0]), 0.0, math.radians(0.1), 0.0)
    flown, _ = step_response(one.plant, law._replace(collective_duty_per_rad=0.0), start, 0.4)
    step = closed_loop(one.plant, law)
    states, told = np.zeros(step.shape[0]), []
    for _ in flown:
        told.append(states[0])
        states = step @ states
        states[:STATES] += one.plant.gain[:, 1] * start.command_rad
    np.testing.assert_allclose(flown, told, atol=1e-9)


def test_many_gains_at_once_are_the_same_as_one_by_one():
    bench, one = ready("fox600"), case("fox600", "hover")
    law = bench.governor
    pairs = np.array([[law.gain * a, law.gain_per_s * b] for a in (1.0, 30.0, 90.0) for b in (0.5, 4.0, 40.0)])
    modulus, stable = grid_margins(bench, one, pairs)
    for at, (gain, per_s) in enumerate(pairs):
        tried = law._replace(gain=gain, gain_per_s=per_s)
        omega = frequencies(law.sample_s)
        assert modulus[at] == pytest.approx(margins(omega, open_loop(one.plant, tried, omega)).modulus, abs=0.02)
        assert stable[at] == (slowest_swing(closed_loop(one.plant, tried), law.sample_s)[0] < 1.0)
