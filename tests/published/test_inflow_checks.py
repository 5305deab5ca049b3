"""Closed forms of momentum theory, the textbook quartic and Glauert's edgewise inflow; the measured descent curve."""

import math

import numpy as np
import pytest

from steadyhead.physics.inflow import (
    descent_curve,
    glauert_inflow,
    momentum_inflow_ratio,
    quartic_inflow_ratio,
    thrust_factor,
)
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

AXIAL = rows("axial_inflow_checks.csv")
GLAUERT = rows("glauert_forward_inflow_checks.csv")
CURVE = [row for row in rows("axial_descent_inflow_curve.csv") if row["twist_deg"] == "0"]


@pytest.mark.parametrize("row", [row for row in AXIAL if "quartic" not in row["branch"]], ids=lambda r: r["Vc_over_vh"])
def test_momentum_branches_follow_their_closed_form(row):
    found = momentum_inflow_ratio(float(row["Vc_over_vh"]))
    assert agrees(found, float(row["vi_over_vh"]), percent=3e-4, because="six printed decimals of a closed form")


@pytest.mark.parametrize("row", [row for row in AXIAL if "quartic" in row["branch"]], ids=lambda r: r["Vc_over_vh"])
def test_the_quartic_follows_its_coefficients(row):
    found = quartic_inflow_ratio(float(row["Vc_over_vh"]))
    assert agrees(found, float(row["vi_over_vh"]), percent=1e-4, because="six printed decimals of a polynomial")


@pytest.mark.parametrize("ratio", [0.5, 1.0, 3.0])
def test_the_rotor_uses_the_momentum_branch_in_climb(ratio):
    inflow = momentum_inflow_ratio(ratio)
    assert agrees(thrust_factor(inflow, ratio, 0.0), 1.0, percent=1e-10, because="the same closed form inverted")


@pytest.mark.parametrize("row", GLAUERT, ids=lambda r: f"mu {r['mu']} CT {r['CT']}")
def test_edgewise_inflow_follows_glauert(row):
    ct, mu = float(row["CT"]), float(row["mu"])
    found = glauert_inflow(math.sqrt(ct / 2.0), mu, 0.0)
    assert agrees(found, float(row["lambda_i"]), percent=1e-4, because="eight printed decimals of a closed form")
    assert agrees(thrust_factor(found, 0.0, mu), ct / 2.0, percent=1e-7, because="the rotor must use the same relation")


@pytest.mark.parametrize("row", CURVE[1:], ids=lambda r: r["V_D_over_vh"])
def test_the_descent_curve_is_the_measured_one_less_what_the_rings_carry(row):
    descent = float(row["V_D_over_vh"])
    found = float(descent_curve(np.array([descent]))[0])
    assert found <= float(row["v1_over_vh"]) + 1e-9
    assert agrees(found, float(row["v1_over_vh"]), percent=6.6, because="between 1 and 1.07 is divided out")


def test_the_descent_curve_joins_momentum_theory_far_below():
    deep = np.array([5.0, 12.0])
    momentum = deep / 2.0 - np.sqrt(deep**2 / 4.0 - 1.0)
    got = descent_curve(deep)
    assert agrees(float(got[1]), float(momentum[1]), percent=0.5, because="the fade has died out by then")
    assert float(got[0]) > float(momentum[0])
