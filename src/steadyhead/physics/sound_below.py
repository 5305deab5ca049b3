"""Lines that a head speed leaves unexplained while a part of it explains them, beside all that it explains itself."""

import numpy as np

from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.sound_against import HEARD_FROM, log_height
from steadyhead.physics.sound_comb import Comb, Floats, Looks
from steadyhead.physics.sound_path import OVER, Shares
from steadyhead.physics.sound_peaks import Hills
from steadyhead.physics.sound_series import evidence_at

Parts = tuple[Comb, ...]
FAINT_NATURAL, MOST_WEIGHT = 1.5, 3.0
"""An unexplained line so many natural units lower than what is explained counts no longer: a recorder that clips, or
another source beside the rotor, makes faint ones, as for strays; one so much higher counts twice, at most three times:
no machine leaves its strongest line out of its comb. Own choices."""
LEAST_EVIDENCE = 2.0
"""Evidence of one instant, natural units, below which a speed explains nothing that could be a rotor; own choice."""
BELOW_SHARE = 0.75
"""A part of a speed is a rival where it explains so much of what the speed does: half of a true speed lacks every
second of its own lines and explains some 0.6 of it, half of a doubled one as much as it. Own choice."""
SAME_SHARE = 0.01
"""Speeds so near are one: what is unexplained is taken from all of them."""


@kernel
def unexplained_taken(
    looks: Looks, comb: Comb, odd: Parts, speeds_hz: Floats, first: int, hills: Hills, scores: Shares
) -> None:  # fmt: skip
    """Take from the evidence of a speed that of the lines which it leaves unexplained and a part of it explains.

    Asked of the best speed of each instant and of OVER times it.
    Shapes: odd: for each of OVER the lines of that part between those of the speed, per turn of the speed; speeds_hz
    (n,), number v is v + first steps; hills of g sources, s instants -> scores (g, s, n), changed
    Valid: every part explains BELOW_SHARE of what the speed does, else nothing is taken.
    Source: a rotor sounds its own lines, not those between them as well; weights are choices of ours.
    """
    sources, side, count = scores.shape
    asked, taken = np.empty(1 + len(OVER), np.int64), np.empty(1 + len(OVER))
    for source in range(sources):
        for lane in range(side):
            row = scores[source, lane]
            best = int(np.argmax(row))
            if row[best] < LEAST_EVIDENCE:
                continue
            for k in range(asked.size):
                times = 1.0 if k == 0 else OVER[k - 1]
                asked[k] = near_best(row, int(times * (best + first) + 0.5) - first)
                which, taken[k] = rivals_below(row, first, asked[k]), 0.0
                if which:
                    taken[k] = unexplained(looks, comb, odd, which, speeds_hz[asked[k]], source, lane, hills)
            for k in range(asked.size):
                if taken[k] > 0.0:
                    reach = max(1, int(SAME_SHARE * (asked[k] + first)))
                    for v in range(max(0, asked[k] - reach), min(count, asked[k] + reach + 1)):
                        row[v] -= np.float32(taken[k])


@inlined_kernel
def near_best(row: Shares, middle: int) -> int:
    """The best of the three speeds about a number; -1 where it lies outside.

    Shapes: row (n,)
    Valid: n at least 3.
    Source: definition.
    """
    if middle < 0 or middle >= row.size:
        return -1
    best = middle
    for v in range(max(0, middle - 1), min(row.size, middle + 2)):
        if row[v] > row[best]:
            best = v
    return best


@inlined_kernel
def rivals_below(row: Shares, first: int, v: int) -> int:
    """Which parts of a speed explain BELOW_SHARE of what it does, one bit for each of OVER; 0 for none.

    Shapes: row (n,)
    Valid: v the number of a speed, or -1.
    Source: definition.
    """
    which = 0
    for part in range(len(OVER) if v >= 0 else 0):
        below = near_best(row, int((v + first) / OVER[part] + 0.5) - first)
        if below >= 0 and row[below] >= BELOW_SHARE * row[v]:
            which |= 1 << part
    return which


@inlined_kernel
def unexplained(
    looks: Looks, comb: Comb, odd: Parts, which: int, speed_hz: float, source: int, lane: int, hills: Hills
) -> float:  # fmt: skip
    """Evidence that the best of some parts of a speed has in lines which the speed does not explain; 0 or more.

    max over those parts of `between`
    Shapes: odd, as `unexplained_taken`; which, as `rivals_below`
    Valid: source and lane of the hills.
    Source: as `unexplained_taken`.
    """
    most, mean = 0.0, mean_height(looks, comb, speed_hz, source, lane, hills)
    for part in range(len(OVER)):
        if which & (1 << part):
            most = max(most, between(looks, odd[part], speed_hz, mean, source, lane, hills))
    return most


@inlined_kernel
def mean_height(looks: Looks, comb: Comb, speed_hz: float, source: int, lane: int, hills: Hills) -> float:
    """Mean of ln(1 + z) over the lines of a comb that are heard, z power over noise; 0 where none is.

    Valid: source and lane of the hills.
    Source: definition.
    """
    heights, heard = 0.0, 0
    for line in range(comb.orders.size):
        line_hz = comb.orders[line] * speed_hz
        evidence, _ = evidence_at(looks, hills, source, lane, comb.chances[line], line_hz)
        if evidence > HEARD_FROM:
            heights += log_height(looks, hills, source, lane, line_hz)
            heard += 1
    return heights / max(1, heard)


@inlined_kernel
def between(
    looks: Looks, odd: Comb, speed_hz: float, mean_ratio: float, source: int, lane: int, hills: Hills
) -> float:  # fmt: skip
    """Evidence of the lines that one part of a speed sounds and the speed itself does not, natural units.

    sum(w ln(`line_factor`)), above 0 times min(3, max(0, 1 + (ln(1 + z) - mean of ln(1 + z) explained) / 1.5))
    Valid: the mean as `mean_height` gives it; below 0 where they are missing.
    Source: as `unexplained_taken`.
    """
    total = 0.0
    for line in range(odd.orders.size):
        line_hz = odd.orders[line] * speed_hz
        evidence, _ = evidence_at(looks, hills, source, lane, odd.chances[line], line_hz)
        if evidence > 0.0:
            away = log_height(looks, hills, source, lane, line_hz) - mean_ratio
            evidence *= min(MOST_WEIGHT, max(0.0, 1.0 + away / FAINT_NATURAL))
        total += evidence
    return total
