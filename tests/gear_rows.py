"""Rows of the gear reference files in tests/data/gears, comments left out."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "gears"


def gear_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one file as written, every cell text."""
    lines = (FOLDER / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if line and not line.startswith("#")))
