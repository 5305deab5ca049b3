"""The governor's loop as it is sampled: open loop, margins, and the closed loop's own motions."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.linear_model import DUTY, SERVO, STATES, SampledPlant
from steadyhead.physics.governor import Governor

LOWEST_RAD_S = 0.05
GRID = 900
LEAST = 1e-300

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, kw_only=True)
class Margins:
    """How far a loop is from hunting; None where there is no such crossing below half the sample rate.

    `modulus` is the least distance of the open loop from -1, the inverse of the greatest sensitivity.
    """

    gain: float | None
    phase_deg: float | None
    delay_s: float | None
    modulus: float
    crossover_rad_s: float | None
    phase_crossover_rad_s: float | None


def frequencies(sample_s: float) -> Floats:
    """Return the frequencies a loop is looked at, rad/s, evenly spaced in logarithm up to half the sample rate.

    Shapes: -> (900,)
    """
    return np.geomspace(LOWEST_RAD_S, math.pi / sample_s * (1.0 - 1e-9), GRID)


def plant_response(plant: SampledPlant, omega_rad_s: Floats) -> Complexes:
    """Return how the sampled head speed answers duty, rad/s for duty 1, at each frequency.

    Equation: P(z) = c (z 1 - phi)^-1 gain, z = exp(j w T)
    Shapes: omega_rad_s (n,) -> (n,)
    Valid: below half the sample rate.
    Source: sampled state space; any digital control textbook.
    """
    values, vectors = np.linalg.eig(plant.phi)
    modal = np.linalg.solve(vectors, plant.gain[:, DUTY].astype(complex)) * vectors[0]
    z = np.exp(1j * omega_rad_s * plant.sample_s)
    return np.asarray((modal / (z[:, None] - values)).sum(axis=1))


def law_response(governor: Governor, goal_rad_s: float, omega_rad_s: Floats) -> tuple[Complexes, Complexes, Complexes]:
    """Return how the duty answers the head speed: for gain 1, for gain_per_s 1, and what the derivative adds.

    Equation: sensing H(z) = z^-m ((1 - p) + p z^-1), smoothing F(z) = s / (1 - (1 - s) z^-1),
    d = (kp + ki T / (1 - z^-1) + kd (1 - z^-1) / T) F H w / goal
    Shapes: omega_rad_s (n,) -> three (n,)
    Valid: duty within its limits, speed steps of the sensor small; exact for the engine's own sampled law.
    Source: `governor.governed`, `loop.seen_speed`, z-transformed.
    """
    back = np.exp(-1j * omega_rad_s * governor.sample_s)
    whole, part = delay_parts(governor)
    seen = back**whole * ((1.0 - part) + part * back)
    share = smoothing_share(governor)
    seen = seen * share / (1.0 - (1.0 - share) * back) / goal_rad_s
    integral = seen * governor.sample_s / (1.0 - back)
    steep = governor.gain_s * seen * (1.0 - back) / governor.sample_s
    return seen, integral, steep


def open_loop(plant: SampledPlant, governor: Governor, omega_rad_s: Floats) -> Complexes:
    """Return the open loop at each frequency, negative feedback counted as plus.

    Shapes: omega_rad_s (n,) -> (n,)
    """
    seen, integral, steep = law_response(governor, plant.goal_rad_s, omega_rad_s)
    law = governor.gain * seen + governor.gain_per_s * integral + steep
    return plant_response(plant, omega_rad_s) * law


def smoothing_share(governor: Governor) -> float:
    """Return the share of a new reading that the smoothing lets in at once, as `governor.governed` has it."""
    return 1.0 if governor.filter_s <= 0.0 else -math.expm1(-governor.sample_s / governor.filter_s)


def delay_parts(governor: Governor) -> tuple[int, float]:
    """Return the sensor's age in whole samples, and the part of a sample over."""
    delay = governor.sensor_delay_s / governor.sample_s
    whole = math.floor(delay)
    return whole, delay - whole


