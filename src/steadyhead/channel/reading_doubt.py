"""How far a reading may be off: its stated spread, or a stated doubt where it has none."""

import math

from scipy.special import chdtrc, fdtrc, ndtri, stdtr, stdtrit

from steadyhead.channel.result import Reading

READING_DOUBT = 0.005
"""Half width of the 90 % interval of a reading without a spread, share of it. Common practice, no source."""
LEAST_DOUBT = 0.002
"""Smallest half width believed, share of the reading: from pack to pack the same set speed comes out no closer.
Common practice, no source."""
PRIOR_FREEDOM = 4.0
"""Weight of that stated doubt, as degrees of freedom, against the scatter of the readings themselves."""
Z90 = float(ndtri(0.95))
"""Half width of a 90 % interval in standard deviations of a normal law."""


def spread_is_stated(reading: Reading) -> bool:
    """Whether the reading came with a spread of its own."""
    return reading.spread_rpm > 0.0


def deviation_rpm(reading: Reading) -> float:
    """Standard deviation of a reading, rpm.

    s = spread / 1.645, the spread no smaller than 0.2 % of the reading
    Valid: reading errors near normal, which a mean over some seconds is.
    Source: quantile of the normal law; the doubt of a reading without a spread: common practice, no source.
    """
    if not spread_is_stated(reading):
        return READING_DOUBT * reading.head_speed_rpm / Z90
    return max(reading.spread_rpm, LEAST_DOUBT * reading.head_speed_rpm) / Z90


def interval_factor(misfit: float, freedom: int, *, stated: bool) -> float:
    """Half width of the 90 % interval in standard errors of a fit, no unit.

    stated spreads: z = 1.645 · else t(0.95, v0 + v) · sqrt((v0 + misfit) / (v0 + v)), v0 = 4
    Valid: also with no reading left over (v = 0): then only the stated doubt speaks.
    Source: normal and Student quantiles; pooling a stated variance with the observed one as a scaled inverse
    chi-square prior, in Gelman and others, Bayesian Data Analysis, section 3.2 (from memory).
    """
    if stated:
        return Z90
    pooled = PRIOR_FREEDOM + freedom
    return float(stdtrit(pooled, 0.95)) * math.sqrt((PRIOR_FREEDOM + misfit) / pooled)


def misfit_chance(misfit: float, freedom: int, *, stated: bool) -> float:
    """Chance that a right law misses its readings by as much as this, 0 to 1; 1 when no reading is left over.

    stated spreads: chi-square(v) · else F(v, v0) of misfit / v
    Source: chi-square and variance-ratio tests, common to statistics textbooks.
    """
    if freedom < 1:
        return 1.0
    if stated:
        return float(chdtrc(freedom, misfit))
    return float(fdtrc(freedom, PRIOR_FREEDOM, misfit / freedom))


def offset_chance(offset: float, misfit: float, freedom: int, *, stated: bool) -> float:
    """Chance that a true zero is read as this many standard errors, either way, 0 to 1.

    stated spreads: normal · else Student with v0 + v degrees of freedom, scaled as in `interval_factor`
    Source: as `interval_factor`.
    """
    if stated:
        return 2.0 * float(stdtr(math.inf, -abs(offset)))
    pooled = PRIOR_FREEDOM + freedom
    return 2.0 * float(stdtr(pooled, -abs(offset) / math.sqrt((PRIOR_FREEDOM + misfit) / pooled)))
