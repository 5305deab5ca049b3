"""What speeds above all that are followed explain: a speed of which twice was never looked at is no sure one."""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import Comb, Looks
from steadyhead.physics.sound_path import OVER
from steadyhead.physics.sound_peaks import Hills

Floats = NDArray[np.float64]
Part = tuple[Hills, int, slice, NDArray[np.int64]]
"""Hills, the number of a source, its frames in them, and the source and the lane of each of those."""


LESS_LIKELY = 0.75
"""Kv and cells, flight modes and limit must all be far too low for it: such a speed counts against the one that is told
only where it explains as well, which is somewhat more than a speed that is followed must. Own choice."""


class Range(NamedTuple):
    """What is followed: the highest speed and the step between speeds, Hz."""

    top_hz: float
    step_hz: float


def beyond(
    looks: Looks, comb: Comb, odd: tuple[Comb, ...], parts: Iterable[Part], speeds_hz: Floats, followed: Range
) -> tuple[Floats, Floats]:
    """Return the evidence of the best of some times each frame's speed that lies above the highest one, natural units.

    Then how many times the speed that is.

    Equation: LESS_LIKELY of the log of the mean over the sources of exp(evidence), as in `fused`
    Valid: minus infinity where no such speed lies above.
    Shapes: speeds_hz (sources, n) -> (n,), (n,)
    """
    from steadyhead.physics.sound_beyond import comb_evidence

    found = np.zeros((len(OVER), *speeds_hz.shape))
    for hills, source, part, at_hills in parts:
        for number, times in enumerate(OVER):
            higher = times * speeds_hz[source, part]
            higher[higher <= followed.top_hz] = 0.0
            out = found[number, source, part]
            comb_evidence(looks, comb, odd[number], higher, followed.step_hz, at_hills, hills, out)
    above = np.multiply.outer(OVER, speeds_hz.max(axis=0)) > followed.top_hz
    best = np.logaddexp.reduce(found, axis=1) - np.log(speeds_hz.shape[0])
    likely = np.where(above, LESS_LIKELY * best, -np.inf)
    return np.asarray(likely.max(axis=0)), np.asarray(OVER)[likely.argmax(axis=0)]
