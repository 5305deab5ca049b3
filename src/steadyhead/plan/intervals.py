"""The doubt on every figure: each uncertain input moved by its 90 % half width, up and down, the effects root-summed.

Inputs are taken as independent. Moves up and down are kept apart, so a figure that is stopped by a limit on one side
(a duty that cannot pass what the pack gives) has no doubt there, and a figure at a turning point has it on one side.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Figures = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Spread:
    """The 90 % interval of an array of figures, and what each input adds to it; all in the figures' own units.

    `parts` holds for each input the larger of its two effects, squared: its part of the variance.
    """

    low: Figures
    high: Figures
    parts: Mapping[str, Figures]

    def shares(self, place: tuple[int, ...]) -> dict[str, float]:
        """Return each input's share of the doubt on one figure, 0 to 1, the largest first; empty when there is none."""
        at = {key: float(part[place]) for key, part in self.parts.items()}
        total = sum(at.values())
        if not total > 0.0 or not np.isfinite(total):
            return {}
        return {key: at[key] / total for key in sorted(at, key=lambda key: -at[key]) if at[key] > 0.0}


def spread(central: Figures, moved: Mapping[str, tuple[Figures, Figures]]) -> Spread:
    """Return the 90 % interval of every figure; `moved` holds each input's answers moved down and moved up.

    low = f - sqrt(sum(max(0, f - f_down, f - f_up)^2)), high likewise upwards
    Shapes: central (...), each of moved (...) -> low, high (...).
    Valid: effects near a straight line over the 90 % half width; where a move has no answer (nan) the interval is nan.
    Source: first-order propagation of uncertainty, JCGM 100:2008, 5.1.2, one input at a time with finite moves.
    """
    down2 = np.zeros_like(central)
    up2 = np.zeros_like(central)
    parts: dict[str, Figures] = {}
    for key, (below, above) in moved.items():
        moves = np.stack((below - central, above - central))
        up = np.maximum(moves.max(axis=0), 0.0)
        down = np.maximum(-moves.min(axis=0), 0.0)
        up2 += up**2
        down2 += down**2
        parts[key] = np.maximum(up, down) ** 2
    return Spread(low=central - np.sqrt(down2), high=central + np.sqrt(up2), parts=parts)
