"""A long trace drawn with few points that still shows every peak."""

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
    width = -(-count // (most // 2))
    blocks = -(-count // width)
    padded = np.full(blocks * width, np.nan)
    padded[:count] = values
    folded = padded.reshape(blocks, width)
    starts = np.arange(blocks, dtype=np.int64) * width
    lowest = starts + np.argmin(np.where(np.isfinite(folded), folded, np.inf), axis=1)
    highest = starts + np.argmax(np.where(np.isfinite(folded), folded, -np.inf), axis=1)
    rows = np.unique(np.concatenate((lowest, highest)))
    return time_s[rows], values[rows]
