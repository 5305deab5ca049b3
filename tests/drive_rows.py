"""Rows of the drive's reference files, comment lines left out."""

import csv
from math import pi
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "drive"
RAD_S_PER_RPM = pi / 30.0
ZERO_C = 273.15


def drive_rows(name: str) -> list[dict[str, str]]:
    lines = (FOLDER / name).read_text("utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if line and not line.startswith("#")))
    if not rows:
        raise ValueError(f"{name} holds no rows")
    return rows


def half_last_digit_percent(printed: str) -> float:
    """Half of the last printed digit, as a percentage of the number: what rounding in print may have moved it."""
    decimals = len(printed.partition(".")[2])
    return 100.0 * 0.5 * 10.0**-decimals / abs(float(printed))