def margins(omega_rad_s: Floats, loop: Complexes) -> Margins:
    """Return gain, phase, delay and modulus margin of an open loop.

    Equation: gain 1 / |L| where L is real and negative; phase 180 + arg L where |L| = 1, the least of several; delay
    phase / frequency; modulus min |1 + L|.
    Shapes: omega_rad_s (n,) rising, loop (n,)
    Valid: frequencies close enough for straight lines between them in log |L| and phase. An unstable loop shows as a
    gain margin below 1 or a phase margin below 0.
    Source: Nyquist's criterion; Astrom and Hagglund, Advanced PID Control, 2006 (from memory).
    """
    size, phase, log_w = np.log(np.maximum(np.abs(loop), LEAST)), np.unwrap(np.angle(loop)), np.log(omega_rad_s)
    gains = [
        (math.exp(-_between(size, at, part)), math.exp(_between(log_w, at, part)))
        for turn in _odd_turns(phase)
        for at, part in _crossings(phase - turn)
    ]
    phases = []
    for at, part in _crossings(size):
        angle = (math.degrees(_between(phase, at, part)) + 180.0 + 180.0) % 360.0 - 180.0
        phases.append((angle, math.exp(_between(log_w, at, part))))
    gain = min(gains, default=(None, None), key=lambda pair: pair[0])
    least = min(phases, default=(None, None), key=lambda pair: pair[0])
    return Margins(
        gain=gain[0],
        phase_deg=least[0],
        delay_s=min((math.radians(angle) / at for angle, at in phases), default=None),
        modulus=_least_distance(1.0 + loop),
        crossover_rad_s=least[1],
        phase_crossover_rad_s=gain[1],
    )


def _least_distance(curve: Complexes) -> float:
    """Return how near a curve comes to zero, straight lines between its points."""
    begin, along = curve[:-1], np.diff(curve)
    square = np.abs(along) ** 2
    part = np.clip(-(begin * along.conj()).real / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
    return float(np.abs(begin + part * along).min())


def closed_loop(plant: SampledPlant, governor: Governor) -> Floats:
    """Return the whole loop from one sample to the next, feed-forward left out: plant, speeds waited for, governor.

    Shapes: -> (16 + m + 4, 16 + m + 4), m whole samples of delay
    Valid: as `law_response`; its eigenvalues lie inside the unit circle when the loop is stable.
    Source: `governor.governed`, `loop.seen_speed` written as one linear step.
    """
    whole, part = delay_parts(governor)
    lags, share, goal = whole + 1, smoothing_share(governor), plant.goal_rad_s
    size = STATES + lags + 3
    seen, integral, error = STATES + lags, STATES + lags + 1, STATES + lags + 2
    # Row vectors over the state before the sample: what the sensor tells, and what the governor makes of it.
    ages = np.zeros((lags + 1, size))
    ages[0, 0] = 1.0
    for lag in range(lags):
        ages[lag + 1, STATES + lag] = 1.0
    measured = (1.0 - part) * ages[whole] + part * ages[whole + 1]
    sees = share * measured
    sees[seen] += 1.0 - share
    errs = -sees / goal
    grows = governor.gain_per_s * governor.sample_s * errs
    grows[integral] += 1.0
    duty = governor.gain * errs + grows + governor.gain_s / governor.sample_s * errs
    duty[error] -= governor.gain_s / governor.sample_s
    step = np.zeros((size, size))
    step[:STATES, :STATES] = plant.phi
    step[:STATES] += np.outer(plant.gain[:, DUTY], duty)
    step[STATES : STATES + lags] = ages[:lags]
    step[seen], step[integral], step[error] = sees, grows, errs
    return step


def slowest_swing(step: Floats, sample_s: float) -> tuple[float, float | None, float | None]:
    """Return the spectral radius of a sampled loop, and damping and frequency in Hz of its least damped swing.

    Equation: s = ln(z) / T, damping -Re s / |s|
    Shapes: step (n, n)
    Valid: motions below half the sample rate; None where nothing swings.
    Source: any digital control textbook.
    """
    values = np.linalg.eigvals(step)
    radius = float(np.max(np.abs(values)))
    swings = values[(values.imag > 1e-9) & (np.abs(values) > 1e-6)]
    if not swings.size:
        return radius, None, None
    rates = np.log(swings) / sample_s
    damping = -rates.real / np.abs(rates)
    at = int(np.argmin(damping))
    return radius, float(damping[at]), float(np.abs(rates[at].imag) / (2.0 * math.pi))


def _odd_turns(phase_rad: Floats) -> list[float]:
    low, high = (float(end) / math.pi for end in (phase_rad.min(), phase_rad.max()))
    first = math.ceil((low - 1.0) / 2.0)
    return [math.pi * (2 * turn + 1) for turn in range(first, math.floor((high - 1.0) / 2.0) + 1)]


def _crossings(values: Floats) -> list[tuple[int, float]]:
    """Return where values cross zero: the index before, and the share of the way to the next."""
    found = np.flatnonzero(values[:-1] * values[1:] < 0.0)
    return [(int(at), float(values[at] / (values[at] - values[at + 1]))) for at in found]


def _between(values: Floats, at: int, part: float) -> float:
    return float(values[at] + part * (values[at + 1] - values[at]))


__all__ = [
    "SERVO", "Margins", "closed_loop", "delay_parts", "frequencies", "law_response", "margins", "open_loop",
    "plant_response", "slowest_swing", "smoothing_share",
]  # fmt: skip
