"""Blade sections: from constants, from a table, or the bundled one; all become the same table over the whole circle."""

import math
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from steadyhead.physics.polar_table import Section, coefficients, is_stalled

__all__ = ["Section", "coefficients", "constant_section", "flat_plate", "is_stalled", "model_section", "table_section"]

Floats = NDArray[np.float64]

ANGLES = 1441
REYNOLDS_ROWS = 33
PLATE_NORMAL = 1.98
STALL_BLEND_RAD = math.radians(10.0)
TYPICAL_STALL_RAD = math.radians(12.0)
STALL_SOUGHT_RAD = math.radians(60.0)
LIFT_SPREAD = 0.07
DRAG_SPREAD = 0.25
TABLE_FILE = Path(__file__).with_name("section_table.csv")


def constant_section(
    lift_slope_per_rad: float,
    cd0: float,
    cd1: float = 0.0,
    cd2: float = 0.0,
    *,
    alpha_stall_rad: float | None = None,
    cl_max: float | None = None,
) -> Section:
    """Symmetric section from textbook constants, the same at every Reynolds and Mach number.

    cl = a alpha, cd = cd0 + cd1 |alpha| + cd2 alpha^2 up to stall, a flat plate well beyond.
    Valid: below stall; without a stall angle or greatest lift, stall is put at 12 degrees (typical, no source).
    Raises: ValueError when slope or cd0 is not positive.
    """
    if lift_slope_per_rad <= 0.0 or cd0 <= 0.0:
        raise ValueError("lift slope and cd0 must be positive")
    stall = cl_max / lift_slope_per_rad if cl_max is not None else alpha_stall_rad or TYPICAL_STALL_RAD
    step = 2.0 * math.pi / (ANGLES - 1)
    reach = math.ceil(stall / step) * step
    alpha = np.linspace(-reach, reach, 2 * round(reach / step) + 1)
    within = np.clip(alpha, -stall, stall)
    drag = cd0 + cd1 * np.abs(alpha) + cd2 * alpha**2
    return table_section(alpha, lift_slope_per_rad * within, drag)


def table_section(
    alpha_rad: ArrayLike, cl: ArrayLike, cd: ArrayLike, reynolds: ArrayLike | None = None, *, compressible: bool = False
) -> Section:
    """Section from a measured or computed table, continued as a flat plate beyond its ends.

    A table that starts at zero angle and zero lift is mirrored. The Mach correction is off unless asked for, since a
    table is often measured at the rotor's own speed.
    Shapes: alpha_rad (n,) rising; cl, cd (n,) for one Reynolds number or (m, n) with reynolds (m,) rising.
    Valid: inside the table as good as the table; beyond its ends see `flat_plate`.
    Raises: ValueError when shapes differ, angles do not rise, drag is not positive or a number is missing.
    """
    alpha = np.asarray(alpha_rad, dtype=np.float64)
    lift = np.atleast_2d(np.asarray(cl, dtype=np.float64))
    drag = np.atleast_2d(np.asarray(cd, dtype=np.float64))
    numbers = np.asarray([1.0e5] if reynolds is None else reynolds, dtype=np.float64)
    _refuse_bad_table(alpha, lift, drag, numbers)
    if abs(alpha[0]) < 1e-9 and bool(np.all(np.abs(lift[:, 0]) < 1e-6)):
        alpha = np.concatenate([-alpha[:0:-1], alpha])
        lift = np.concatenate([-lift[:, :0:-1], lift], axis=1)
        drag = np.concatenate([drag[:, :0:-1], drag], axis=1)
    grid = np.linspace(-math.pi, math.pi, ANGLES)
    rows = [_whole_circle(grid, alpha, lift[row], drag[row]) for row in range(len(numbers))]
    return _section(np.array([r[0] for r in rows]), np.array([r[1] for r in rows]), np.log(numbers), compressible)


def model_section(lift_factor: float = 1.0, drag_factor: float = 1.0) -> Section:
    """Return the bundled section: symmetric, 15 % thick, hand-built finish, Reynolds 5e4 to 1e6, Mach correction on.

    Valid: Re 5e4-1e6; doubt at 90 % about +-7 % of lift slope and +-25 % of drag (LIFT_SPREAD, DRAG_SPREAD): the
    measured and computed sources differ by that much at one Reynolds number.
    Source: made by scripts/make_section_table.py from NACA TN-626 and SAND80-2114; see docs/physics-rotor.md.
    """
    return _bundled()._replace(lift_factor=float(lift_factor), drag_factor=float(drag_factor))


