"""The set-point law, channel percent to head speed, chosen by what the readings refute."""

import math
from collections.abc import Sequence

import numpy as np
from scipy.special import chdtri, fdtri

from steadyhead.channel.bow import bow_would_show
from steadyhead.channel.clamped_fit import Clamped, best_clamped
from steadyhead.channel.fitted_law import FittedLaw, Kind
from steadyhead.channel.law_reasons import (
    offset_said,
    piecewise_said,
    proportional_not_kept,
    proportional_refuted_by,
    test_said,
    why_unknown,
    worst_miss,
)
from steadyhead.channel.line_fit import Line, Points, affine, proportional
from steadyhead.channel.monotone_fit import merged_positions, monotone_curve, rising
from steadyhead.channel.one_bend import bend_of
from steadyhead.channel.reading_doubt import (
    PRIOR_FREEDOM,
    deviation_rpm,
    interval_factor,
    misfit_chance,
    offset_chance,
    spread_is_stated,
)
from steadyhead.channel.residual import knee_residual_rpm, residual_rpm
from steadyhead.channel.result import Reading

REFUTED_BELOW = 0.05
"""A law is refuted when readings as far off as these have less than this chance under it."""
KNEE_BELOW = 0.01
"""A knee is believed when one as good has less than this chance on a straight law; it costs two freedoms."""
KNEE_FREEDOM = 2
OFFSET_SEEN = 0.05
"""Proportional is kept only if an offset of this share of the greatest head speed would have been seen."""


def set_point_law(readings: Sequence[Reading]) -> FittedLaw:
    """Choose the law for readings that were put in order by `reading_set`.

    First the line with an offset: if the readings refute it, a line with a knee, and if they refute that too, a law
    that only rises. If they do not refute it, proportional is kept where no offset shows and one would have shown.
    Valid: each reading's error independent and near normal.
    Source: goodness of fit by chi-square or variance ratio at 5 %; see docs/channel.md.
    """
    points = points_of(readings)
    if points.positions < 2:
        return FittedLaw(
            kind=Kind.UNKNOWN,
            because=why_unknown(readings),
            points=points,
            positions=merged_positions(points),
            factor=math.nan,
        )
    line = affine(points)
    knee = best_clamped(points)
    chance = misfit_chance(line.misfit, line.freedom, stated=points.stated)
    if knee is not None and (chance < REFUTED_BELOW or _knee_is_seen(line, knee, points)) and _holds(knee, points):
        return _with_knee(points, line, knee)
    if chance < REFUTED_BELOW or line.slope_rpm_per_percent <= 0.0:
        return _piecewise(points, line, chance)
    return _straight(points, line, chance)


def points_of(readings: Sequence[Reading]) -> Points:
    """Return readings as arrays, by rising percent."""
    ordered = sorted(readings, key=lambda reading: (reading.percent, reading.head_speed_rpm))
    return Points(
        np.array([reading.percent for reading in ordered], np.float64),
        np.array([reading.head_speed_rpm for reading in ordered], np.float64),
        np.array([deviation_rpm(reading) for reading in ordered], np.float64),
        stated=bool(ordered) and all(spread_is_stated(reading) for reading in ordered),
    )


def _straight(points: Points, line: Line, chance: float) -> FittedLaw:
    """Keep proportional or the line with an offset; proportional only where a law that bends would have shown."""
    factor = interval_factor(line.misfit, line.freedom, stated=points.stated)
    tested = bow_would_show(points, factor)
    offset_rpm, doubt_rpm = line.rpm(0.0), line.deviation_rpm(0.0)
    offset_is_nothing = offset_chance(offset_rpm / doubt_rpm, line.misfit, line.freedom, stated=points.stated)
    would_be_seen = factor * doubt_rpm <= OFFSET_SEEN * float(points.rpm.max())
    not_refuted = offset_is_nothing >= REFUTED_BELOW
    if not_refuted and would_be_seen and tested:
        through_zero = proportional(points)
        because = (
            f"the line through the readings reaches zero head speed at {line.percent(0.0):.2g} %, "
            f"which is 0 % within the doubt ({offset_said(offset_is_nothing)}); an offset of "
            f"{factor * doubt_rpm:.2g} rpm would have shown"
        )
        return FittedLaw(
            kind=Kind.PROPORTIONAL,
            because=because,
            points=points,
            positions=merged_positions(points),
            factor=factor,
            tested=tested,
            line=through_zero,
            rival=line,
            residual_rpm=residual_rpm(points, through_zero),
        )
    refuted = proportional_not_kept(would_be_seen=would_be_seen) if not_refuted else proportional_refuted_by(points)
    return FittedLaw(
        kind=Kind.AFFINE,
        because=f"{refuted}; a line with an offset is taken, and {test_said(points, chance, factor)}",
        points=points,
        positions=merged_positions(points),
        factor=factor,
        tested=tested,
        line=line,
        residual_rpm=residual_rpm(points, line),
    )


def _holds(knee: Clamped, points: Points) -> bool:
    """Whether the readings leave a line with a knee unrefuted."""
    return misfit_chance(knee.misfit, knee.freedom, stated=points.stated) >= REFUTED_BELOW


def _knee_is_seen(line: Line, knee: Clamped, points: Points) -> bool:
    """Whether a knee betters the straight line by more than chance would."""
    gained = line.misfit - knee.misfit
    if points.stated:
        return gained > float(chdtri(KNEE_FREEDOM, KNEE_BELOW))
    left = PRIOR_FREEDOM + knee.freedom
    return gained / KNEE_FREEDOM / ((PRIOR_FREEDOM + knee.misfit) / left) > float(
        fdtri(KNEE_FREEDOM, left, 1.0 - KNEE_BELOW)
    )


def _with_knee(points: Points, line: Line, knee: Clamped) -> FittedLaw:
    """Keep a slope that ends in a flat."""
    kind, word = (Kind.CEILING, "above") if knee.ceiling else (Kind.FLOOR, "below")
    worst = worst_miss(points, line)
    factor = interval_factor(knee.misfit, knee.freedom, stated=points.stated)
    return FittedLaw(
        kind=kind,
        because=(
            f"one straight line does not hold: it misses {worst}; {word} "
            f"{knee.line.percent(knee.flat.level_rpm):.3g} % the head speed stays at {knee.flat.level_rpm:.0f} rpm"
        ),
        points=points,
        positions=merged_positions(points),
        factor=factor,
        tested=bow_would_show(knee.sloped, factor),
        line=knee.line,
        flat=knee.flat,
        residual_rpm=knee_residual_rpm(points, knee),
    )


def _piecewise(points: Points, line: Line, chance: float) -> FittedLaw:
    """Keep a law that only rises."""
    positions = rising(merged_positions(points))
    bend = bend_of(positions)
    missed = (points.rpm - np.interp(points.percent, positions.percent, positions.rpm)) / points.deviation_rpm
    return FittedLaw(
        kind=Kind.PIECEWISE,
        because=piecewise_said(points, line, chance, bend),
        points=points,
        positions=positions,
        bend=bend,
        factor=interval_factor(
            float((missed**2).sum()), points.percent.size - positions.percent.size, stated=points.stated
        ),
        tested=line.slope_rpm_per_percent > 0.0,
        curve=monotone_curve(positions),
        residual_rpm=None,
    )
