"""Governor of a published miniature helicopter: tests/data/rotor/miniature_helicopter_mit.csv.

V. Gavrilets, B. Mettler, E. Feron, Dynamic Model for a Miniature Aerobatic Helicopter, MIT LIDS report P-2580, 2003: a
1.55 m rotor with an engine, power = most power times throttle, throttle = Kp (Wc - W) + Ki integral. The gains are from
memory, so nothing here hangs on their last digit.
"""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from steadyhead.flight.governor_loop import closed_loop, frequencies, margins, open_loop, slowest_swing
from steadyhead.flight.governor_step import StepStart, figures_of, run_step
from steadyhead.flight.linear_model import STATES, SampledPlant
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.physics.governor import Governor
from tests.agrees import agrees

FILE = Path(__file__).parents[1] / "data" / "rotor" / "miniature_helicopter_mit.csv"
LINES = [line for line in FILE.read_text("utf-8").splitlines() if line and not line.startswith("#")]
VALUES = {row["parameter"]: row["value"] for row in csv.DictReader(LINES)}
SAMPLE_S = 0.002


def value(name: str) -> float:
    return float(VALUES[name])


SPEED = value("nominal main rotor speed")
INERTIA = value("total rotating inertia / flapping inertia") * value("blade flapping inertia")
POWER = value("derived ideal hover power") / value("non-ideal wake factor eta_w") + value(
    "derived profile power sigma CD0/8"
)
PUSH = value("engine maximum power") / (INERTIA * SPEED)
"""Head acceleration for full throttle, rad/s2."""
FALL = 3.0 * POWER / SPEED / (INERTIA * SPEED)
"""Rotor torque rises with speed squared while the engine's falls with it, 1/s."""
KP, KI = value("governor proportional gain Kp"), value("governor integral gain Ki")


def pair() -> tuple[SampledPlant, Governor]:
    phi, gain = np.zeros((STATES, STATES)), np.zeros((STATES, 2))
    phi[0, 0] = math.exp(-FALL * SAMPLE_S)
    gain[0, 0] = PUSH / FALL * -math.expm1(-FALL * SAMPLE_S)
    law = Governor(SAMPLE_S, KP * SPEED, KI * SPEED, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0)
    return SampledPlant(phi=phi, gain=gain, sample_s=SAMPLE_S, goal_rad_s=SPEED), law


def test_the_published_loop_swings_as_its_closed_form_says() -> None:
    plant, law = pair()
    radius, damping, swing_hz = slowest_swing(closed_loop(plant, law), SAMPLE_S)
    natural = math.sqrt(PUSH * KI)
    expected = (FALL + PUSH * KP) / (2.0 * natural)
    assert radius < 1.0
    assert damping is not None
    assert swing_hz is not None
    because = "sampled at 2 ms where the closed form is continuous"
    assert agrees(damping, expected, percent=0.5, because=because)
    turning = natural * math.sqrt(1.0 - expected**2) / (2.0 * math.pi)
    assert agrees(swing_hz, turning, percent=0.5, because=because)


def test_the_published_loop_keeps_the_margins_asked_here() -> None:
    plant, law = pair()
    omega = frequencies(SAMPLE_S)
    found = margins(omega, open_loop(plant, law, omega))
    assert found.phase_deg is not None
    assert found.phase_deg > 45.0
    assert found.modulus > 0.5


def test_a_step_of_the_set_speed_is_reached_without_a_rest() -> None:
    plant, law = pair()
    out = np.empty((int(12.0 / SAMPLE_S), 2))
    hover = POWER / value("engine maximum power")
    run_step(plant.phi, plant.gain, law, StepStart(SPEED, hover, 0.0, 0.0, 0.02 * SPEED), out)
    told = figures_of(np.ascontiguousarray(out[:, 0]) - 0.02 * SPEED, SPEED, 0.001, SAMPLE_S)
    assert abs(told.left) < 1e-4
    assert told.recovery_s > 0.0


@pytest.mark.parametrize("name", ["heron520", "wren450"])  # fox600 states gains of its own
def test_our_typical_gains_are_of_the_size_of_the_published_ones(name: str) -> None:
    machine = read_machine(bundled(name))
    gain, integral = machine.value("governor.gain"), machine.value("governor.integral_time")
    assert gain is not None
    assert integral is not None
    assert gain.is_typical
    because = "another machine and engine: the same size, within a factor of two"
    assert agrees(gain.si, KP * SPEED, percent=50.0, because=because)
    assert agrees(gain.si / integral.si, KI * SPEED, percent=50.0, because=because)
