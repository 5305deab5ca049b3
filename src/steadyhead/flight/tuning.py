"""The map of gains over the spread of the machine, and which gains hold every tolerance."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_result import Tuning, TuningPoint
from steadyhead.flight.governor_tolerances import Tolerances
from steadyhead.flight.tuning_advice import advice, explanation, gains_are_own
from steadyhead.flight.tuning_map import GainGrid, GridFigures
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome

PERCENT = 100.0
INSIDE = 1e-9

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Mapped:
    """The map as arrays. Shapes: `share` (g,) of the drawn machines that hold every tolerance, `holds` (g,)."""

    gains: GainGrid
    nominal: GridFigures
    holds: Bools
    share: Floats
    drawn: int
    lost: int
    """Drawn machines that could not be flown at all: they hold nothing."""


def mapped(gains: GainGrid, nominal: GridFigures, held: Tolerances, others: Sequence[Bools], lost: int) -> Mapped:
    """Return what every pair of gains does, on the machine described and on those drawn from its spread.

    Shapes: others (g,) each, which gains hold every tolerance on one drawn machine
    """
    count = len(others) + lost
    total = np.zeros(gains.pairs.shape[0])
    for one in others:
        total += one
    return Mapped(
        gains=gains, nominal=nominal, holds=within(nominal, held), share=total / max(count, 1), drawn=count, lost=lost
    )


def within(figures: GridFigures, held: Tolerances) -> Bools:
    """Return which gains hold every tolerance that is known; a modulus of 0.5 holds gain and phase margin too.

    Shapes: -> (g,)
    """
    good = figures.stable & (figures.modulus >= held.modulus.value - INSIDE)
    for limit, worst in ((held.droop, figures.drop), (held.overspeed, figures.rise)):
        if limit is not None:
            good &= worst * PERCENT <= limit.value + INSIDE
    if held.recovery is not None:
        good &= figures.recovery_s <= held.recovery.value + INSIDE
    return np.asarray(good)


def outcomes(map_of: Mapped) -> list[Outcome]:
    """Return for each pair of gains: pass where every machine holds, unknown where only the one described does."""
    return [
        Outcome.FAIL if not good else (Outcome.PASS if share >= 1.0 - INSIDE else Outcome.UNKNOWN)
        for good, share in zip(map_of.holds, map_of.share, strict=True)
    ]


def tuning(machine: Machine, map_of: Mapped, held: Tolerances) -> Tuning:
    """Return the map as told: every point, today's, the nearest good one, and the advice in words."""
    verdicts = outcomes(map_of)
    points = tuple(_point(map_of, at, verdict) for at, verdict in enumerate(verdicts))
    size = len(map_of.gains.factors)
    today = (size // 2) * size + size // 2
    best = suggested(verdicts, map_of, size)
    own = gains_are_own(machine)
    pair = map_of.gains.pairs[best] if best is not None else None
    return Tuning(
        drawn=map_of.drawn,
        factors=tuple(float(factor) for factor in map_of.gains.factors),
        points=points,
        today=points[today],
        suggested=points[best] if best is not None else None,
        suggested_gain=float(pair[0]) if pair is not None else None,
        suggested_integral_time_s=float(pair[0] / pair[1]) if pair is not None and pair[1] > 0.0 else None,
        advice=advice(points[today], points[best] if best is not None else None, points, held, own),
        advice_known=own,
        explanation=explanation(points, size),
    )


def suggested(verdicts: Sequence[Outcome], map_of: Mapped, size: int) -> int | None:
    """Return the good pair of gains nearest to today's, with good ones round it where there are any."""
    good = np.array([verdict is Outcome.PASS for verdict in verdicts]).reshape(size, size)
    if not good.any():
        return None
    middle = size // 2
    if good[middle, middle]:
        return middle * size + middle
    padded = np.pad(good, 1)
    inner = good & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
    wanted = inner if inner.any() else good
    rows, columns = np.nonzero(wanted)
    away = np.hypot(rows - middle, columns - middle) - 1e-3 * map_of.nominal.modulus[rows * size + columns]
    at = int(np.argmin(away))
    return int(rows[at] * size + columns[at])


def _point(map_of: Mapped, at: int, verdict: Outcome) -> TuningPoint:
    figures, size = map_of.nominal, len(map_of.gains.factors)
    recovery = float(figures.recovery_s[at])
    return TuningPoint(
        gain_factor=float(map_of.gains.factors[at // size]),
        integral_factor=float(map_of.gains.factors[at % size]),
        drop_percent=PERCENT * float(figures.drop[at]),
        rise_percent=PERCENT * float(figures.rise[at]),
        recovery_s=recovery if np.isfinite(recovery) else None,
        modulus_margin=float(figures.modulus[at]) if figures.stable[at] else 0.0,
        machines_share=float(map_of.share[at]),
        verdict=verdict,
    )
