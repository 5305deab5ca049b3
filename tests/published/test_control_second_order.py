"""Second-order relations: tests/data/governing/control_second_order_step.csv.

Ogata and Nise (from memory) for the formulas, python-control 0.10.2 as oracle. The judge's own step metrics are held
against the same file elsewhere; here the damping that the loop's motions tell, margins, and the step figures.
"""

import math

import numpy as np
import pytest

from steadyhead.flight.governor_loop import margins, slowest_swing
from steadyhead.flight.governor_step import figures_of
from tests.agrees import agrees
from tests.governing_rows import governing_rows

ROWS = governing_rows("control_second_order_step.csv")
WN, SAMPLE_S = 5.0, 0.004


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["zeta"])
def test_damping_and_frequency_are_found_in_the_sampled_motion(row: dict[str, str]) -> None:
    zeta = float(row["zeta"])
    rate = complex(-zeta * WN, WN * math.sqrt(1.0 - zeta * zeta))
    turn = np.exp(rate * SAMPLE_S)
    step = np.array([[turn.real, turn.imag], [-turn.imag, turn.real]])
    radius, damping, swing_hz = slowest_swing(step, SAMPLE_S)
    assert damping is not None
    assert swing_hz is not None
    assert radius < 1.0
    assert agrees(damping, zeta, percent=1e-6, because="exact up to rounding")
    assert agrees(swing_hz, rate.imag / (2.0 * math.pi), percent=1e-6, because="exact up to rounding")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["zeta"])
def test_phase_margin_of_the_loop_behind_it(row: dict[str, str]) -> None:
    zeta = float(row["zeta"])
    omega = np.geomspace(0.01, 500.0, 8001)
    s = 1j * omega
    got = margins(omega, WN * WN / (s * (s + 2.0 * zeta * WN)))
    assert got.phase_deg is not None
    published = float(row["phase_margin_deg_of_wn2_over_s_s_plus_2zwn"])
    assert agrees(got.phase_deg, published, percent=0.02, because="straight lines between close frequencies")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["zeta"])
def test_rise_and_recovery_of_a_mode_change_seen_as_a_step(row: dict[str, str]) -> None:
    # From the new level the step is a deviation of -1 that dies out: its rise is the overshoot, its recovery the
    # settling into 2 %, counted from the first sample since it begins outside.
    zeta = float(row["zeta"])
    time_s = np.arange(0.0, 40.0 / (zeta * WN), 0.0005)
    damped = math.sqrt(1.0 - zeta**2)
    phase = WN * damped * time_s
    deviation = -np.exp(-zeta * WN * time_s) * (np.cos(phase) + zeta / damped * np.sin(phase))
    got = figures_of(deviation, 1.0, 0.02, 0.0005)
    because = "four printed decimals and a peak between samples"
    assert agrees(100.0 * got.rise, float(row["oracle_overshoot_percent"]), percent=0.05, because=because)
    assert agrees(got.drop, 1.0, percent=1e-9, because="the step itself is the greatest deviation")
    published = float(row["oracle_settling_2pct_s"])
    step_s = 40.0 / (zeta * WN) / 40_000.0
    because = "the oracle names its next sample, and prints four decimals"
    assert agrees(got.recovery_s, published, percent=100.0 * (1.5 * step_s + 1e-4) / published, because=because)
