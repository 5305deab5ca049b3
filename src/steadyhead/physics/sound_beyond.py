"""How well speeds that no grid holds explain an instant: those above the highest one that is followed."""

import math

from steadyhead.physics.kernel import kernel
from steadyhead.physics.sound_below import LEAST_EVIDENCE, between, mean_height
from steadyhead.physics.sound_comb import (
    Comb,
    Counts,
    Floats,
    Looks,
    line_factor,
    look_of,
    overlap_weight,
    row_of,
    window_of,
)
from steadyhead.physics.sound_peaks import Hills


@kernel
def comb_evidence(
    looks: Looks, comb: Comb, odd: Comb, path_hz: Floats, step_hz: float, at_hills: Counts, hills: Hills, found: Floats
) -> None:  # fmt: skip
    """Fill in the evidence of all lines of a comb at one speed at each instant, natural units; 0 at speed 0.

    Less that of the lines which one part of the speed sounds and the speed itself does not.
    sum(w ln(`line_factor`)) - max(0, `between`), the second where the first is above LEAST_EVIDENCE
    Shapes: odd, as `between`; path_hz (n,); at_hills (n, 2), the source and the lane of each instant; found (n,)
    Valid: as `scores`, of which it is the logarithm at that speed.
    Source: as `scores`.
    """
    for at in range(path_hz.size):
        source, lane, total = at_hills[at, 0], at_hills[at, 1], 0.0
        for line in range(comb.orders.size if path_hz[at] > 0.0 else 0):
            line_hz = comb.orders[line] * path_hz[at]
            look = look_of(looks, line_hz)
            row = -1 if look < 0 else row_of(looks, look, line_hz)
            if row < 0:
                continue
            wander_hz, blur_hz = looks.wander_share * line_hz, 0.5 * step_hz * comb.orders[line]
            doubt_hz = math.sqrt(hills.doubt[source, row, lane] + wander_hz**2 + blur_hz**2)
            away_hz = hills.at_hz[source, row, lane] - line_hz
            odds, window_s = hills.odds[source, row, lane], window_of(looks, look)
            factor = line_factor(comb.chances[line], odds, window_s, away_hz, doubt_hz)
            total += overlap_weight(looks, look) * math.log(factor)
        if total > LEAST_EVIDENCE:
            mean = mean_height(looks, comb, path_hz[at], source, lane, hills)
            total -= max(0.0, between(looks, odd, path_hz[at], mean, source, lane, hills))
        found[at] = total
