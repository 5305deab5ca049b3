"""Writing a trace as CSV: whole or not at all, and harmless when a spreadsheet opens it."""

import contextlib
import csv
import inspect
import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np

from steadyhead.trace.parquet_file import REMARKS_KEY
from steadyhead.trace.trace import Trace
from steadyhead.words.errors import InputError

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def write_csv(
    trace: Trace, path: Path, *, texts: Mapping[str, Iterable[str]] | None = None, remarks: Iterable[str] = ()
) -> None:
    """Write time and channels, one row a sample; `texts` adds columns of text, made harmless.

    `remarks` stand above the headings, a line each after a "#".

    The file appears whole under its name or not at all. A missing value is an empty cell.

    Raises: InputError when the folder cannot be written.
    """
    names = ("time_s", *trace.channels)
    columns = [_numbers(column) for column in (trace.time_s, *trace.channels.values())]
    extra = {harmless(name): [harmless(cell) for cell in cells] for name, cells in (texts or {}).items()}
    path = Path(path)
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
    except OSError as error:
        raise InputError(
            str(path), read=f"a folder that cannot be written ({error.strerror})", right="another folder"
        ) from error
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.writelines(f"# {' '.join(said.split())}\n" for said in remarks)
            writer = csv.writer(file)
            writer.writerow([*names, *extra])
            writer.writerows(zip(*columns, *extra.values(), strict=True))
        os.replace(temporary, path)
    except (OSError, ValueError) as error:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise InputError(str(path), read=f"a file that cannot be written ({error})", right="another place") from error


def write_parquet(trace: Trace, path: Path, *, remarks: Iterable[str] = ()) -> None:
    """Write time and channels as Parquet, one row a sample; a missing value is empty.

    `remarks` go into the file's own words, under REMARKS_KEY.

    The file appears whole under its name or not at all.

    Raises: InputError when the folder cannot be written.
    """
    import polars as pl

    path = Path(path)
    columns = {"time_s": trace.time_s, **trace.channels}
    frame = pl.DataFrame(columns).with_columns(pl.all().fill_nan(None))
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        said = "\n".join(remarks)
        if said and "metadata" in inspect.signature(frame.write_parquet).parameters:  # newer than the oldest we take
            frame.write_parquet(temporary, metadata={REMARKS_KEY: said})
        else:
            frame.write_parquet(temporary)
        os.replace(temporary, path)
    except OSError as error:
        raise InputError(str(path), read=f"a file that cannot be written ({error})", right="another place") from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def harmless(cell: str) -> str:
    """Return the text so that no spreadsheet takes it for a formula: a leading mark gets an apostrophe before it."""
    return f"'{cell}" if cell.lstrip(" ").startswith(_STARTS_A_FORMULA) or cell.startswith(_STARTS_A_FORMULA) else cell


def _numbers(values: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]") -> list[str]:
    return ["" if not np.isfinite(value) else repr(float(value)) for value in values.tolist()]
