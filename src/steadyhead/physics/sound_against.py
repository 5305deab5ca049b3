"""What speaks against a rotor speed: lines of the drive that are missing, and tones where a drive sounds none."""

import math

import numpy as np

from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.sound_comb import Comb, Counts, Floats, Looks, look_of, row_of, window_of
from steadyhead.physics.sound_peaks import Hills, height_of_doubt
from steadyhead.physics.sound_series import evidence_at

STRAY_CHANCE = 0.45
"""How likely another source whose base is the motor shaft sounds at each of its multiples; a choice of ours."""
FAINT_NATURAL = 1.5
"""A stray so many natural units lower than the drive's own lines no longer counts: a recorder that clips makes such."""
HEARD_FROM = 0.15


@inlined_kernel
def log_height(looks: Looks, hills: Hills, source: int, lane: int, line_hz: float) -> float:
    """Height of the peak at a frequency over the noise, natural logarithm of one more than it; 0 where none looks.

    ln(1 + z)
    Valid: source and lane of the hills.
    Source: definition.
    """
    look = look_of(looks, line_hz)
    row = -1 if look < 0 else row_of(looks, look, line_hz)
    if row < 0:
        return 0.0
    return math.log(1.0 + height_of_doubt(window_of(looks, look), math.sqrt(hills.doubt[source, row, lane])))


@kernel
def against(
    looks: Looks, comb: Comb, first_family: int, stray_orders: Floats, path_hz: Floats, at_hills: Counts, hills: Hills,
    found: Floats,
) -> None:  # fmt: skip
    """Fill in what speaks against each instant whose speed is above 0, natural units.

    First what the missing lines of the drive say, 0 or more; then the evidence of a tone at each order at which the
    machine sounds none, above 0 where one stands there, less where it is fainter than the lines of the drive.
    w = min(1, max(0, 1 + (ln(1 + z) - mean of ln(1 + z) over the lines of the drive that are heard) / 1.5))
    Shapes: stray_orders (o,); path_hz (n,); at_hills (n, 2), source and lane; found (n, 1 + o)
    Valid: families from `first_family` on are the drive's; the others may be silent, since blades may be off.
    Source: an engine, a voice or a drill sounds at many multiples of one base, so also at those that a machine whose
    motor shaft is taken for that base leaves out; its weights are choices of ours.
    """
    for at in range(path_hz.size):
        speed, source, lane = path_hz[at], at_hills[at, 0], at_hills[at, 1]
        missing, heights, heard = 0.0, 0.0, 0
        for line in range(comb.orders.size if speed > 0.0 else 0):
            if comb.families[line] < first_family:
                continue
            line_hz = comb.orders[line] * speed
            evidence, _ = evidence_at(looks, hills, source, lane, comb.chances[line], line_hz)
            missing += max(0.0, -evidence)
            if evidence > HEARD_FROM:
                heights += log_height(looks, hills, source, lane, line_hz)
                heard += 1
        found[at, 0] = missing
        mean = heights / max(1, heard)
        for stray in range(stray_orders.size if speed > 0.0 else 0):
            line_hz = stray_orders[stray] * speed
            evidence, _ = evidence_at(looks, hills, source, lane, STRAY_CHANCE, line_hz)
            if evidence > 0.0:
                away = log_height(looks, hills, source, lane, line_hz) - mean
                evidence *= min(1.0, max(0.0, 1.0 + away / FAINT_NATURAL))
            found[at, 1 + stray] = evidence


@kernel
def summed_around(found: Floats, first: int, reach: int, forgiven: int, out: Floats) -> None:
    """Sum what was found over the instants about each, so many either way; the last columns by what is above 0.

    Shapes: found (m, c), out (n, k), k < c: columns from k - 1 on are summed each by itself, then those above 0 but the
    highest, so many as are forgiven, all into the last; the first instant of out is number `first` of found
    Valid: first + n <= m.
    Source: definition.
    """
    last = out.shape[1] - 1
    highest = np.zeros((out.shape[0], forgiven + 1))
    for column in range(found.shape[1]):
        total, low, high = 0.0, 0, 0
        for at in range(out.shape[0]):
            while high < min(first + at + reach + 1, found.shape[0]):
                total += found[high, column]
                high += 1
            while low < first + at - reach:
                total -= found[low, column]
                low += 1
            if column < last:
                out[at, column] = total
                continue
            rest = max(0.0, total)
            for place in range(forgiven):
                if rest > highest[at, place]:
                    rest, highest[at, place] = highest[at, place], rest
            highest[at, forgiven] += rest
    for at in range(out.shape[0]):
        out[at, last] = highest[at, forgiven]
