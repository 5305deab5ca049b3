"""The lines of a machine laid out for the kernels."""

import numpy as np

from steadyhead.physics.sound_comb import Comb
from steadyhead.physics.sound_path import OVER
from steadyhead.trace.sound_lines import FAMILIES, Line, odd_orders


def comb_of(lines: tuple[Line, ...]) -> Comb:
    """Return lines for the kernels, lowest first."""
    lines = tuple(sorted(lines, key=lambda line: line.order))
    return Comb(
        orders=np.array([line.order for line in lines]),
        chances=np.array([line.chance for line in lines]),
        families=np.array([FAMILIES.index(line.family) for line in lines], np.int64),
    )


def odd_combs_of(lines: tuple[Line, ...]) -> tuple[Comb, ...]:
    """Return the `odd_orders` of each of OVER for the kernels."""
    found = [odd_orders(lines, times) for times in OVER]
    return tuple(
        Comb(
            orders=np.array([order for order, _ in odd], np.float64),
            chances=np.array([chance for _, chance in odd], np.float64),
            families=np.zeros(len(odd), np.int64),
        )
        for odd in found
    )
