"""Hum of the mains beside or without a rotor: it is found by standing still, and taken out of what is heard."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import Looks
from steadyhead.physics.sound_peaks import Hills
from steadyhead.physics.sound_series import GRIDS_HZ

LOOKED_EVERY = 8
"""Every so many instants a hum is looked for, 0.2 s."""
KEPT_LOOKS = 12
FEWEST_LOOKS = 3
LEAST_SHARE = 0.25
"""In so many of the last looks, and in such a share of them, one hum must stand: a faint one hides at times; own
choice."""
STILL_SHARE = 0.001
"""A grid moves less than this in seconds (0.04 % in normal running, common practice, no source); its tones are read
that well."""


class Mains:
    """What is known of the mains' hum in each source from one block of instants to the next."""

    def __init__(self, sources: int) -> None:
        self.seen = [[deque[tuple[float, int]](maxlen=KEPT_LOOKS) for _ in GRIDS_HZ] for _ in range(sources)]

    def taken_out(self, looks: Looks, hills: Hills, frame: int, count: int) -> Hills:
        """Return the peaks of the next `count` instants, the first of which has a number, without what hums.

        Valid: where nothing hums, the same object.
        """
        from steadyhead.physics.sound_grid import grid_hums, grid_silenced

        first = -frame % LOOKED_EVERY
        found = np.zeros((len(self.seen), len(GRIDS_HZ), len(range(first, count, LOOKED_EVERY)), 2))
        grid_hums(looks, hills, first, LOOKED_EVERY, count, found)
        clean = hills
        for source, (grids, own) in enumerate(zip(self.seen, found.tolist(), strict=True)):
            for seen, new in zip(grids, own, strict=True):
                seen.extend((base_hz, int(last)) for base_hz, last in new)
                hum = _standing(seen)
                if hum is not None:
                    clean = Hills(*(part.copy() for part in hills)) if clean is hills else clean
                    grid_silenced(looks, *hum, clean, source)
        return clean


def _standing(seen: deque[tuple[float, int]]) -> tuple[float, int] | None:
    """Return the frequency of a hum that stands still, Hz, and its last multiple; None where none does.

    Equation: of the looks that found one, those within 0.1 % of their median
    """
    found: list[tuple[float, int]] = [one for one in seen if one[0] > 0.0]
    if len(found) < FEWEST_LOOKS:
        return None
    bases: NDArray[np.float64] = np.array([base_hz for base_hz, _ in found])
    middle = float(np.median(bases))
    still = [one for one in found if abs(one[0] / middle - 1.0) < STILL_SHARE]
    if len(still) < max(FEWEST_LOOKS, LEAST_SHARE * len(seen)):
        return None
    return middle, max(last for _, last in still)
