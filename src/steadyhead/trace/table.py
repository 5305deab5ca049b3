"""A log as its file has it: headings and columns, before anything is known about their meaning."""

import hashlib
from dataclasses import dataclass
from typing import Any

from steadyhead.trace.trace import Series


@dataclass(frozen=True, kw_only=True)
class RawColumn:
    """One column as written.

    Shapes: number (n,), NaN where the cell holds no number; or text, a polars Series of strings or stamps, length n.
    """

    heading: str
    unit: str = ""
    """The unit of a second heading row, or one written behind every number; else empty."""
    number: Series | None = None
    text: Any = None
    empty: int = 0
    """Cells with nothing in them."""
    unreadable: int = 0
    """Cells with something in them that is no number."""


@dataclass(frozen=True, kw_only=True)
class RawTable:
    """A log before its columns have meanings. Rows that did not split are already set aside and warned of."""

    kind: str
    columns: tuple[RawColumn, ...]
    rows_read: int
    remarks: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    history: tuple[str, ...] = ()

    @property
    def layout_digest(self) -> str:
        """Name of this layout: the same headings in the same order give the same digest."""
        said = "\n".join(f"{column.heading}\t{column.unit}" for column in self.columns)
        return hashlib.sha256(said.encode()).hexdigest()[:24]
