"""The rows of an MDF log: the times of its quickest channel, and where the values of slower ones stand."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.mdf_apart import Column
from steadyhead.trace.trace import Series

PART = 1_000_000


def parts(values: Series) -> Iterator[tuple[int, int]]:
    """Yield where parts of a long row begin and end, so that none needs more memory than it must."""
    for first in range(0, values.size, PART):
        yield first, min(first + PART, values.size)


def some(values: Series, first: int, stop: int) -> Series:
    """Return some of the values; those on the disk are read, not mapped, so that they leave the memory again."""
    if isinstance(values, np.memmap) and values.filename is not None:
        return np.fromfile(values.filename, np.float64, stop - first, offset=values.offset + 8 * first)
    return np.array(values[first:stop])


def same_on_disk(one: Series, other: Series) -> bool:
    """Whether two rows of values are the same part of one file."""
    return (
        isinstance(one, np.memmap)
        and isinstance(other, np.memmap)
        and (one.filename, one.offset, one.size) == (other.filename, other.offset, other.size)
    )


def rows_of(base: Series, channels: Sequence[Column]) -> Series:
    """Return the times of the quickest channel, and beyond its ends those of the others.

    Shapes: base (n,) -> (n or more,); `base` itself when no other reaches further.
    """
    spans = [_span(some(base, a, b)) for a, b in parts(base)]
    low, high = min(span[0] for span in spans), max(span[1] for span in spans)
    if low > high:
        return base
    others = [channel.time_s for channel in channels if not same_on_disk(channel.time_s, base)]
    beyond = [part[(part < low) | (part > high)] for part in (some(o, a, b) for o in others for a, b in parts(o))]
    stamps = np.unique(np.concatenate([np.empty(0), *beyond]))
    ends = stamps[stamps < low], stamps[stamps > high]
    return np.concatenate([ends[0], base, ends[1]]) if ends[0].size or ends[1].size else base


def _span(part: Series) -> tuple[float, float]:
    finite = part[np.isfinite(part)]
    return (float(finite.min()), float(finite.max())) if finite.size else (np.inf, -np.inf)


def nearest_rows(times: Series, stamps: Series) -> NDArray[np.int64]:
    """Return the row nearest in time for each value of a channel.

    Valid: times that go forward. Shapes: times (n,), stamps (m,) -> (m,).
    """
    if stamps.size == times.size and np.array_equal(stamps, times, equal_nan=True):
        return np.arange(times.size)
    right = np.clip(np.searchsorted(times, stamps), 1, max(times.size - 1, 1))
    left_is_nearer = np.abs(stamps - times[right - 1]) <= np.abs(times[np.minimum(right, times.size - 1)] - stamps)
    return np.where(left_is_nearer, right - 1, np.minimum(right, times.size - 1))


def first_of(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the same rows, -1 where an earlier value took the row. Shapes: (m,) -> (m,)."""
    _, first = np.unique(rows, return_index=True)
    taken = np.full(rows.size, -1, np.int64)
    taken[first] = rows[first]
    return taken
