"""One plain series of a mains buzz, a voice or an alarm: it may fall on the lines of several families at once."""

import math

import numpy as np

from steadyhead.physics.kernel import inlined_kernel, kernel
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

LEAST_ODDS = 5.0
"""Odds from which a peak counts as a tone: it stands some five times over the noise."""
HIGHEST_DIVISOR = 12
MOST_TONES, ENOUGH_TONES, FEWEST_TONES = 60, 6, 4
"""So many tones in a row are a series; of one that begins so high that fewer fit in, as many as fit."""
GAPS_SHARE = 0.125
GRIDS_HZ = (50.0, 60.0)
GRID_SHARE = 0.01
"""EN 50160, from memory: 50 Hz within 1 % for all but half a per cent of the year; taken for 60 Hz, too."""
BLADE_FAMILIES = 2
"""Families of main and tail blades come first."""


@inlined_kernel
def tone_near(looks: Looks, hills: Hills, source: int, lane: int, tone_hz: float) -> float:
    """Frequency of the peak that stands where a tone is looked for, Hz; 0 where none does.

    |f - tone| < 3 s
    Valid: source and lane of the hills.
    Source: three standard deviations, any statistics textbook.
    """
    look = look_of(looks, tone_hz)
    row = -1 if look < 0 else row_of(looks, look, tone_hz)
    if row < 0 or hills.odds[source, row, lane] < LEAST_ODDS:
        return 0.0
    away, wander = hills.at_hz[source, row, lane] - tone_hz, looks.wander_share * tone_hz
    near = away * away < 9.0 * (hills.doubt[source, row, lane] + wander * wander)
    return float(hills.at_hz[source, row, lane]) if near else 0.0


@inlined_kernel
def series_end(looks: Looks, hills: Hills, source: int, lane: int, first_hz: float, step: int) -> tuple[float, int]:
    """Base of a series of tones, Hz, and the number of its last tone; 0 where the tones are too few or have gaps.

    tones at n f, n = 1, 1 + step, ...; gaps at most 1 + n / (8 step)
    Valid: step 1, or 2 for a series without even tones; each tone that is found places the next.
    Source: harmonic series, any acoustics textbook; the gaps are a choice of ours.
    """
    base, number, last, found, gaps = first_hz, 1, 0, 0, 0
    while number * base <= looks.high_hz and number <= MOST_TONES * step:
        tone_hz = tone_near(looks, hills, source, lane, number * base)
        if tone_hz > 0.0:
            base, last = tone_hz / number, number
            found += 1
        else:
            gaps += 1
            if gaps > 1 + int(GAPS_SHARE * number / step):
                break
        number += step
    fit = int(0.5 * (looks.high_hz / base + 1.0)) if step == 2 else int(looks.high_hz / base)
    return base, last if found >= min(ENOUGH_TONES, max(FEWEST_TONES, fit - 1)) else 0


@inlined_kernel
def in_series(base_hz: float, last: int, step: int, line_hz: float, near_hz: float) -> bool:
    """Whether a line falls on a tone of a series.

    Valid: last as `series_end` returns it.
    Source: definition.
    """
    number = int(line_hz / base_hz + 0.5)
    if number < 1 or number > last + step or (step == 2 and number % 2 == 0):
        return False
    return abs(line_hz - number * base_hz) < near_hz


@inlined_kernel
def evidence_at(
    looks: Looks, hills: Hills, source: int, lane: int, chance_share: float, line_hz: float
) -> tuple[float, float]:  # fmt: skip
    """Evidence for a line at a frequency, natural units, and how near to it a tone is the same, Hz; 0 where none looks.

    w ln(`line_factor`), 3 s
    Valid: source and lane of the hills.
    Source: `line_factor`; three standard deviations, any statistics textbook.
    """
    look = look_of(looks, line_hz)
    row = -1 if look < 0 else row_of(looks, look, line_hz)
    if row < 0:
        return 0.0, 0.0
    doubt_hz = math.sqrt(hills.doubt[source, row, lane] + (looks.wander_share * line_hz) ** 2)
    away = hills.at_hz[source, row, lane] - line_hz
    factor = line_factor(chance_share, hills.odds[source, row, lane], window_of(looks, look), away, doubt_hz)
    return overlap_weight(looks, look) * math.log(factor), 3.0 * doubt_hz


