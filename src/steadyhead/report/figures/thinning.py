"""A long trace drawn with few points that still shows every peak."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]
MOST_POINTS = 2000


def thinned(time_s: Series, values: Series, most: int = MOST_POINTS) -> tuple[Series, Series]:
    """Return at most `most` samples: the lowest and the highest of every stretch, in order of time.

    Shapes: time_s (n,), values (n,) -> (m,), (m,) with m <= most
    Valid: most >= 2; a stretch without any value keeps one NaN, so that the gap stays a gap.
    Source: the min-max rule, common practice, no source.
    """
    count = values.size
    if count <= most:
        return time_s, values
    edges = np.linspace(0, count, most // 2 + 1).astype(np.int64)
    kept: list[int] = []
    for start, end in pairwise(edges):
        kept.extend(_peaks(values, int(start), int(end)))
    rows = np.asarray(kept, np.int64)
    return time_s[rows], values[rows]


def _peaks(values: Series, start: int, end: int) -> list[int]:
    stretch = values[start:end]
    if not np.isfinite(stretch).any():
        return [start]
    low, high = start + int(np.nanargmin(stretch)), start + int(np.nanargmax(stretch))
    return [low] if low == high else sorted((low, high))
