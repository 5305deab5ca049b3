"""A trace that steadyhead wrote as Parquet, read back as it was written: nothing of it is guessed a second time.

What a log was read as is said in the file beside its columns: a unit that a person named, a column that was left
out, a clock that began anew. Read by its headings alone, the copy might be told otherwise than the log was.
"""

import io
import json
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.trace.opening import Content
from steadyhead.trace.parquet_file import looks_like, opened_parquet
from steadyhead.trace.trace import CHANNELS, ColumnRead, Trace

TIME = "time_s"
MARK = "steadyhead.trace"
"""The name in the file under which it is said what the columns were read from."""
_MADE_AS = 1
"""Number of the way in which that is written; another one is read by its headings."""
_COLUMN = ("channel", "heading", "confidence")
_DIVIDED = "divided_by"
"""Said behind the others, of columns that are used; a file without it holds speeds of which nobody knows."""


def said_of(trace: Trace) -> dict[str, str]:
    """Return what is written beside the columns of a trace."""
    said = {
        "made_as": _MADE_AS,
        "warnings": trace.warnings,
        "history": trace.history,
        "left_open": trace.left_open,
        "ear": trace.ear,
        "simulated": trace.simulated,
        "columns": [[getattr(one, name) for name in (*_COLUMN, _DIVIDED)] for one in trace.columns],
        "unread": [[getattr(one, name) for name in _COLUMN] for one in trace.unread],
        "seams_s": trace.seams_s,
        "misfit_voltage_v": trace.misfit_voltage_v,
        "began_s": trace.began_s,
    }
    return {MARK: json.dumps(said)}


def kept_trace(source: str, content: Content) -> Trace | None:
    """Return the trace in a file that steadyhead wrote; None in any other, and in one that was altered.

    Raises: InputError when it is a broken Parquet file.
    """
    read = getattr(pl, "read_parquet_metadata", None)  # newer than the oldest polars we take
    if read is None or not looks_like(content.data[:4]) or not looks_like(content.data[-4:]):
        return None
    data = io.BytesIO(content.whole())
    with opened_parquet(content.name):
        said = _said(read(data).get(MARK, ""))
        names = list(pl.read_parquet_schema(data)) if said else []
        if said is None or names[:1] != [TIME] or not set(names[1:]) <= CHANNELS.keys():
            return None
        frame = pl.read_parquet(data)
    if any(kind != pl.Float64 for kind in frame.dtypes):
        return None
    series = {name: _numbers(frame[name]) for name in names}
    time_s = series.pop(TIME)
    if time_s.size < 2 or not np.isfinite(time_s).all() or not (np.diff(time_s) > 0.0).all():
        return None
    return Trace(
        source=source,
        time_s=time_s,
        channels=series,
        rows_read=time_s.size,
        row=np.arange(time_s.size),
        **said,
    )


def _said(written: str) -> dict[str, Any] | None:
    """Return what is said of a trace; None when nothing is, or something else than we write."""
    try:
        said = json.loads(written) if written else {}
        if said.pop("made_as", None) != _MADE_AS:
            return None
        misfit, began = said["misfit_voltage_v"], said.get("began_s")
        return {
            "warnings": tuple(map(str, said["warnings"])),
            "history": tuple(map(str, said["history"])),
            "left_open": tuple(map(str, said.get("left_open", ()))),
            "ear": tuple(map(str, said.get("ear", ()))),
            "simulated": bool(said.get("simulated", False)),
            "columns": tuple(_column(one) for one in said["columns"]),
            "unread": tuple(_column(one) for one in said["unread"]),
            "seams_s": tuple(map(float, said["seams_s"])),
            "misfit_voltage_v": None if misfit is None else float(misfit),
            "began_s": None if began is None else float(began),
        }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _column(written: list[Any]) -> ColumnRead:
    *told, divided = written if len(written) > len(_COLUMN) else (*written, 1.0)
    return ColumnRead(**dict(zip(_COLUMN, map(str, told), strict=True)), divided_by=float(divided))


def _numbers(series: pl.Series) -> NDArray[np.float64]:
    return np.array(series.fill_null(np.nan).to_numpy(), dtype=np.float64)
