"""A section polar as a table over the whole circle, and the fast look-up in it."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel

MACH_TOP = 0.7
ATTACHED_TOP_RAD = 0.35


class Section(NamedTuple):
    """A section polar as a table, with factors that carry its doubt.

    `compressible` 1 applies the Mach correction, 0 takes the polar as measured at the rotor's own speed. Two arrays
    only: each one more costs a rotor solve a tenth of its time in reference counting.
    Shapes: polar (2, m, n) cl and cd for m Reynolds numbers over n angles evenly spaced over -pi..pi;
    rows (3, m) natural log of Reynolds number, rising, and the angles of least and greatest lift.
    """

    polar: NDArray[np.float64]
    rows: NDArray[np.float64]
    lift_factor: float
    drag_factor: float
    compressible: float


@kernel
def reynolds_row(section: Section, reynolds: float) -> tuple[int, float]:
    """Row of the table below a Reynolds number, and the weight of the row above.

    Valid: any Reynolds number; outside the table its edge row holds.
    Source: linear in log Re, common practice, no source.
    """
    last = section.rows.shape[1] - 1
    if last == 0 or reynolds <= 0.0:
        return 0, 0.0
    wanted = math.log(reynolds)
    row = 0
    while row < last - 1 and wanted > section.rows[0, row + 1]:
        row += 1
    weight = (wanted - section.rows[0, row]) / (section.rows[0, row + 1] - section.rows[0, row])
    return row, min(max(weight, 0.0), 1.0)


@kernel
def mach_stretched(alpha_rad: float, mach: float) -> float:
    """Angle of attack at which incompressible air gives the same lift, rad.

    alpha / sqrt(1 - M^2) up to 20 degrees, faded to alpha at 40: the slope grows, the greatest lift does not.
    Valid: M below about 0.6 (local sound speed not reached); held at its M 0.7 value above that.
    Source: Glauert 1928, ARC R&M 1135 (Prandtl-Glauert rule); the fade is ours.
    """
    mach = min(mach, MACH_TOP)
    gain = 1.0 / math.sqrt(1.0 - mach * mach) - 1.0
    size = abs(alpha_rad)
    if size >= 2.0 * ATTACHED_TOP_RAD:
        return alpha_rad
    grown = size if size <= ATTACHED_TOP_RAD else 2.0 * ATTACHED_TOP_RAD - size
    return alpha_rad + math.copysign(gain * grown, alpha_rad)


@kernel
def table_value(polar: NDArray[np.float64], which: int, alpha_rad: float, row: int, weight: float) -> float:
    """Lift (0) or drag (1) of a polar table at an angle within -pi..pi, between two Reynolds rows.

    Shapes: polar (2, m, n) over evenly spaced angles from -pi to pi.
    Valid: -pi <= alpha <= pi.
    Source: linear interpolation.
    """
    last = polar.shape[2] - 1
    place = (alpha_rad + math.pi) * last / (2.0 * math.pi)
    left = min(max(int(place), 0), last - 1)
    part = place - left
    # No branch in here: numba then drops the reference counting of the array, which costs fifty times the look-up.
    above = min(row + 1, polar.shape[1] - 1)
    low = polar[which, row, left] + part * (polar[which, row, left + 1] - polar[which, row, left])
    high = polar[which, above, left] + part * (polar[which, above, left + 1] - polar[which, above, left])
    return float(low + weight * (high - low))


@kernel
def row_coefficients(section: Section, alpha_rad: float, row: int, weight: float, mach: float) -> tuple[float, float]:
    """Lift and drag coefficient of a section between two Reynolds rows already found.

    Valid: as `coefficients`.
    Source: as `coefficients`.
    """
    alpha = alpha_rad
    if abs(alpha) > math.pi:
        alpha -= 2.0 * math.pi * math.floor((alpha + math.pi) / (2.0 * math.pi))
    lift_alpha = mach_stretched(alpha, mach) if section.compressible > 0.0 else alpha
    cl = section.lift_factor * table_value(section.polar, 0, lift_alpha, row, weight)
    cd = section.drag_factor * table_value(section.polar, 1, alpha, row, weight)
    return cl, cd


@kernel
def coefficients(section: Section, alpha_rad: float, reynolds: float, mach: float) -> tuple[float, float]:
    """Lift and drag coefficient of a section.

    Valid: alpha -pi..pi (turned back by whole turns outside), any Reynolds number (table edges hold), Mach below 0.6.
    Source: the section's own table; Mach by `mach_stretched`, on lift only.
    """
    row, weight = reynolds_row(section, reynolds)
    return row_coefficients(section, alpha_rad, row, weight, mach)


@kernel
def is_stalled(section: Section, alpha_rad: float, row: int, weight: float) -> bool:
    """Whether an angle of attack lies past the section's greatest or least lift, between two Reynolds rows.

    Valid: alpha -pi..pi.
    Source: definition.
    """
    rows = section.rows
    above = min(row + 1, rows.shape[1] - 1)
    low = rows[1, row] + weight * (rows[1, above] - rows[1, row])
    high = rows[2, row] + weight * (rows[2, above] - rows[2, row])
    return bool(alpha_rad < low or alpha_rad > high)
