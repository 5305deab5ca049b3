"""Blade section: lift and drag over angle of attack and Reynolds number."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Section(NamedTuple):
    """A section polar as a table, with factors that carry its doubt.

    Shapes: alpha_rad (n,) evenly spaced over -pi..pi; log_reynolds (m,) natural log, rising; cl, cd (m, n).
    """

    alpha_rad: NDArray[np.float64]
    log_reynolds: NDArray[np.float64]
    cl: NDArray[np.float64]
    cd: NDArray[np.float64]
    lift_factor: float
    drag_factor: float
