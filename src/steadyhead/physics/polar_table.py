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

    `compressible` 1 applies the Mach correction, 0 takes the polar as measured at the rotor's own speed.
    Shapes: alpha_rad (n,) evenly spaced over -pi..pi; log_reynolds (m,) natural log, rising; cl, cd (m, n);
    stall_low_rad, stall_high_rad (m,) angles of least and greatest lift.
    """

    alpha_rad: NDArray[np.float64]
    log_reynolds: NDArray[np.float64]
    cl: NDArray[np.float64]
    cd: NDArray[np.float64]
    stall_low_rad: NDArray[np.float64]
    stall_high_rad: NDArray[np.float64]
    lift_factor: float
    drag_factor: float
    compressible: float


@kernel
def reynolds_row(section: Section, reynolds: float) -> tuple[int, float]:
    """Row of the table below a Reynolds number, and the weight of the row above.

    Valid: any Reynolds number; outside the table its edge row holds.
    Source: linear in log Re, common practice, no source.
    """
    rows = section.log_reynolds
    last = rows.shape[0] - 1
    if last == 0 or reynolds <= 0.0:
        return 0, 0.0
    wanted = math.log(reynolds)
    row = 0
    while row < last - 1 and wanted > rows[row + 1]:
        row += 1
    weight = (wanted - rows[row]) / (rows[row + 1] - rows[row])
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
def table_value(table: NDArray[np.float64], alpha_rad: float, row: int, weight: float) -> float:
    """Value of a polar table at an angle within -pi..pi, between two Reynolds rows.

    Shapes: table (m, n) over evenly spaced angles from -pi to pi.
    Valid: -pi <= alpha <= pi.
    Source: linear interpolation.
    """
    last = table.shape[1] - 1
    place = (alpha_rad + math.pi) * last / (2.0 * math.pi)
    left = min(max(int(place), 0), last - 1)
    part = place - left
    value = table[row, left] + part * (table[row, left + 1] - table[row, left])
    if weight > 0.0:
        above = table[row + 1, left] + part * (table[row + 1, left + 1] - table[row + 1, left])
        value += weight * (above - value)
    return float(value)


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
    cl = section.lift_factor * table_value(section.cl, lift_alpha, row, weight)
    cd = section.drag_factor * table_value(section.cd, alpha, row, weight)
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
    above = row + 1 if weight > 0.0 else row
    low = section.stall_low_rad[row] + weight * (section.stall_low_rad[above] - section.stall_low_rad[row])
    high = section.stall_high_rad[row] + weight * (section.stall_high_rad[above] - section.stall_high_rad[row])
    return bool(alpha_rad < low or alpha_rad > high)
