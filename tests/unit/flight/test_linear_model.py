"""The linear model: its condition stands still, its slopes do not hang on the step, and it is what the engine does."""

import math
from dataclasses import replace

import numpy as np
import pytest

from steadyhead.flight.governor_case import cases, linear
from steadyhead.flight.governor_engine import engine_record, engine_step
from steadyhead.flight.governor_step import StepStart, step_response
from steadyhead.flight.linear_model import DUTY, SERVO, STATES, exponential, sampled
from steadyhead.flight.linear_rates import (
    CLIMB,
    FIRST_RING,
    HEAD,
    INPUT_NAMES,
    OUTPUT_NAMES,
    PLANT_STATES,
    SLOW,
    STATE_NAMES,
    plant_rates,
)
from steadyhead.flight.loop import COLUMNS
from steadyhead.physics.inflow_dynamics import inflow_time_constant
from steadyhead.plan.steady import plan
from steadyhead.words.errors import InputError
from tests.unit.flight.governed import case, machine, ready

NAMES = ("wren450", "fox600", "heron520")


def rates_at(one):
    out, point = np.empty(PLANT_STATES + len(OUTPUT_NAMES)), one.point
    plant_rates(
        point.craft, point.frozen, point.tilting, point.states, point.inputs, np.zeros((3, PLANT_STATES - FIRST_RING)),
        out,
    )  # fmt: skip
    return out


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("load", ["hover", "hard cyclic", "fast forward"])
def test_a_steady_condition_stands_still(name, load):
    rates = rates_at(case(name, load))
    # In fast forward flight the rearward force is found to a hundred-millionth of the weight, and torque hangs on it.
    assert abs(rates[HEAD]) < 1e-5
    # The collective is found to a millionth of a radian.
    assert abs(rates[CLIMB]) < 2e-3
    assert np.abs(rates[FIRST_RING:PLANT_STATES]).max() < 1e-4


def test_the_first_moment_of_a_climb_holds_the_head_and_the_inflow_but_not_the_height():
    rates = rates_at(case("fox600", "climb"))
    assert abs(rates[HEAD]) < 1e-6
    assert np.abs(rates[FIRST_RING:PLANT_STATES]).max() < 1e-4
    assert rates[CLIMB] > 10.0


@pytest.mark.parametrize("load", ["hover", "climb"])
def test_the_condition_is_that_of_the_steady_plan(load):
    mode = plan(machine("fox600")).modes[0]
    steady = next(one for one in mode.conditions if one.load == load and one.condition.endswith("full pack, warm"))
    point = case("fox600", load).point
    assert math.degrees(point.inputs[1]) == pytest.approx(steady.collective_deg, abs=0.02)
    # The plan sums 16 rings where the engine has 12, and warms a short load by itself.
    assert point.inputs[0] == pytest.approx(steady.duty, rel=0.01)
    assert point.drive.motor_current_a == pytest.approx(steady.motor_current_a, rel=0.03)


@pytest.mark.parametrize("name", NAMES)
def test_slopes_do_not_hang_on_the_step_of_the_differences(name):
    assert case(name, "hover").model.step_change < 0.03
    assert case(name, "fast forward").model.step_change < 0.03


def test_names_count_the_rows_of_the_matrices():
    model = case("fox600", "hover").model
    assert model.a.shape == (len(STATE_NAMES), len(STATE_NAMES))
    assert model.b.shape == (len(STATE_NAMES), len(INPUT_NAMES))
    assert model.c.shape == (len(OUTPUT_NAMES), len(STATE_NAMES))
    assert model.d.shape == (len(OUTPUT_NAMES), len(INPUT_NAMES))


def test_signs_are_those_of_the_machine():
    model = case("fox600", "hover").model
    assert model.a[HEAD, HEAD] < 0.0
    assert model.b[HEAD, DUTY] > 0.0
    assert model.a[HEAD, SERVO] < 0.0
    assert model.a[CLIMB, SERVO] > 0.0
    assert model.a[CLIMB, CLIMB] < 0.0
    assert model.a[HEAD, SLOW] < 0.0
    assert (model.a[HEAD, FIRST_RING:SERVO] > 0.0).all()


def test_inflow_settles_about_as_fast_as_uniform_theory_says():
    one = case("fox600", "hover")
    rotor = one.point.craft.rotor
    solidity = rotor.blades * rotor.chord_m / (math.pi * rotor.radius_m)
    tau = inflow_time_constant(
        one.point.loads.inflow_m_s, 5.7, solidity, one.point.speed_rad_s * rotor.radius_m, rotor.radius_m
    )
    rings = -1.0 / np.diag(one.model.a)[FIRST_RING:SERVO]
    # Uniform inflow against rings that each settle by themselves: the outer half of the span carries the lift.
    assert rings[6:10].mean() == pytest.approx(tau, rel=0.5)


