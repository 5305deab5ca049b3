import math

import numpy as np
import pytest

from steadyhead.physics.inflow import (
    axial_thrust_factor,
    descent_curve,
    glauert_inflow,
    momentum_inflow_ratio,
    thrust_factor,
)


@pytest.mark.parametrize("climb", [-8.0, -3.0, -1e-9, 0.0, 4.0])
def test_thrust_rises_with_inflow_through_every_state_of_flow(climb):
    inflows = np.linspace(-15.0, 15.0, 2001)
    thrusts = np.array([axial_thrust_factor(float(v), climb) for v in inflows])
    assert (np.diff(thrusts) > 0.0).all()


def test_thrust_mirrors_with_inflow_and_climb():
    for inflow, climb in ((3.0, -4.0), (2.0, 5.0), (1.0, 0.0)):
        assert axial_thrust_factor(-inflow, -climb) == -axial_thrust_factor(inflow, climb)


def test_no_step_between_climb_hover_and_descent():
    around = [axial_thrust_factor(5.0, climb) for climb in (-1e-6, 0.0, 1e-6)]
    assert max(around) - min(around) < 1e-4


def test_descent_asks_for_the_measured_inflow():
    for descent in (0.5, 1.0, 1.5, 1.9, 2.4, 3.0, 5.0):
        inflow = float(descent_curve(np.array([descent]))[0])
        assert axial_thrust_factor(inflow, -descent) == pytest.approx(1.0, rel=2e-3)


def test_the_descent_curve_starts_at_hover_and_has_no_jump():
    ratios = descent_curve(np.linspace(0.0, 6.0, 6001))
    assert ratios[0] == pytest.approx(1.0)
    assert np.abs(np.diff(ratios)).max() < 0.006


def test_momentum_theory_has_no_answer_between_hover_and_windmill():
    assert math.isnan(momentum_inflow_ratio(-1.0))
    assert momentum_inflow_ratio(-2.0) == 1.0


@pytest.mark.parametrize(("edgewise", "through"), [(0.0, 0.0), (0.0, 6.0), (3.0, 0.0), (25.0, 4.0), (60.0, -1.0)])
def test_glauert_inflow_closes_its_own_equation(edgewise, through):
    inflow = glauert_inflow(3.5, edgewise, through)
    assert inflow * math.hypot(edgewise, through + inflow) == pytest.approx(3.5**2, rel=1e-9)
    if through >= 0.0:
        assert thrust_factor(inflow, through, edgewise) == pytest.approx(3.5**2, rel=1e-9)


def test_no_thrust_no_inflow():
    assert glauert_inflow(0.0, 10.0, 1.0) == 0.0
    assert thrust_factor(0.0, -3.0, 10.0) == 0.0
