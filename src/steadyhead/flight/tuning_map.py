"""What every pair of gains would do: load steps and margins over a grid of gains, for one machine."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_case import STEPPED, Bench, Case
from steadyhead.flight.governor_loop import Complexes, frequencies, law_response, plant_response
from steadyhead.flight.governor_replay import load_course, replay_gains
from steadyhead.flight.governor_step import StepFigures
from steadyhead.words.errors import SolveError

STEPS_UP, STEPS_DOWN = 8, 8
STEP_FACTOR = 2.0**0.25
"""One line of the map to the next: about 20 %, so the map reaches from a quarter to four times today's gains."""
RECOVERIES_LONG = 1.5
LEAST_SECONDS = 1.5
THIN = 3
"""The map looks at every third frequency."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class GainGrid:
    """Gains of the map, as factors of today's. Shapes: factors (17,); pairs (289, 2) gain and gain per second."""

    factors: Floats
    pairs: Floats


@dataclass(frozen=True, kw_only=True)
class GridFigures:
    """The worst of all flight modes and charges for each pair of gains; shares of the set speed, s.

    Shapes: every array (g,). `recovery_s` is infinite where the head is not back; `stable` says the loop dies out.
    """

    drop: Floats
    rise: Floats
    recovery_s: Floats
    modulus: Floats
    stable: NDArray[np.bool_]


def grid(gain: float, gain_per_s: float) -> GainGrid:
    """Return the gains of the map round today's."""
    factors: Floats = np.power(STEP_FACTOR, np.arange(-STEPS_DOWN, STEPS_UP + 1, dtype=np.float64))
    first, second = np.meshgrid(gain * factors, gain_per_s * factors, indexing="ij")
    return GainGrid(factors=factors, pairs=np.ascontiguousarray(np.column_stack([first.ravel(), second.ravel()])))


def grid_figures(
    ready: Bench, found: Sequence[Case], pairs: Floats, *, band_share: float, recovery_s: float
) -> GridFigures:
    """Return what each pair of gains does at worst; conditions that full duty does not hold are left out.

    Shapes: pairs (g, 2)
    """
    count = pairs.shape[0]
    worst = GridFigures(
        drop=np.zeros(count), rise=np.zeros(count), recovery_s=np.zeros(count), modulus=np.full(count, np.inf),
        stable=np.ones(count, dtype=np.bool_),
    )  # fmt: skip
    seconds = max(RECOVERIES_LONG * recovery_s, LEAST_SECONDS)
    for one, other in step_pairs(found):
        for start, end in ((one, other), (other, one)):
            try:
                course = load_course(start.point, end.point, ready.rig.setting, seconds)
            except SolveError:
                worst.stable[:] = False
                continue
            out = np.empty((count, len(StepFigures._fields)))
            replay_gains(ready.rig.craft, course, ready.governor, pairs, band_share, out)
            np.maximum(worst.drop, out[:, 0], out=worst.drop)
            np.maximum(worst.rise, out[:, 1], out=worst.rise)
            back = np.where(out[:, 2] < 0.0, np.inf, out[:, 2])
            np.maximum(worst.recovery_s, back, out=worst.recovery_s)
    for case in found:
        if case.point.held:
            modulus, stable = grid_margins(ready, case, pairs)
            np.minimum(worst.modulus, modulus, out=worst.modulus)
            np.logical_and(worst.stable, stable, out=worst.stable)
    return worst


def step_pairs(found: Sequence[Case]) -> list[tuple[Case, Case]]:
    """Return hover and climb of the same flight mode and charge, where full duty holds both."""
    pairs = []
    for low in found:
        for high in found:
            same = (low.mode, low.point.frozen.charge) == (high.mode, high.point.frozen.charge)
            if same and (low.point.load, high.point.load) == STEPPED and low.point.held and high.point.held:
                pairs.append((low, high))
    return pairs


def grid_margins(ready: Bench, case: Case, pairs: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the least distance of the open loop from -1 for each pair of gains, and whether the loop is stable.

    Shapes: pairs (g, 2) -> (g,), (g,)
    """
    omega = frequencies(ready.governor.sample_s)[::THIN]
    seen, integral, steep = law_response(ready.governor, case.plant.goal_rad_s, omega)
    plant = plant_response(case.plant, omega)
    loop = (pairs[:, :1] * seen + pairs[:, 1:] * integral + steep) * plant
    return np.asarray(np.min(np.abs(1.0 + loop), axis=1)), turns_around_nothing(loop)


def turns_around_nothing(loop: Complexes) -> NDArray[np.bool_]:
    """Return whether 1 + L keeps from turning round zero: then a loop with a stable plant is stable.

    Equation: the angle of 1 + L, followed from the lowest frequency to half the sample rate, ends at 0
    Shapes: loop (g, n) -> (g,)
    Valid: stable plant, one integrator or none, frequencies close enough to follow the angle.
    Source: Nyquist's criterion for sampled loops; any digital control textbook.
    """
    return np.asarray(np.abs(np.unwrap(np.angle(1.0 + loop), axis=1)[:, -1]) < 0.5 * np.pi)
