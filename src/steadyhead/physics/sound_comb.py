"""One comb of lines locked to one rotor speed: how well a speed explains the peaks of a spectrum, its refinement."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import inlined_kernel, inlined_wide_kernel, kernel, wide_kernel
from steadyhead.physics.sound_peaks import Hills, Lanes

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Single = np.float32
_HALF, _ONE, _NONE = np.float32(0.5), np.float32(1.0), np.float32(0.0)
_SIXTEENTH, _MOST, _BELL = np.float32(0.0625), np.float32(10.0), np.float32(0.5984)
_SCALE = np.float32(2.0**-16)
FULL_SIDE = 32
"""Instants side by side of a full load: a loop of known length needs no beginning and no end."""
_HIGHEST = np.float32(3e38)


class Comb(NamedTuple):
    """The lines of a machine: turns per main rotor turn, how likely each is heard, the number of its family.

    Shapes: (l,) each, orders rising
    """

    orders: Floats
    chances: Floats
    families: Counts


class Looks(NamedTuple):
    """Three spectra of one instant, from the longest window to the shortest, and what a line must be to count. SI.

    A line below `low_hz` or above `high_hz` is not looked for; below `first_hz` the longest window is used, above
    `second_hz` the shortest. Bins are `long_bin_hz` and so on apart, windows last `long_s` and so on; `middle_row` and
    `short_row` are the rows of `Hills` at which the bins of those windows begin, `rows` is the number of them all.
    """

    low_hz: float
    first_hz: float
    second_hz: float
    high_hz: float
    long_s: float
    middle_s: float
    short_s: float
    long_bin_hz: float
    middle_bin_hz: float
    short_bin_hz: float
    middle_row: int
    short_row: int
    rows: int
    hop_s: float
    wander_share: float


class Places(NamedTuple):
    """Where each line of a comb stands at each speed: its row in `Hills`, its frequency, Hz, its blur, Hz squared.

    The lines of the long, middle and short window at a speed are those from `starts[v, 0]` to `starts[v, 1]` and so on.
    Shapes: rows, lines_hz, blurs (v, l); starts (v, 4); chances (l,)
    """

    rows: Counts
    lines_hz: Lanes
    blurs: Lanes
    starts: Counts
    chances: Lanes


@kernel
def look_of(looks: Looks, line_hz: float) -> int:
    """Which window a line is looked for in: 0 long, 1 middle, 2 short, -1 none.

    Valid: low_hz < first_hz < second_hz.
    Source: common practice, no source: the higher a line, the more a change of speed smears it, the shorter the window.
    """
    if line_hz < looks.low_hz or line_hz > looks.high_hz:
        return -1
    if line_hz < looks.first_hz:
        return 0
    return 1 if line_hz < looks.second_hz else 2


@kernel
def window_of(looks: Looks, look: int) -> float:
    """Length of one of the three windows, s.

    Valid: look 0, 1 or 2.
    Source: definition.
    """
    return looks.long_s if look == 0 else looks.middle_s if look == 1 else looks.short_s


@kernel
def row_of(looks: Looks, look: int, line_hz: float) -> int:
    """The row of `Hills` that holds the bin of one of the three spectra that a frequency falls into; -1 none.

    Valid: look 0, 1 or 2.
    Source: definition of the discrete Fourier transform.
    """
    if look == 0:
        row, end = int(line_hz / looks.long_bin_hz + 0.5), looks.middle_row
    elif look == 1:
        row, end = looks.middle_row + int(line_hz / looks.middle_bin_hz + 0.5), looks.short_row
    else:
        row, end = looks.short_row + int(line_hz / looks.short_bin_hz + 0.5), looks.rows
    return row if row < end else -1


@kernel
def overlap_weight(looks: Looks, look: int) -> float:
    """How much of a frame is new in one window: neighbouring windows share most of what they hear.

    min(1, hop / (T / 2))
    Valid: Hann window, whose middle half carries most of its weight.
    Source: common practice, no source.
    """
    return min(1.0, 2.0 * looks.hop_s / window_of(looks, look))


@kernel
def line_factor(chance_share: float, odds_ratio: float, window_s: float, away_hz: float, doubt_hz: float) -> float:
    """How many times likelier an instant is with a line of the comb at a frequency than without.

    1 - c + c g min(10, 1.5 / (T sqrt(2 pi) s) exp(-d^2 / (2 s^2)))
    Valid: d is the way from the line to the nearest peak, s its doubt, g the odds of that peak.
    Source: Bayes' rule for one line; a stray peak lies anywhere on its hill, 1.5 / T wide, a line within its doubt.
    """
    near = 0.5984 / (window_s * doubt_hz) * math.exp(-0.5 * (away_hz / doubt_hz) ** 2)
    return 1.0 - chance_share + chance_share * odds_ratio * min(near, 10.0)


@kernel
def placed(looks: Looks, comb: Comb, speeds_hz: Floats, places: Places) -> None:
    """Fill in where each line of a comb stands at each speed.

    blur^2 = (speed step / 2 x order)^2 + (wander x line)^2
    Shapes: speeds_hz (v,) evenly spaced
    Valid: orders rise.
    Source: definition.
    """
    step = speeds_hz[1] - speeds_hz[0]
    for line in range(comb.orders.size):
        places.chances[line] = comb.chances[line]
    for v in range(speeds_hz.size):
        for k in range(4):
            places.starts[v, k] = 0
        for line in range(comb.orders.size):
            line_hz = comb.orders[line] * speeds_hz[v]
            look = look_of(looks, line_hz)
            row = -1 if look < 0 else row_of(looks, look, line_hz)
            places.rows[v, line] = row
            places.lines_hz[v, line] = line_hz
            places.blurs[v, line] = (0.5 * step * comb.orders[line]) ** 2 + (looks.wander_share * line_hz) ** 2
            for k in range(4):
                if (row < 0 and line_hz < looks.low_hz) or (row >= 0 and k > look):
                    places.starts[v, k] = line + 1


@wide_kernel
def sharpened(
    chance: Single, blur: Single, width: Single, doubt: Lanes, odds: Lanes, steep: Lanes, tall: Lanes, most: Lanes
) -> None:  # fmt: skip
    """What of `line_factor` depends on a line and a peak, and not on the speed.

    steep = 1 / (32 s^2), tall = c g 0.5984 / (T s) / 2^16, most = 10 c g
    Shapes: doubt, odds -> steep, tall, most (s,)
    Valid: blur, Hz squared, beside the doubt; width 0.5984 / 2^16 over the length of the window; all of single
    precision.
    Source: as `line_factor`.
    """
    for lane in range(steep.size):
        sharp = _ONE / (doubt[lane] + blur)
        gain = chance * odds[lane]
        steep[lane] = _HALF * _SIXTEENTH * sharp
        tall[lane] = gain * width * math.sqrt(sharp)
        most[lane] = gain * _MOST


@inlined_kernel
def bell_factor(none: Single, away: Single, steep: Single, tall: Single, most: Single) -> Single:
    """`line_factor` of one line and one peak, quickly: single precision, no exponential.

    The bell exp(-x) is taken as (1 - y + y^2 / 2)^16, y = min(x / 16, 1), which is within 0.001 of it; that is
    (1 + z^2)^16 / 2^16, z = 1 - y.
    Valid: steep, tall and most as `sharpened` gives them.
    Source: as `line_factor`.
    """
    z = max(_ONE - away * away * steep, _NONE)
    bell = _ONE + z * z
    bell *= bell
    bell *= bell
    bell *= bell
    bell *= bell
    return none + min(tall * bell, most)


@inlined_wide_kernel
def multiplied(
    chance: Single, line_hz: Single, at_hz: Lanes, steep: Lanes, tall: Lanes, most: Lanes, out: Lanes
) -> None:  # fmt: skip
    """Multiply instants with `line_factor` of one line.

    Shapes: at_hz, steep, tall, most, out (s,), out changed
    Valid: as `bell_factor`.
    Source: as `line_factor`.
    """
    none = _ONE - chance
    if out.size == FULL_SIDE:
        for lane in range(FULL_SIDE):
            out[lane] *= bell_factor(none, at_hz[lane] - line_hz, steep[lane], tall[lane], most[lane])
    else:
        for lane in range(out.size):
            out[lane] *= bell_factor(none, at_hz[lane] - line_hz, steep[lane], tall[lane], most[lane])


@wide_kernel
def scores(looks: Looks, places: Places, hills: Hills, out: Lanes) -> None:
    """How many times likelier each instant is with each rotor speed: the product of `line_factor` over the comb.

    (product over the long window)^(1/4) (over the middle)^(1/2) (over the short)
    The power of four, and the root that `overlap_weight` of the long window asks for, are left to the caller.
    Shapes: hills of g sources -> out (g s, v)
    Valid: lines of one comb independent of each other, given the speed; each window half as long as the one before;
    what would pass 3e38 is taken as that; the blur of a line within one bin is that where it enters the bin.
    Source: Bayes' rule.
    """
    lines, side = places.chances.size, hills.at_hz.shape[2]
    product, entered = np.empty(side, np.float32), np.empty(lines, np.int64)
    steep, tall = np.empty((lines, side), np.float32), np.empty((lines, side), np.float32)
    most = np.empty((lines, side), np.float32)
    for group in range(hills.at_hz.shape[0]):
        at_hz, doubt, odds = hills.at_hz[group], hills.doubt[group], hills.odds[group]
        first = group * side
        for number in range(lines):
            entered[number] = -1
        for v in range(out.shape[1]):
            rows, lines_hz, blurs, starts = places.rows[v], places.lines_hz[v], places.blurs[v], places.starts[v]
            for lane in range(side):
                product[lane] = _ONE
            for look in range(3):
                for number in range(starts[look], starts[look + 1]):
                    line = np.uint64(number)
                    row, chance = np.uint64(rows[line]), places.chances[line]
                    if rows[line] != entered[line]:
                        entered[line] = rows[line]
                        width = _SCALE * _BELL / np.float32(window_of(looks, look))
                        sharpened(
                            chance, blurs[line], width, doubt[row], odds[row], steep[line], tall[line], most[line]
                        )
                    multiplied(chance, lines_hz[line], at_hz[row], steep[line], tall[line], most[line], product)
                for lane in range(side if look < 2 else 0):
                    product[lane] = math.sqrt(product[lane])
            for lane in range(side):
                out[first + lane, v] = min(product[lane], _HIGHEST)


@kernel
def refined(
    looks: Looks, comb: Comb, path_hz: Floats, step_hz: float, at_hills: Counts, hills: Hills, heard: Floats,
    fine: Floats,
) -> None:  # fmt: skip
    """Rotor speed finer than the step between speeds, 1/s, with its doubt: the peaks of all lines, weighed together.

    n = sum(w f / o) / sum(w), w = (o / s)^2 while within three doubts of the line
    Shapes: path_hz (n,), 0 where nothing is heard; at_hills (n, 2), the source and the lane of each instant; heard
    (n, g) is filled with the evidence of each family, fine (n, 2) with the speed and its doubt
    Valid: path within half a step of the true speed.
    Source: weighted least squares, any statistics textbook.
    """
    for at in range(path_hz.size):
        speed, group, lane = path_hz[at], at_hills[at, 0], at_hills[at, 1]
        for turn in range(2 if speed > 0.0 else 0):
            weights, sums = 0.0, 0.0
            for line in range(comb.orders.size):
                line_hz = comb.orders[line] * speed
                look = look_of(looks, line_hz)
                row = -1 if look < 0 else row_of(looks, look, line_hz)
                if row < 0:
                    continue
                window_s, order = window_of(looks, look), comb.orders[line]
                own = hills.doubt[group, row, lane] + (looks.wander_share * line_hz) ** 2
                whole = own + (0.5 * step_hz * order) ** 2
                away = hills.at_hz[group, row, lane] - line_hz
                if turn == 0 and away * away >= 9.0 * whole:
                    continue
                factor = line_factor(comb.chances[line], hills.odds[group, row, lane], window_s, away, math.sqrt(whole))
                if turn == 1:
                    heard[at, comb.families[line]] += overlap_weight(looks, look) * math.log(factor)
                if factor > 1.0 and away * away < 9.0 * whole:
                    weight = order * order / own
                    weights += weight
                    sums += weight * hills.at_hz[group, row, lane] / order
            if weights > 0.0:
                speed = sums / weights
                fine[at, 1] = 1.0 / math.sqrt(weights)
        fine[at, 0] = speed
