"""Writes the trace of a flight: Parquet or CSV, whole or not at all."""

from collections.abc import Iterable
from pathlib import Path

from steadyhead.trace.trace import Trace
from steadyhead.trace.writing import write_csv, write_parquet
from steadyhead.words.errors import InputError

KINDS = {".parquet": write_parquet, ".csv": write_csv}


def refuse_kind(path: Path | None) -> None:
    """Refuse, before anything is flown, a file whose ending says no kind that can be written.

    Raises: InputError when the ending is neither .parquet nor .csv, or the folder is not there.
    """
    if path is None:
        return
    if path.suffix.lower() not in KINDS:
        raise InputError(str(path), read=f'the ending "{path.suffix}"', right=" or ".join(KINDS))
    if not path.parent.is_dir():
        raise InputError(str(path), read="a folder that is not there", right="a folder that is")


def write_trace(trace: Trace, path: Path, *, remarks: Iterable[str] = ()) -> Path:
    """Write a trace in the kind that the ending of the path says, remarks with it, and return the path.

    Raises: InputError when the ending is neither .parquet nor .csv, or the file cannot be written.
    """
    refuse_kind(path)
    KINDS[path.suffix.lower()](trace, path, remarks=remarks)
    return path
