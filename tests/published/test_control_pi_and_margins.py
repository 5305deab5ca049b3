"""PI control and classic margins: tests/data/governing/control_pi_and_margins.csv.

Astrom and Hagglund for the pole placement (from memory); margins and overshoots computed with python-control 0.10.2.
"""

import math

import numpy as np
import pytest

from steadyhead.flight.governor_loop import margins, open_loop
from steadyhead.flight.governor_step import StepStart, run_step
from steadyhead.flight.linear_model import STATES, SampledPlant
from steadyhead.physics.governor import Governor
from tests.agrees import agrees
from tests.governing_rows import governing_rows

ROWS = governing_rows("control_pi_and_margins.csv")
PI = [row for row in ROWS if row["K"]]
CLASSIC = {
    "1/(s(s+1)(s+2))": lambda s: 1.0 / (s * (s + 1.0) * (s + 2.0)),
    "4/(s+1)^3": lambda s: 4.0 / (s + 1.0) ** 3,
    "8/(s+1)^3 limit": lambda s: 8.0 / (s + 1.0) ** 3,
}
OMEGA = np.geomspace(0.01, 1000.0, 20_001)
GOAL = 1e6
"""Errors count as a share of the goal: a goal this large makes a step of 1 a small motion."""
SAMPLE_S = 2e-4


def loop_of(row: dict[str, str], s: np.ndarray) -> np.ndarray:
    gain, lag = float(row["K"]), float(row["T_s"])
    return (float(row["Kp"]) + float(row["Ki_per_s"]) / s) * gain / (lag * s + 1.0)


def sampled_pair(row: dict[str, str]) -> tuple[SampledPlant, Governor]:
    """Return the first-order plant as our sampled plant, and the PI law as our governor without limits."""
    gain, lag = float(row["K"]), float(row["T_s"])
    phi, push = np.zeros((STATES, STATES)), np.zeros((STATES, 2))
    phi[0, 0] = math.exp(-SAMPLE_S / lag)
    push[0, 0] = gain * -math.expm1(-SAMPLE_S / lag)
    law = Governor(
        SAMPLE_S, float(row["Kp"]) * GOAL, float(row["Ki_per_s"]) * GOAL, 0.0, 0.0, 0.0, -1e9, 1e9, 0.0, 0.0, 0.0, 0.0
    )
    return SampledPlant(phi=phi, gain=push, sample_s=SAMPLE_S, goal_rad_s=GOAL), law


@pytest.mark.parametrize("row", PI, ids=lambda row: row["case"])
def test_phase_margin_and_crossover_of_the_pi_loops(row: dict[str, str]) -> None:
    got = margins(OMEGA, loop_of(row, 1j * OMEGA))
    assert got.gain is None
    assert got.phase_deg is not None
    assert got.crossover_rad_s is not None
    because = "straight lines between close frequencies, the table prints four decimals"
    assert agrees(got.phase_deg, float(row["phase_margin_deg"]), percent=0.01, because=because)
    assert agrees(got.crossover_rad_s, float(row["gain_crossover_rad_s"]), percent=0.01, because=because)


@pytest.mark.parametrize("row", PI, ids=lambda row: row["case"])
def test_the_sampled_loop_comes_to_the_textbook_one_with_fast_samples(row: dict[str, str]) -> None:
    plant, law = sampled_pair(row)
    omega = np.geomspace(0.05, math.pi / SAMPLE_S * 0.999, 4001)
    got = margins(omega, open_loop(plant, law, omega))
    assert got.phase_deg is not None
    because = "half a sample of 0.2 ms costs 0.05 degrees at the crossover"
    assert agrees(got.phase_deg, float(row["phase_margin_deg"]), percent=0.15, because=because)


@pytest.mark.parametrize("row", PI, ids=lambda row: row["case"])
def test_overshoot_of_a_set_point_step_with_the_governors_own_law(row: dict[str, str]) -> None:
    plant, law = sampled_pair(row)
    out = np.empty((int(6.0 / SAMPLE_S), 2))
    run_step(plant.phi, plant.gain, law, StepStart(GOAL, 0.0, 0.0, 0.0, 1.0), out)
    got = 100.0 * (float(out[:, 0].max()) - 1.0)
    because = "sampled at 0.2 ms instead of continuous: some thousandths of the overshoot"
    assert agrees(got, float(row["overshoot_percent"]), percent=0.6, because=because)


@pytest.mark.parametrize("row", [row for row in ROWS if row["case"] in CLASSIC], ids=lambda row: row["case"])
def test_margins_of_the_classic_plants(row: dict[str, str]) -> None:
    got = margins(OMEGA, CLASSIC[row["case"]](1j * OMEGA))
    because = "straight lines between close frequencies, the table prints five decimals"
    assert got.gain is not None
    assert got.phase_crossover_rad_s is not None
    assert got.phase_deg is not None
    assert agrees(got.gain, float(row["gain_margin"]), percent=0.01, because=because)
    assert agrees(got.phase_crossover_rad_s, float(row["phase_crossover_rad_s"]), percent=0.01, because=because)
    if float(row["phase_margin_deg"]) > 0.0:
        assert agrees(got.phase_deg, float(row["phase_margin_deg"]), percent=0.01, because=because)
    else:
        # A published zero has no relative band: on the limit both margins vanish together.
        assert abs(got.phase_deg) < 0.01
        assert got.modulus < 1e-3
