"""One comb of lines locked to one rotor speed: peaks of a spectrum, how well a speed explains them, its refinement."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel, wide_kernel

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Peaks = NDArray[np.float32]
"""Bins by instants: loops run along the instants, many in one instruction."""
Three = tuple[Peaks, Peaks, Peaks]
"""One array for each window, the longest first."""
LOWEST_LOG = -8.0
LOGS_PER_UNIT = 32.0
HIGHEST_LOG = 32.0
"""Where the table of a peak's odds and doubt begins and ends, natural logarithm of its height, and how fine it is."""
_HALF, _NONE, _ONE = np.float32(0.5), np.float32(0.0), np.float32(1.0)
_SIXTEENTH, _MOST, _BELL = np.float32(0.0625), np.float32(10.0), np.float32(0.5984)


class Comb(NamedTuple):
    """The lines of a machine: turns per main rotor turn, how likely each is heard, the number of its family.

    Shapes: (l,) each
    """

    orders: Floats
    chances: Floats
    families: Counts


class Looks(NamedTuple):
    """Three spectra of one instant, from the longest window to the shortest, and what a line must be to count. SI.

    A line below `low_hz` or above `high_hz` is not looked for; below `first_hz` the longest window is used, above
    `second_hz` the shortest. Bins are `long_bin_hz` and so on apart, windows last `long_s` and so on.
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
    hop_s: float
    stray_share: float
    wander_share: float


class Hills(NamedTuple):
    """The peak that each bin belongs to, for each window: its frequency, variance of that, odds. Shapes: (bins, n)."""

    at_hz: Three
    doubt: Three
    odds: Three


@kernel
def line_odds(height_ratio: float, stray_share: float) -> float:
    """How many times likelier a peak of some height is as a line than as noise or as a stray tone of another source.

    g / ((1 - s) exp(-z) + s g), g = 0.15 (1 + z / 4)^-1.6
    Valid: height z >= 0 is power over the noise floor; s > 0 keeps one stray tone from deciding alone.
    Source: power of Gaussian noise in a bin is exponential (any signal processing textbook); g, the broad spread of
    heights of a line, and s are choices of ours.
    """
    broad = 0.15 * math.pow(1.0 + 0.25 * height_ratio, -1.6)
    return broad / ((1.0 - stray_share) * math.exp(-height_ratio) + stray_share * broad)


@kernel
def doubt_squared(window_s: float, wander_share: float, height_ratio: float, line_hz: float) -> float:
    """Variance of a peak's frequency, Hz squared: noise, a phase that trembles, and the wander of a real line.

    (0.4 / T)^2 / z + (0.04 / T)^2 + (w f)^2
    Valid: Hann window of length T, z the power over the noise floor, below 1 taken as 1; a quarter turn of phase in T
    (turbulence at the blades, play in the gears, leakage of a neighbour) moves a peak by about 0.04 / T.
    Source: Cramer-Rao bound of a tone's frequency, sqrt(6) / (2 pi T sqrt(2 z)) for a rectangular window, from memory
    (any estimation textbook), times 1.5 for the Hann window.
    """
    wander = wander_share * line_hz
    return (0.16 / max(height_ratio, 1.0) + 0.0016) / (window_s * window_s) + wander * wander


@wide_kernel
def peak_table(window_s: float, stray_share: float, table: Floats) -> None:
    """Odds of a peak, and variance of its frequency from noise, Hz squared, over the logarithm of its height.

    Shapes: table (2, m), filled
    Valid: heights e^-8 to e^32; what lies outside is taken as the nearest.
    Source: `line_odds` and `doubt_squared`.
    """
    for k in range(table.shape[1]):
        height = math.exp(LOWEST_LOG + k / LOGS_PER_UNIT)
        table[0, k] = line_odds(height, stray_share)
        table[1, k] = doubt_squared(window_s, 0.0, height, 0.0)


@wide_kernel
def over_floor(power: Peaks, floor: Peaks, edges: Counts, first_bin: int) -> None:
    """Take the noise floor from the logarithm of a power: between the middles of its bands on straight lines.

    Shapes: power (k, n), natural logarithm, changed; floor (b, n), natural logarithm; edges (b + 1,)
    Valid: edges rise.
    Source: linear interpolation.
    """
    band = 0
    bands = floor.shape[0]
    for k in range(first_bin, power.shape[0]):
        while band < bands - 2 and 0.5 * (edges[band + 1] + edges[band + 2] - 1) < k:
            band += 1
        upper = min(band + 1, bands - 1)
        here, there = 0.5 * (edges[band] + edges[band + 1] - 1), 0.5 * (edges[upper] + edges[upper + 1] - 1)
        share = np.float32(min(max((k - here) / max(there - here, 1.0), 0.0), 1.0))
        rest = _ONE - share
        for row in range(power.shape[1]):
            power[k, row] -= rest * floor[band, row] + share * floor[upper, row]


@wide_kernel
def peaks(power: Peaks, first_bin: int, bin_hz: float, table: Peaks, at_hz: Peaks, doubt: Peaks, odds: Peaks) -> None:
    """Frequency, Hz, its variance from noise, Hz squared, and odds of the peak whose hill each bin stands on.

    at = (k + (a - c) / (2 (a - 2 b + c))) bin, a b c = ln p[k-1], ln p[k], ln p[k+1]; a bin on a slope takes over what
    its higher neighbour has, first from above, then from below
    Shapes: power (k, n), natural logarithm over its own noise floor -> at_hz (k, n), doubt (k, n), odds (k, n)
    Valid: Hann window, padded to one and a half its length or more; a hill of noise is a peak like any other.
    Source: parabola through three points, any numerical methods textbook.
    """
    last = power.shape[0] - 1
    wide, scale, low = np.float32(bin_hz), np.float32(LOGS_PER_UNIT), np.float32(LOWEST_LOG)
    end = np.float32(table.shape[1] - 1)
    for k in range(first_bin, last + 1):
        before, after = max(k - 1, first_bin), min(k + 1, last)
        middle = np.float32(k)
        for row in range(power.shape[1]):
            bend = power[before, row] - power[k, row] + (power[after, row] - power[k, row])
            shift = _HALF * (power[before, row] - power[after, row]) / (bend if bend < _NONE else -_ONE)
            at_hz[k, row] = (middle + min(max(shift, -_HALF), _HALF)) * wide
            fine = min(max((power[k, row] - low) * scale, _NONE), end)
            step = np.int32(fine + _HALF)
            odds[k, row] = table[0, step]
            doubt[k, row] = table[1, step]
    for k in range(last - 1, first_bin - 1, -1):
        for row in range(power.shape[1]):
            rises = power[k + 1, row] > power[k, row]
            at_hz[k, row] = at_hz[k + 1, row] if rises else at_hz[k, row]
            odds[k, row] = odds[k + 1, row] if rises else odds[k, row]
            doubt[k, row] = doubt[k + 1, row] if rises else doubt[k, row]
    for k in range(first_bin + 1, last + 1):
        after = min(k + 1, last)
        for row in range(power.shape[1]):
            falls = (power[k - 1, row] > power[k, row]) & (power[after, row] <= power[k, row])
            at_hz[k, row] = at_hz[k - 1, row] if falls else at_hz[k, row]
            odds[k, row] = odds[k - 1, row] if falls else odds[k, row]
            doubt[k, row] = doubt[k - 1, row] if falls else doubt[k, row]


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
def bin_of(looks: Looks, look: int, line_hz: float) -> int:
    """The bin of one of the three spectra that a frequency falls into.

    Valid: look 0, 1 or 2.
    Source: definition of the discrete Fourier transform.
    """
    bin_hz = looks.long_bin_hz if look == 0 else looks.middle_bin_hz if look == 1 else looks.short_bin_hz
    return int(line_hz / bin_hz + 0.5)


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


@wide_kernel
def multiplied(
    times: int, chance_share: float, line_hz: float, blur_hz: float, window_s: float, peak: Three, out: Floats
) -> None:  # fmt: skip
    """Multiply instants with `line_factor` of one line, taken 1, 2 or 4 times.

    The bell exp(-x) is taken as (1 - y + y^2 / 2)^16, y = min(x / 16, 1), which is within 0.001 of it.
    Shapes: peak: frequency, variance, odds, (n,) each; out (n,), changed
    Valid: as `scores`.
    Source: as `line_factor`.
    """
    at_hz, doubt, odds = peak
    chance, line, blur = np.float32(chance_share), np.float32(line_hz), np.float32(blur_hz * blur_hz)
    width = _BELL / np.float32(window_s)
    none = _ONE - chance
    for row in range(out.size):
        away = at_hz[row] - line
        sharp = _ONE / (doubt[row] + blur)
        y = min(away * away * sharp * _HALF * _SIXTEENTH, _ONE)
        bell = _ONE - y + _HALF * y * y
        bell *= bell
        bell *= bell
        bell *= bell
        bell *= bell
        factor = float(none + chance * odds[row] * min(width * math.sqrt(sharp) * bell, _MOST))
        if times > 1:
            factor *= factor
        if times > 2:
            factor *= factor
        out[row] *= factor


@wide_kernel
def scores(looks: Looks, orders: Floats, chances: Floats, speeds_hz: Floats, hills: Hills, out: Floats) -> None:
    """How many times likelier each instant is with each rotor speed: the product of `line_factor` over the comb.

    Each line to the power of 1, 2 or 4 for the long, middle and short window: the root of the product that
    `overlap_weight` of the long window asks for is left to the caller.
    Shapes: orders (l,), chances (l,), speeds_hz (v,) evenly spaced, hills (k, n) each -> out (v, n)
    Valid: lines of one comb independent of each other, given the speed; at most 28 lines, or the product may overflow;
    each window half as long as the one before.
    Source: Bayes' rule.
    """
    step = speeds_hz[1] - speeds_hz[0]
    for v in range(speeds_hz.size):
        for row in range(out.shape[1]):
            out[v, row] = 1.0
        for line in range(orders.size):
            line_hz = orders[line] * speeds_hz[v]
            look = look_of(looks, line_hz)
            if look < 0:
                continue
            k = bin_of(looks, look, line_hz)
            if k >= hills.at_hz[look].shape[0]:
                continue
            peak = (hills.at_hz[look][k], hills.doubt[look][k], hills.odds[look][k])
            times = 1 if look == 0 else 2 if look == 1 else 4
            blur = math.sqrt((0.5 * step * orders[line]) ** 2 + (looks.wander_share * line_hz) ** 2)
            multiplied(times, chances[line], line_hz, blur, window_of(looks, look), peak, out[v])


@kernel
def refined(
    looks: Looks, comb: Comb, path_hz: Floats, step_hz: float, first_row: int, hills: Hills, heard: Floats, fine: Floats
) -> None:  # fmt: skip
    """Rotor speed finer than the step between speeds, 1/s, with its doubt: the peaks of all lines, weighed together.

    n = sum(w f / o) / sum(w), w = (o / s)^2 while within three doubts of the line
    Shapes: path_hz (n,), 0 where nothing is heard, for the instants from `first_row`; heard (n, g) is filled with the
    evidence of each family, fine (n, 2) with the speed and its doubt
    Valid: path within half a step of the true speed.
    Source: weighted least squares, any statistics textbook.
    """
    for at in range(path_hz.size):
        speed, row = path_hz[at], first_row + at
        for turn in range(2 if speed > 0.0 else 0):
            weights, sums = 0.0, 0.0
            for line in range(comb.orders.size):
                line_hz = comb.orders[line] * speed
                look = look_of(looks, line_hz)
                k = bin_of(looks, look, line_hz)
                if look < 0 or k >= hills.at_hz[look].shape[0]:
                    continue
                window_s, order = window_of(looks, look), comb.orders[line]
                own = hills.doubt[look][k, row] + (looks.wander_share * line_hz) ** 2
                whole = own + (0.5 * step_hz * order) ** 2
                away = hills.at_hz[look][k, row] - line_hz
                factor = line_factor(comb.chances[line], hills.odds[look][k, row], window_s, away, math.sqrt(whole))
                if turn == 1:
                    heard[at, comb.families[line]] += overlap_weight(looks, look) * math.log(factor)
                if factor > 1.0 and away * away < 9.0 * whole:
                    weight = order * order / own
                    weights += weight
                    sums += weight * hills.at_hz[look][k, row] / order
            if weights > 0.0:
                speed = sums / weights
                fine[at, 1] = 1.0 / math.sqrt(weights)
        fine[at, 0] = speed
