"""The coast-down that `learn` fits, against the closed form and the book's two examples.

R. W. Prouty, Helicopter Performance, Stability, and Control, 1986, pp. 348-350, in `rotor_speed_decay_checks.csv`:
W/W0 = 1 / (1 + f t / (2 t_KE)), t_KE = J W0^2 / (2 P0). With a steady drag besides, the closed form is a tangent.
"""

import math

import numpy as np
import pytest

from steadyhead.physics.log_balance import Slowing, coast_run
from tests.agrees import agrees
from tests.published.rotor_rigs import rows

START_RAD_S = 200.0
INERTIA_KG_M2 = 0.04


@pytest.mark.parametrize("row", rows("rotor_speed_decay_checks.csv"), ids=lambda row: row["case"] + row["t_s"])
def test_the_head_keeps_the_share_of_its_speed_that_the_book_gives(row: dict[str, str]) -> None:
    drag_nm = float(row["lost_power_fraction"]) * 0.5 * INERTIA_KG_M2 * START_RAD_S / float(row["t_KE_s"])
    slowing = Slowing(drag_nm, START_RAD_S, 2.0, 0.0, INERTIA_KG_M2)
    out = np.empty(2)
    coast_run(slowing, START_RAD_S, np.array([0.0, float(row["t_s"])]), out)
    closed = row["source"] == "closed form"
    why = "printed to six digits" if closed else "the book prints two digits"
    published = float(row["Omega_over_Omega0"])
    assert agrees(out[1] / START_RAD_S, published, percent=2e-4 if closed else 1.2, because=why)


def test_with_a_steady_drag_too_it_is_the_tangent() -> None:
    # J dw/dt = -(a + b w^2): w = sqrt(a/b) tan(atan(w0 sqrt(b/a)) - t sqrt(a b) / J), by separation of variables.
    steady_nm, drag_nm = 0.05, 1.2
    per_square = drag_nm / START_RAD_S**2
    slowing = Slowing(drag_nm, START_RAD_S, 2.0, steady_nm, INERTIA_KG_M2)
    time_s = np.linspace(0.0, 20.0, 41)
    out = np.empty(41)
    coast_run(slowing, START_RAD_S, time_s, out)
    root = math.sqrt(steady_nm * per_square)
    angle = math.atan(START_RAD_S * math.sqrt(per_square / steady_nm)) - time_s * root / INERTIA_KG_M2
    closed = math.sqrt(steady_nm / per_square) * np.tan(angle)
    for got, expected in zip(out, closed, strict=True):
        assert agrees(float(got), float(expected), percent=1e-4, because="fourth order in steps of 0.02 s")
