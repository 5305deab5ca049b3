"""A section polar as a table over the whole circle, and the fast look-up in it."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import inlined_kernel
from steadyhead.physics.series import natural_log

MACH_TOP = 0.7
ATTACHED_TOP_RAD = 0.35


class Section(NamedTuple):
    """A section polar as a table, with factors that carry its doubt.

    `compressible` 1 applies the Mach correction, 0 takes the polar as measured at the rotor's own speed.
    Rows stand for Reynolds numbers whose natural logarithm starts at `log_reynolds_low` and rises by the step.
    Shapes: polar (2, m, n) cl and cd of m rows over n angles evenly spaced over -pi..pi; stall_rad (2, m) angles of
    least and greatest lift.
    """

    polar: NDArray[np.float64]
    stall_rad: NDArray[np.float64]
    log_reynolds_low: float
    log_reynolds_step: float
    lift_factor: float
    drag_factor: float
    compressible: float


@inlined_kernel
def reynolds_row(section: Section, reynolds: float) -> tuple[int, int, float]:
    """Rows of the table below and above a Reynolds number, and the weight of the upper one.

    Valid: any Reynolds number; outside the table its edge row holds.
    Source: linear in log Re, common practice, no source.
    """
    last = section.polar.shape[1] - 1
    place = (natural_log(max(reynolds, 1.0)) - section.log_reynolds_low) / section.log_reynolds_step
    place = min(max(place, 0.0), float(last))
    # Written so that the compiler sees indices that are never below zero.
    row = max(int(place), 0)
    return row, max(min(row + 1, last), 0), place - row


@inlined_kernel
def mach_stretched(alpha_rad: float, mach: float) -> float:
    """Angle of attack at which incompressible air gives the same lift, rad.

    alpha / sqrt(1 - M^2) up to 20 degrees, faded to alpha at 40: the slope grows, the greatest lift does not.
    Valid: M below about 0.6 (local sound speed not reached); held at its M 0.7 value above that.
    Source: Glauert 1928, ARC R&M 1135 (Prandtl-Glauert rule); the fade is ours.
    """
    mach = min(mach, MACH_TOP)
    gain = 1.0 / math.sqrt(1.0 - mach * mach) - 1.0
    size = abs(alpha_rad)
    grown = max(min(size, 2.0 * ATTACHED_TOP_RAD - size), 0.0)
    return alpha_rad + math.copysign(gain * grown, alpha_rad)


@inlined_kernel
def table_value(polar: NDArray[np.float64], which: int, alpha_rad: float, rows: tuple[int, int, float]) -> float:
    """Lift (0) or drag (1) of a polar table at an angle within -pi..pi, between two Reynolds rows.

    Shapes: polar (2, m, n) over evenly spaced angles from -pi to pi.
    Valid: -pi <= alpha <= pi.
    Source: linear interpolation.
    """
    # No branch in here, so that several rings are looked up at once.
    row, above, weight = rows
    last = polar.shape[2] - 1
    place = (alpha_rad + math.pi) * last / (2.0 * math.pi)
    left = max(min(int(place), last - 1), 0)
    part = place - left
    low = polar[which, row, left] + part * (polar[which, row, left + 1] - polar[which, row, left])
    high = polar[which, above, left] + part * (polar[which, above, left + 1] - polar[which, above, left])
    return float(low + weight * (high - low))


@inlined_kernel
def coefficients(section: Section, alpha_rad: float, reynolds: float, mach: float) -> tuple[float, float]:
    """Lift and drag coefficient of a section.

    Valid: alpha -pi..pi (turned back by whole turns outside), any Reynolds number (table edges hold), Mach below 0.6.
    Source: the section's own table; Mach by `mach_stretched`, on lift only.
    """
    rows = reynolds_row(section, reynolds)
    alpha = alpha_rad - 2.0 * math.pi * math.floor((alpha_rad + math.pi) / (2.0 * math.pi))
    lift_alpha = mach_stretched(alpha, section.compressible * mach)
    cl = section.lift_factor * table_value(section.polar, 0, lift_alpha, rows)
    cd = section.drag_factor * table_value(section.polar, 1, alpha, rows)
    return cl, cd


@inlined_kernel
def is_stalled(section: Section, alpha_rad: float, reynolds: float) -> bool:
    """Whether an angle of attack lies past the section's greatest or least lift.

    Valid: alpha -pi..pi.
    Source: definition.
    """
    row, above, weight = reynolds_row(section, reynolds)
    stall = section.stall_rad
    low = stall[0, row] + weight * (stall[0, above] - stall[0, row])
    high = stall[1, row] + weight * (stall[1, above] - stall[1, row])
    return bool((alpha_rad < low) | (alpha_rad > high))