@kernel
def families_apart(
    looks: Looks, comb: Comb, speed_hz: float, source: int, lane: int, hills: Hills, apart: Floats
) -> None:  # fmt: skip
    """Evidence of each family of lines at a speed, where all that one plain series explains counts as one family.

    Of all series whose tone is a line that is heard, the one that explains most evidence is taken.
    Shapes: apart (g,), filled
    Valid: speed above 0.
    Source: a series is one source, however many families it falls on; definition.
    """
    lines = comb.orders.size
    evidence, near, best = np.zeros(lines), np.zeros(lines), np.zeros(lines)
    one = np.zeros(lines)
    for line in range(lines):
        evidence[line], near[line] = evidence_at(
            looks, hills, source, lane, comb.chances[line], comb.orders[line] * speed_hz
        )
    most = 0.0
    for line in range(lines):
        for turn in range(2 * HIGHEST_DIVISOR if evidence[line] > 0.0 else 0):
            step, divisor = 1 + turn % 2, 1 + turn // 2
            first_hz = comb.orders[line] * speed_hz / divisor
            if first_hz < looks.low_hz or (step == 2 and divisor % 2 == 0):
                continue
            base, last = series_end(looks, hills, source, lane, first_hz, step)
            explained = 0.0
            for other in range(lines if last > 0 else 0):
                falls = in_series(base, last, step, comb.orders[other] * speed_hz, near[other])
                one[other] = evidence[other] if falls and evidence[other] > 0.0 else 0.0
                explained += one[other]
            if explained > most:
                most = explained
                for other in range(lines):
                    best[other] = one[other]
    on_grid(comb, speed_hz, evidence, near, one)
    if one.sum() > most:
        best = one
    collected(comb, evidence, best, apart)


@inlined_kernel
def on_grid(comb: Comb, speed_hz: float, evidence: Floats, near: Floats, one: Floats) -> None:
    """Fill in what a hum of the mains would explain: the blade lines that are heard, all at multiples of its frequency.

    The lowest of them must lie there, too; else none is filled in. Lines of the drive are left out: a rotor that
    truly turns so fast sounds them beside.
    Shapes: evidence, near (l,) -> one (l,)
    Valid: orders rise; families below BLADE_FAMILIES are the blades'.
    Source: definition.
    """
    base_hz = 0.0
    for line in range(comb.orders.size):
        one[line] = 0.0
        if comb.families[line] >= BLADE_FAMILIES or evidence[line] <= 0.0:
            continue
        line_hz = comb.orders[line] * speed_hz
        if base_hz == 0.0:
            base_hz = grid_of(line_hz)
        number = math.floor(line_hz / max(base_hz, 1.0) + 0.5)
        one[line] = evidence[line] if base_hz > 0.0 and abs(line_hz - number * base_hz) < near[line] else 0.0


@inlined_kernel
def grid_of(line_hz: float) -> float:
    """Frequency of the grid of which a tone is a multiple, Hz; -1 where it is none.

    Valid: some Hz or more; of a high tone, a few lines among which one near it always is.
    Source: GRID_SHARE.
    """
    for grid_hz in GRIDS_HZ:
        number = max(1.0, math.floor(line_hz / grid_hz + 0.5))
        if abs(line_hz / (number * grid_hz) - 1.0) < GRID_SHARE:
            return line_hz / number
    return -1.0


@kernel
def collected(comb: Comb, evidence: Floats, explained: Floats, apart: Floats) -> None:
    """Sum evidence by family, what is explained all in the family that has most of it.

    Shapes: evidence, explained (l,) -> apart (g,)
    Valid: explained is 0 or the evidence itself.
    Source: definition.
    """
    shares = np.zeros(apart.size)
    total = 0.0
    for family in range(apart.size):
        apart[family] = 0.0
    for line in range(evidence.size):
        apart[comb.families[line]] += evidence[line] - explained[line]
        shares[comb.families[line]] += explained[line]
        total += explained[line]
    apart[int(np.argmax(shares))] += total


@kernel
def all_families_apart(
    looks: Looks, comb: Comb, path_hz: Floats, at_hills: Counts, hills: Hills, apart: Floats
) -> None:  # fmt: skip
    """Fill in `families_apart` for each instant whose speed is above 0.

    Shapes: path_hz (n,), at_hills (n, 2), source and lane; apart (n, g)
    Valid: as `families_apart`.
    Source: as `families_apart`.
    """
    for at in range(path_hz.size):
        if path_hz[at] > 0.0:
            families_apart(looks, comb, path_hz[at], at_hills[at, 0], at_hills[at, 1], hills, apart[at])
