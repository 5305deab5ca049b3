"""Where the record lies."""

import os
from pathlib import Path

RECORD = "record.sqlite"
HOME = "STEADYHEAD_HOME"


def record_path(chosen: Path | None = None) -> Path:
    """Return the file of the record: the one chosen, else that in STEADYHEAD_HOME, else in the user's data folder."""
    if chosen is not None:
        return Path(chosen)
    if os.environ.get(HOME):
        return Path(os.environ[HOME]) / RECORD
    from platformdirs import user_data_path

    return user_data_path("steadyhead", appauthor=False) / RECORD


def files_folder(record: Path) -> Path:
    """Return the folder beside a record that keeps its logs, recordings and sheets."""
    return record.with_name(f"{record.stem}.files")


def studies_folder(record: Path) -> Path:
    """Return the folder beside a record that keeps studies which were begun on its machines."""
    return record.with_name(f"{record.stem}.studies")
