"""Writing a trace as CSV: whole or not at all, and harmless when a spreadsheet opens it."""

import contextlib
import csv
import os
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from steadyhead.trace.heard_remarks import doubts_in, ear_in, left_open
from steadyhead.trace.parquet_file import REMARKS_KEY
from steadyhead.trace.simulated import says_simulated
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
    """Write time and channels as Parquet, one row a sample, and what they were read from; a missing value is empty.

    `remarks` go into the file's own words, under REMARKS_KEY.

    The file appears whole under its name or not at all.

    Raises: InputError when the folder cannot be written.
    """
    import polars as pl

    from steadyhead.trace.kept_trace import TIME, said_of

    path = Path(path)
    columns = {TIME: trace.time_s, **trace.channels}
    marked: dict[str, Any] = {}
    if hasattr(pl, "read_parquet_metadata"):  # not in the oldest we take
        remarks = tuple(remarks)
        open_checks = (*trace.left_open, *left_open(remarks))
        told = replace(
            trace,
            warnings=(*doubts_in(remarks), *trace.warnings),
            left_open=open_checks,
            ear=(*trace.ear, *ear_in(remarks)),
            simulated=trace.simulated or says_simulated(remarks),
        )
        marked = {"metadata": {**said_of(told), REMARKS_KEY: "\n".join(remarks)}}
    frame = pl.DataFrame(columns).with_columns(pl.all().fill_nan(None))
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        frame.write_parquet(temporary, **marked)
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