def odd_part(name, point, plant):
    """Half the difference of the engine's answers to a small step up and down, and the linear answer."""
    bench = ready(name)
    law = bench.governor._replace(sensor_step_rad_s=0.0, collective_duty_per_rad=0.0)
    start = StepStart(point.speed_rad_s, float(point.inputs[0]), float(point.inputs[1]), math.radians(0.05), 0.0)
    straight, _ = step_response(plant, law, start, 0.6)
    up, down = (
        engine_step(point, bench.rig.setting, law, start._replace(command_rad=sign * start.command_rad), 0.6)[0]
        for sign in (1.0, -1.0)
    )
    return 0.5 * (up - down), straight


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("load", ["hover", "hard cyclic", "fast forward"])
def test_small_steps_of_the_engine_are_those_of_the_linear_model(name, load):
    one = case(name, load)
    flown, straight = odd_part(name, one.point, one.plant)
    # The odd part of two small steps: the section's table is straight between its rows, so slopes jump a little.
    assert np.abs(flown - straight).max() < 0.03 * np.ptp(straight)
    assert np.ptp(flown) == pytest.approx(np.ptp(straight), rel=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_a_climb_held_at_its_first_moment_is_the_linear_model_and_only_the_climbing_out_leaves_it(name):
    one = case(name, "climb")
    body = one.point.craft.body._replace(mass_kg=1e9)
    # Too heavy to move and without weight: the machine stays at no climb speed, all else as it is.
    still = replace(
        one.point, craft=one.point.craft._replace(body=body), frozen=one.point.frozen._replace(load_factor=0.0)
    )
    model = replace(one.model, a=one.model.a.copy())
    model.a[CLIMB] = 0.0
    flown, straight = odd_part(name, still, sampled(model, one.plant.sample_s))
    assert np.abs(flown - straight).max() < 0.03 * np.ptp(straight)
    free, straight = odd_part(name, one.point, one.plant)
    first = round(0.05 / one.plant.sample_s)
    assert np.abs(free - straight)[:first].max() < 0.08 * np.ptp(straight)
    assert np.abs(free - straight).max() > 0.15 * np.ptp(straight)


@pytest.mark.parametrize("name", NAMES)
def test_fast_forward_flight_stands_still_in_the_engine(name):
    one, bench = case(name, "fast forward"), ready(name)
    start = StepStart(one.point.speed_rad_s, float(one.point.inputs[0]), float(one.point.inputs[1]), 0.0, 0.0)
    record = engine_record(one.point, bench.rig.setting, bench.governor, start, 1.0)
    thrust = record[1:, COLUMNS.index("thrust_n")]
    # A disc that followed every change of thrust ran away here within 0.1 s, to 78 N downwards.
    assert np.ptp(thrust) < 0.01 * thrust.mean()
    assert np.ptp(record[:, COLUMNS.index("head_rad_s")]) < 0.005 * start.goal_rad_s


def test_the_sampled_plant_is_the_oracles_zero_order_hold():
    control = pytest.importorskip("control")
    model = case("fox600", "hover").model
    ours = sampled(model, 0.004)
    theirs = control.sample_system(control.ss(model.a, model.b, model.c, model.d), 0.004, method="zoh")
    np.testing.assert_allclose(ours.phi, theirs.A, atol=1e-12)
    np.testing.assert_allclose(ours.gain, theirs.B, atol=1e-9)


def test_a_load_scale_touches_the_collective_alone():
    model = case("fox600", "hover").model
    plain, twice = sampled(model, 0.004), sampled(model, 0.004, 2.0)
    np.testing.assert_allclose(twice.phi[:SERVO, :SERVO], plain.phi[:SERVO, :SERVO], atol=1e-12)
    np.testing.assert_allclose(twice.phi[:SERVO, SERVO], 2.0 * plain.phi[:SERVO, SERVO], rtol=1e-9, atol=1e-12)
    assert plain.phi.shape == (STATES, STATES)


def test_a_load_that_does_not_exist_is_refused_by_name():
    with pytest.raises(InputError, match="hover"):
        linear(machine("fox600"), "normal", "hovver", 1.0)
    with pytest.raises(InputError, match="0 to 1"):
        linear(machine("fox600"), "normal", "hover", 1.5)
    with pytest.raises(InputError, match="normal"):
        linear(machine("fox600"), "norml", "hover", 1.0)


@pytest.mark.parametrize("size", [1e-4, 0.2, 3.0, 400.0])
def test_the_matrix_exponential_is_the_general_one(size):
    # Peer: scipy.linalg.expm, another method (Padé) by others; rounding alone may tell them apart.
    from scipy.linalg import expm

    random = np.random.default_rng(1)
    matrix = size * (random.standard_normal((18, 18)) / 18.0 - np.eye(18))
    wanted = expm(matrix)
    assert np.abs(exponential(matrix) - wanted).max() <= 1e-11 * np.abs(wanted).max()


def test_the_exponential_of_a_turn_is_its_sine_and_cosine():
    turned = exponential(np.array([[0.0, -2.0], [2.0, 0.0]]))
    assert turned == pytest.approx(
        np.array([[math.cos(2.0), -math.sin(2.0)], [math.sin(2.0), math.cos(2.0)]]), rel=1e-13
    )


def test_conditions_solved_together_are_those_solved_alone():
    one = ready("fox600")
    together, _ = cases(one)
    for found in together[:8]:
        alone = case("fox600", found.point.load, found.point.frozen.charge, mode=one.rig.modes[found.mode])
        assert np.array_equal(found.point.states, alone.point.states)
        assert np.array_equal(found.plant.phi, alone.plant.phi)