def flat_plate(alpha_rad: Floats, cd_floor: float) -> tuple[Floats, Floats]:
    """Lift and drag coefficient of a section far beyond stall, at any angle of the circle.

    cn = 1.98 sin(alpha); cl = cn cos(alpha), cd = cn sin(alpha) + cd_floor
    Valid: beyond about 25 degrees from either edge; smooth and periodic everywhere.
    Source: normal force 1.98 of a long flat plate, Hoerner, Fluid-Dynamic Drag 1965 ch. 3 (value from memory); lift
    agrees with SAND80-2114 at 30 degrees to 2 %, drag is 12 % lower there.
    """
    normal = PLATE_NORMAL * np.sin(alpha_rad)
    return normal * np.cos(alpha_rad), normal * np.sin(alpha_rad) + cd_floor


@cache
def _bundled() -> Section:
    lines = [line for line in TABLE_FILE.read_text("utf-8").splitlines() if not line.startswith("#")]
    names = lines[0].split(",")
    reynolds = [float(name.removeprefix("cl_")) for name in names if name.startswith("cl_")]
    columns = np.array([[float(word) for word in line.split(",")] for line in lines[1:]]).T
    rows = len(reynolds)
    lift, drag = columns[1 : 1 + rows], columns[1 + rows :]
    return table_section(np.radians(columns[0]), lift, drag, reynolds, compressible=True)


def _refuse_bad_table(alpha: Floats, lift: Floats, drag: Floats, reynolds: Floats) -> None:
    """Raise ValueError with the reason when a table cannot be a polar."""
    wanted = (len(reynolds), len(alpha))
    if lift.shape != wanted or drag.shape != wanted:
        raise ValueError(
            f"cl and cd must have one row for each Reynolds number and one column for each angle, {wanted}"
        )
    if len(alpha) < 3 or bool(np.any(np.diff(alpha) <= 0.0)) or bool(np.any(np.diff(reynolds) <= 0.0)):
        raise ValueError("angles (3 or more) and Reynolds numbers must rise")
    if not all(bool(np.all(np.isfinite(part))) for part in (alpha, lift, drag, reynolds)):
        raise ValueError("a table must not have missing numbers")
    if bool(np.any(drag <= 0.0)) or bool(np.any(reynolds <= 0.0)):
        raise ValueError("drag and Reynolds numbers must be positive")


def _whole_circle(grid: Floats, alpha: Floats, cl: Floats, cd: Floats) -> tuple[Floats, Floats]:
    """One row of the table on the whole circle: the given part, then blended into the flat plate."""
    outside = np.maximum(np.maximum(alpha[0] - grid, grid - alpha[-1]), 0.0)
    share = np.clip(outside / STALL_BLEND_RAD, 0.0, 1.0)
    share = share * share * (3.0 - 2.0 * share)
    plate_cl, plate_cd = flat_plate(grid, float(np.min(cd)))
    lift = (1.0 - share) * np.interp(grid, alpha, cl) + share * plate_cl
    drag = (1.0 - share) * np.interp(grid, alpha, cd) + share * plate_cd
    return lift, drag


def _section(cl: Floats, cd: Floats, log_reynolds: Floats, compressible: bool) -> Section:
    """Section from whole-circle rows; several rows are laid anew, evenly over the logarithm of Reynolds number."""
    grid = np.linspace(-math.pi, math.pi, ANGLES)
    low, step = float(log_reynolds[0]), 1.0
    if len(log_reynolds) > 1:
        even = np.linspace(log_reynolds[0], log_reynolds[-1], REYNOLDS_ROWS)
        step = float(even[1] - even[0])
        weights = np.array([np.interp(even, log_reynolds, unit) for unit in np.eye(len(log_reynolds))]).T
        cl, cd = weights @ cl, weights @ cd
    high_stall = [_first_top(grid, row) for row in cl]
    low_stall = [-_first_top(grid, -row[::-1]) for row in cl]
    flag = 1.0 if compressible else 0.0
    return Section(np.array([cl, cd]), np.array([low_stall, high_stall]), low, step, 1.0, 1.0, flag)


def _first_top(grid: Floats, cl: Floats) -> float:
    """Angle of the first greatest lift going up from zero angle, rad: lift falls 2 % below it; 60 degrees if never."""
    up = (grid >= 0.0) & (grid <= STALL_SOUGHT_RAD)
    angles, lift = grid[up], cl[up]
    tops = np.maximum.accumulate(lift)
    fallen = np.flatnonzero((lift < 0.98 * tops) & (tops > 0.0))
    end = int(fallen[0]) + 1 if len(fallen) else len(lift)
    return float(angles[int(np.argmax(lift[:end]))])
