"""Rows of the channel's reference files, comment lines left out."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "channel"


def channel_rows(name: str) -> list[dict[str, str]]:
    lines = (FOLDER / name).read_text("utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if line and not line.startswith("#")))
    if not rows:
        raise ValueError(f"{name} holds no rows")
    return rows
