"""The linear model about one condition: A and B by central differences, and the same as the governor samples it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.linear_point import Point
from steadyhead.flight.linear_rates import CLIMB, FIRST_RING, HEAD, OUTPUTS, PLANT_STATES, SLOW, plant_slopes
from steadyhead.physics.rotor_flow import RINGS

SERVO = PLANT_STATES
STATES = PLANT_STATES + 1
DUTY, COMMAND = 0, 1
HEAD_STEP_SHARE = 1e-3
CLIMB_STEP_M_S = 0.02
SLOW_STEP_V = 0.01
RING_STEP_M_S = 0.02
DUTY_STEP = 1e-3
PITCH_STEP_RAD = 1e-3
NO_LAG_S = 1e-4
"""A servo without lag is given this one, far below a sample."""
TAYLOR_NORM, TAYLOR_TERMS = 0.25, 13
"""At this norm the first term left out, the 14th, is below 1e-19 of the sum."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class LinearModel:
    """Small motions about one condition: d/dt x = A x + B u, y = C x + D u, all as deviations.

    Shapes: a (16, 16), b (16, 2), c (4, 16), d (4, 2); states, inputs and outputs as `linear_rates` names them.
    `step_change` is the greatest change of A and B when the difference step is doubled, as a share of the largest
    entry of the row.
    """

    point: Point
    a: Floats
    b: Floats
    c: Floats
    d: Floats
    step_change: float

    @property
    def goal_rad_s(self) -> float:
        """Head speed of the condition, rad/s."""
        return self.point.speed_rad_s


@dataclass(frozen=True, kw_only=True)
class SampledPlant:
    """The plant from one governor sample to the next: x' = phi x + gain u. Exact for inputs that hold in between.

    Shapes: phi (16, 16), gain (16, 2).
    """

    phi: Floats
    gain: Floats
    sample_s: float
    goal_rad_s: float


def linear_model(point: Point, servo_lag_s: float) -> LinearModel:
    """Return the linear model about a condition.

    Equation: df/dx = (f(x + h) - f(x - h)) / 2h, h 0.1 % of the head speed, 0.02 m/s, 0.01 V, 0.001 duty, 0.001 rad
    Valid: deviations small against the condition; charge, temperatures and forward speed held still.
    Source: central difference of the engine's kernels; any numerical analysis textbook.
    """
    slopes = _slopes(point, 1.0)
    coarse = _slopes(point, 2.0)
    largest = np.max(np.abs(slopes), axis=1, keepdims=True)
    change = np.abs(coarse - slopes) / np.where(largest > 0.0, largest, 1.0)
    a, b = np.zeros((STATES, STATES)), np.zeros((STATES, 2))
    a[:PLANT_STATES, :PLANT_STATES] = slopes[:PLANT_STATES, :PLANT_STATES]
    a[:PLANT_STATES, SERVO] = slopes[:PLANT_STATES, PLANT_STATES + COMMAND]
    b[:PLANT_STATES, DUTY] = slopes[:PLANT_STATES, PLANT_STATES + DUTY]
    lag_s = max(servo_lag_s, NO_LAG_S)
    a[SERVO, SERVO], b[SERVO, COMMAND] = -1.0 / lag_s, 1.0 / lag_s
    c, d = np.zeros((OUTPUTS, STATES)), np.zeros((OUTPUTS, 2))
    c[:, :PLANT_STATES], c[:, SERVO] = slopes[PLANT_STATES:, :PLANT_STATES], slopes[PLANT_STATES:, -1]
    d[:, DUTY] = slopes[PLANT_STATES:, PLANT_STATES + DUTY]
    return LinearModel(point=point, a=a, b=b, c=c, d=d, step_change=float(change.max()))


def sampled(model: LinearModel, sample_s: float, load_scale: float = 1.0) -> SampledPlant:
    """Return the plant over one governor sample, duty and collective command held in between.

    Equation: [phi gain; 0 1] = exp([A B; 0 0] T)
    `load_scale` multiplies what the collective does to the loads, so that a large step ends at its true torque.
    Valid: any sample time; exact.
    Source: zero-order hold, matrix exponential; any digital control textbook.
    """
    a = model.a.copy()
    a[:SERVO, SERVO] *= load_scale
    whole = np.zeros((STATES + 2, STATES + 2))
    whole[:STATES, :STATES], whole[:STATES, STATES:] = a, model.b
    moved = exponential(whole * sample_s)
    return SampledPlant(
        phi=np.ascontiguousarray(moved[:STATES, :STATES]),
        gain=np.ascontiguousarray(moved[:STATES, STATES:]),
        sample_s=sample_s,
        goal_rad_s=model.goal_rad_s,
    )


def exponential(matrix: Floats) -> Floats:
    """Return the exponential of a small square matrix.

    Equation: exp(X) = (sum (X / 2^n)^k / k!)^(2^n), n so large that X / 2^n has a norm of at most a quarter
    Shapes: (n, n) -> (n, n)
    Valid: any finite matrix of a few dozen rows; the general routine of SciPy solves on many threads, which costs fifty
    times as much for one this small.
    Source: scaling and squaring of the Taylor series, Moler and Van Loan, SIAM Review 45, 2003, method 3 (from memory).
    """
    norm = float(np.abs(matrix).sum(axis=0).max(initial=0.0))
    halvings = max(0, math.frexp(norm / TAYLOR_NORM)[1])
    small = matrix / 2.0**halvings
    term = total = np.eye(matrix.shape[0])
    for power in range(1, TAYLOR_TERMS + 1):
        term = term @ small / power
        total = total + term
    for _ in range(halvings):
        total = total @ total
    return total


def _slopes(point: Point, times: float) -> Floats:
    steps = np.empty(PLANT_STATES + 2)
    steps[HEAD], steps[CLIMB], steps[SLOW] = HEAD_STEP_SHARE * point.speed_rad_s, CLIMB_STEP_M_S, SLOW_STEP_V
    steps[FIRST_RING:PLANT_STATES] = RING_STEP_M_S
    steps[PLANT_STATES + DUTY], steps[PLANT_STATES + COMMAND] = DUTY_STEP, PITCH_STEP_RAD
    out = np.empty((PLANT_STATES + OUTPUTS, PLANT_STATES + 2))
    plant_slopes(
        point.craft, point.frozen, point.tilting, point.states, point.inputs, steps * times, np.zeros((3, RINGS)), out
    )
    return out
