"""Means, extremes and runs of many parts of a channel at once."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.trace import Series

AT_ONCE = 16_384
"""Rows gone through at once: few enough to stay in the fast memory."""
LONG_IN_BYTES = 15
"""A run of so many holds a byte of eight that is true all through, wherever it begins."""
ALL_TRUE = 255
_BITS = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).astype(np.int64)
TRUE_AT_START, TRUE_AT_END = (np.cumprod(bits, axis=1).sum(axis=1) for bits in (_BITS, _BITS[:, ::-1]))
"""How many of the eight in each byte are true before the first that is not, from the front and from the back."""


def part_means(values: Series, parts: Sequence[slice]) -> Series:
    """Return the mean of each part.

    Shapes: values (n,), m parts -> (m,).
    Valid: parts inside the channel, none empty; they may touch or overlap by their ends.
    """
    counts = np.array([part.stop - part.start for part in parts], dtype=np.float64)
    return np.asarray(_reduced(np.add, values, parts) / counts) if parts else np.empty(0)


def part_least(values: Series, parts: Sequence[slice]) -> Series:
    """Return the least value of each part.

    Shapes: values (n,), m parts -> (m,).
    Valid: as for `part_means`.
    """
    return _reduced(np.minimum, values, parts) if parts else np.empty(0)


def part_most(values: Series, parts: Sequence[slice]) -> Series:
    """Return the greatest value of each part.

    Shapes: values (n,), m parts -> (m,).
    Valid: as for `part_means`.
    """
    return _reduced(np.maximum, values, parts) if parts else np.empty(0)


def _reduced(reduce: np.ufunc, values: Series, parts: Sequence[slice]) -> Series:
    return np.array([reduce.reduce(values[part]) for part in parts], dtype=np.float64)


def true_runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return (first, one past the last) of each run of true values.

    Shapes: mask (n,) -> m pairs.
    """
    if not mask.size:
        return []
    edges: list[int] = ((mask[1:] != mask[:-1]).nonzero()[0] + 1).tolist()
    if mask[0]:
        edges.insert(0, 0)
    if mask[-1]:
        edges.append(mask.size)
    return list(zip(edges[::2], edges[1::2], strict=True))


def long_runs(mask: NDArray[np.bool_], fewest: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the first, and one past the last, of each run of so many true values or more.

    Where that is two bytes of eight, or more, only the bytes that are true all through are looked at, and their ends.
    Shapes: mask (n,) -> (m,), (m,).
    """
    if fewest < LONG_IN_BYTES:
        edges = rows_where(np.diff(np.concatenate(([0], mask.view(np.int8), [0]))) != 0)
        first, stop = edges[::2], edges[1::2]
    else:
        packed = np.concatenate(([0], np.packbits(mask), [0])).astype(np.uint8)
        full = rows_where(packed == ALL_TRUE)
        apart = np.diff(full) > 1
        begin = full[np.concatenate(([True], apart))[: full.size]]
        end = full[np.concatenate((apart, [True]))[: full.size]]
        first = 8 * (begin - 1) - TRUE_AT_END[packed[begin - 1]]
        stop = 8 * end + TRUE_AT_START[packed[end + 1]]
    enough = stop - first >= fewest
    return first[enough], stop[enough]


def rows_where(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the numbers of the true values.

    Shapes: mask (n,) -> (m,).
    """
    return mask.nonzero()[0]


def large_steps(values: Series, least: float) -> NDArray[np.int64]:
    """Return the numbers of the values from which the next one differs by more than `least`.

    Shapes: values (n,) -> (m,).
    """
    found = []
    for begin in range(0, values.size - 1, AT_ONCE):
        step = np.diff(values[begin : begin + AT_ONCE + 1])
        found.append(rows_where(np.abs(step, out=step) > least) + begin)
    return np.concatenate(found) if found else np.empty(0, np.int64)
