"""Means, extremes and runs of many parts of a channel at once."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.trace import Series


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


def rows_where(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the numbers of the true values.

    Shapes: mask (n,) -> (m,).
    """
    return mask.nonzero()[0]
