"""Hum of the mains: tones at many multiples of the grid's frequency, which no rotor may be told from."""

import numpy as np

from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.sound_comb import Floats, Looks, look_of, row_of, window_of
from steadyhead.physics.sound_peaks import Hills
from steadyhead.physics.sound_series import GRID_SHARE, GRIDS_HZ, LEAST_ODDS, tone_near

LOWEST_TONES = 12
"""A hum is looked for by one of so many lowest multiples: a telephone takes away the first few; own choice."""
FEWEST_TONES = 6
MOST_MISSING = 3
"""A hum may leave out so many multiples in a row, as the odd ones or by chance; own choice."""
LEAST_SHARE = 0.4
"""So many of the multiples between the first and the last stand in a hum, of one without odd ones half; own choice."""
GOES_ON_SHARE = 0.75
"""A hum that is followed over so much of the frequencies in which its tones can be parted ends nowhere there; own
choice."""


@kernel
def grid_hum(looks: Looks, hills: Hills, source: int, lane: int, grid_hz: float) -> tuple[float, int]:
    """Frequency of the grid whose hum sounds at an instant, Hz, and the last multiple that stands; 0 where none does.

    Valid: grid_hz 50 or 60; multiples up to `second_hz`, above which the short window cannot part them.
    Source: harmonic series, any acoustics textbook; how many tones make a hum is a choice of ours.
    """
    for number in range(1, LOWEST_TONES + 1):
        nominal_hz = number * grid_hz
        look = look_of(looks, nominal_hz)
        row = -1 if look < 0 else row_of(looks, look, nominal_hz)
        if row < 0 or hills.odds[source, row, lane] < LEAST_ODDS:
            continue
        base_hz = hills.at_hz[source, row, lane] / number
        if abs(base_hz / grid_hz - 1.0) < GRID_SHARE:
            base_hz, last = grid_tones(looks, hills, source, lane, base_hz, number)
            if last != 0:
                return base_hz, last
    return 0.0, 0


@inlined_kernel
def grid_tones(
    looks: Looks, hills: Hills, source: int, lane: int, base_hz: float, first: int
) -> tuple[float, int]:  # fmt: skip
    """Frequency of a grid from all its tones, Hz, and its last multiple, as `grid_hum` tells them.

    f = sum(n f_n) / sum(n^2) over the tones that stand
    Valid: tone number `first` stands at first x base_hz.
    Source: least squares through the origin, any statistics textbook.
    """
    sums, weights = base_hz * first * first, float(first * first)
    found, missing, last, number = 1, 0, first, first
    highest = min(looks.second_hz, looks.high_hz)
    while missing <= MOST_MISSING:
        number += 1
        if number * base_hz > highest:
            break
        tone_hz = tone_near(looks, hills, source, lane, number * base_hz)
        if tone_hz > 0.0:
            sums += number * tone_hz
            weights += float(number * number)
            base_hz = sums / weights
            found, missing, last = found + 1, 0, number
        else:
            missing += 1
    if found < FEWEST_TONES or found < LEAST_SHARE * (last - first + 1):
        return 0.0, 0
    return base_hz, last


@kernel
def grid_silenced(looks: Looks, base_hz: float, last: int, hills: Hills, source: int) -> None:
    """Take the tones of a hum out of the peaks: a line that stands there is neither heard nor missed.

    at = the bin's own frequency, s = 0.5984 / T, odds 1: then `line_factor` is 1
    A hum that comes near the end of what the windows can part goes on above it.
    Valid: last as `grid_hum` returns it.
    Source: definition.
    """
    number = 1
    goes_on = last * base_hz > GOES_ON_SHARE * min(looks.second_hz, looks.high_hz)
    while number * base_hz < looks.high_hz and (goes_on or number <= last):
        tone_hz = number * base_hz
        look = look_of(looks, tone_hz)
        row = -1 if look < 0 else row_of(looks, look, tone_hz)
        number += 1
        if row < 0:
            continue
        for lane in range(hills.at_hz.shape[2]):
            for step in (-1, 1):
                at = row if step > 0 else row - 1
                while stands_at(looks, hills, source, at, lane, look, tone_hz):
                    silenced(looks, hills, source, at, lane, look)
                    at += step


@inlined_kernel
def bins_of(looks: Looks, look: int) -> tuple[int, int, float]:
    """First row of one window in `Hills`, the row behind its last, and the width of its bins, Hz.

    Valid: look 0, 1 or 2.
    Source: definition.
    """
    if look == 0:
        return 0, looks.middle_row, looks.long_bin_hz
    if look == 1:
        return looks.middle_row, looks.short_row, looks.middle_bin_hz
    return looks.short_row, looks.rows, looks.short_bin_hz


@inlined_kernel
def stands_at(looks: Looks, hills: Hills, source: int, row: int, lane: int, look: int, tone_hz: float) -> bool:
    """Whether the peak that a row belongs to may be a tone.

    |f - tone| < 3 s
    Valid: rows of the window that the tone is looked for in.
    Source: three standard deviations, any statistics textbook.
    """
    first, end, _ = bins_of(looks, look)
    if row < first or row >= end:
        return False
    away, wander = hills.at_hz[source, row, lane] - tone_hz, looks.wander_share * tone_hz
    return bool(away * away < 9.0 * (hills.doubt[source, row, lane] + wander * wander))


@inlined_kernel
def silenced(looks: Looks, hills: Hills, source: int, row: int, lane: int, look: int) -> None:
    """Make a bin tell nothing.

    Valid: as `grid_silenced`.
    Source: `line_factor`.
    """
    first, _, wide_hz = bins_of(looks, look)
    doubt_hz = 0.5984 / window_of(looks, look)
    hills.at_hz[source, row, lane] = np.float32((row - first) * wide_hz)
    hills.doubt[source, row, lane] = np.float32(doubt_hz * doubt_hz)
    hills.odds[source, row, lane] = np.float32(1.0)


@kernel
def grid_hums(looks: Looks, hills: Hills, first: int, every: int, count: int, found: Floats) -> None:
    """Fill in `grid_hum` of every so many instants, from one on.

    Shapes: found (sources, g, k, 2) for the g of GRIDS_HZ, k = instants first, first + every, ... below count
    Valid: as `grid_hum`.
    Source: as `grid_hum`.
    """
    for source in range(found.shape[0]):
        for grid in range(found.shape[1]):
            for number, lane in enumerate(range(first, count, every)):
                base_hz, last = grid_hum(looks, hills, source, lane, GRIDS_HZ[grid])
                found[source, grid, number, 0] = base_hz
                found[source, grid, number, 1] = last
