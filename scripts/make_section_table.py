"""Make the bundled section table, src/steadyhead/physics/section_table.csv, from measured sections.

Shape of lift and drag: NACA 0015 measured at Re 242,000 for NACA TN-626 (two tunnel positions, both signs).
Trend over Reynolds number and all of 20 to 30 degrees: NACA 0015 of SAND80-2114.
Greatest lift and its angle move with Reynolds number together, so the lift slope stays the measured one:
    cl(Re, a) = s cl_m(a / s),  cd(Re, a) = cd0_m d(Re) + s^2 q(Re) (cd_m(a / s) - cd0_m)
with s, d, q the SAND80-2114 ratios (to Re 242,000) of stall angle, zero-lift drag and drag rise at 6 degrees.
Run: python scripts/make_section_table.py
"""

import csv
import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

Floats = NDArray[np.float64]
ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "tests" / "data" / "rotor"
OUT = ROOT / "src" / "steadyhead" / "physics" / "section_table.csv"
MEASURED_RE = 242000.0
BIN_DEG = 1.0
STALL_END_DEG = 12.5
DEEP_FROM_DEG = 20.0
RISE_AT_DEG = 6.0


def rows(name: str) -> list[dict[str, str]]:
    """Read a data file whose source stands in # lines above the header."""
    lines = [line for line in (DATA / name).read_text("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def measured() -> tuple[PchipInterpolator, PchipInterpolator, float]:
    """Lift and drag over angle in degrees at Re 242,000, both signs and positions averaged in 1-degree bins."""
    table = rows("knight_hefner_1937_naca0015_polar.csv")
    alpha = np.array([float(row["alpha_deg"]) for row in table])
    lift = np.array([float(row["cl"]) for row in table])
    drag = np.array([float(row["cd"]) for row in table])
    size, lift = np.abs(alpha), lift * np.sign(alpha)
    cd0 = float(np.mean(drag[size < 2.0]))
    angles, lifts, drags = [0.0], [0.0], [cd0]
    for left in np.arange(2.0, 13.0, BIN_DEG):
        inside = (size >= left) & (size < left + BIN_DEG)
        if np.any(inside):
            angles.append(float(np.mean(size[inside])))
            lifts.append(float(np.mean(lift[inside])))
            drags.append(float(np.mean(drag[inside])))
    return PchipInterpolator(angles, lifts), PchipInterpolator(angles, drags), cd0


def sandia() -> dict[float, tuple[Floats, Floats, Floats]]:
    """SAND80-2114 by Reynolds number: angle in degrees, lift, drag."""
    table = rows("airfoil_naca0015_sheldahl_klimas_1981.csv")
    numbers = sorted({float(row["Re"]) for row in table})
    return {
        number: tuple(  # type: ignore[misc]
            np.array([float(row[key]) for row in table if float(row["Re"]) == number])
            for key in ("alpha_deg", "cl", "cd")
        )
        for number in numbers
    }


def stall_angle(alpha_deg: Floats, cl: Floats) -> float:
    """Angle of the first lift maximum, degrees, by a parabola through the three points about it."""
    near = alpha_deg < 18.0
    top = int(np.argmax(cl[near]))
    left, middle, right = cl[top - 1], cl[top], cl[top + 1]
    return float(alpha_deg[top] + 0.5 * (left - right) / (left - 2.0 * middle + right))


def trends() -> dict[float, tuple[float, float, float]]:
    """Stall angle, zero-lift drag and drag rise of SAND80-2114, each over its value at Re 242,000."""
    found = {
        number: (
            stall_angle(alpha, cl), float(cd[0]), float(np.interp(RISE_AT_DEG, alpha, cd) - cd[0]),
        )
        for number, (alpha, cl, cd) in sandia().items()
    }  # fmt: skip
    logs = np.log(list(found))
    base = [float(np.interp(math.log(MEASURED_RE), logs, [f[k] for f in found.values()])) for k in range(3)]
    ratios = {number: tuple(f[k] / base[k] for k in range(3)) for number, f in found.items()}
    return dict(sorted({**ratios, MEASURED_RE: (1.0, 1.0, 1.0)}.items()))  # type: ignore[arg-type]


def polar(number: float, alpha_deg: Floats) -> tuple[Floats, Floats]:
    """Lift and drag of the bundled section at one Reynolds number, 0 to 30 degrees."""
    lift_m, drag_m, cd0 = measured()
    s, d, q = trends()[number]
    attached = np.arange(0.0, STALL_END_DEG + 0.01, 0.5) * s
    lift = s * lift_m(attached / s)
    drag = cd0 * d + s * s * q * (drag_m(attached / s) - cd0)
    table = sandia()
    logs = np.log(list(table))
    deep = table[40000.0][0][table[40000.0][0] >= DEEP_FROM_DEG]
    far = [
        [np.interp(math.log(number), logs, [np.interp(a, row[0], row[k]) for row in table.values()]) for a in deep]
        for k in (1, 2)
    ]
    angles = np.concatenate([attached, deep])
    return (
        PchipInterpolator(angles, np.concatenate([lift, far[0]]))(alpha_deg),
        PchipInterpolator(angles, np.concatenate([drag, far[1]]))(alpha_deg),
    )


def table_text() -> str:
    """Return the whole file as text."""
    alpha_deg = np.arange(0.0, 30.01, 0.5)
    numbers = list(trends())
    polars = [polar(number, alpha_deg) for number in numbers]
    head = [
        "# Made by scripts/make_section_table.py; do not edit. NACA 0015 at Re 242,000 from Knight and Hefner 1937,",
        "# NACA TN-626, tables V-VI (measured); trend over Re and 20-30 deg from Sheldahl and Klimas 1981, SAND80-2114",
        "# (partly calculated). Symmetric; doubt at 90 % about +-7 % of lift slope, +-25 % of drag.",
        ",".join(["alpha_deg", *(f"cl_{n:.0f}" for n in numbers), *(f"cd_{n:.0f}" for n in numbers)]),
    ]
    columns = np.column_stack([alpha_deg, *(p[0] for p in polars), *(p[1] for p in polars)])
    body = [",".join([f"{line[0]:.1f}", *(f"{value:.5f}" for value in line[1:])]) for line in columns]
    return "\n".join([*head, *body]) + "\n"


if __name__ == "__main__":
    OUT.write_text(table_text(), "utf-8")
    print(f"wrote {OUT.relative_to(ROOT)}")
