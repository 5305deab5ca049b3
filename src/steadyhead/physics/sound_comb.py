"""One comb of lines locked to one rotor speed: peaks of a spectrum, how well a speed explains them, its refinement."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel

Floats = NDArray[np.float64]
Peaks = NDArray[np.float32]
Three = tuple[Peaks, Peaks, Peaks]
"""One array for each window, the longest first."""


class Comb(NamedTuple):
    """The lines of a machine: turns per main rotor turn, how likely each is heard, the number of its family.

    Shapes: (l,) each
    """

    orders: Floats
    chances: Floats
    families: NDArray[np.int64]


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
def peaks(power: Peaks, bin_hz: float, stray_share: float, at_hz: Peaks, height: Peaks, odds: Peaks) -> None:
    """Frequency, Hz, height and odds of the peak whose hill each bin stands on, by a parabola through three logarithms.

    at = (k + (a - c) / (2 (a - 2 b + c))) bin, a b c = ln p[k-1], ln p[k], ln p[k+1]
    Shapes: power (n, k) over its own noise floor -> at_hz (n, k), height (n, k), odds (n, k)
    Valid: Hann window, twofold zero padding or more; a hill of noise is a peak like any other.
    Source: parabola through three points, any numerical methods textbook.
    """
    for row in range(power.shape[0]):
        start = 0
        top = 0
        for k in range(1, power.shape[1] + 1):
            if k < power.shape[1]:
                if power[row, k] > power[row, top]:
                    top = k
                    continue
                rises = k + 1 < power.shape[1] and power[row, k + 1] > power[row, k]
                falls = power[row, k] <= power[row, k - 1]
                if not (rises and falls):
                    continue
            shift = 0.0
            best = power[row, top]
            if 0 < top < power.shape[1] - 1 and power[row, top - 1] > 0.0 and power[row, top + 1] > 0.0:
                before, here, after = math.log(power[row, top - 1]), math.log(best), math.log(power[row, top + 1])
                bend = before - 2.0 * here + after
                if bend < 0.0:
                    shift = min(max(0.5 * (before - after) / bend, -0.5), 0.5)
            stop = min(k, power.shape[1])
            chance = line_odds(best, stray_share)
            for j in range(start, stop):
                at_hz[row, j] = (top + shift) * bin_hz
                height[row, j] = best
                odds[row, j] = chance
            start = stop
            top = min(k + 1, power.shape[1] - 1) if k < power.shape[1] else 0


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
    far = (away_hz / doubt_hz) ** 2
    if far > 30.0:
        return 1.0 - chance_share
    near = 0.5984 / (window_s * doubt_hz) * math.exp(-0.5 * far)
    return 1.0 - chance_share + chance_share * odds_ratio * min(near, 10.0)


@kernel
def scores(
    looks: Looks, orders: Floats, chances: Floats, speeds_hz: Floats, at_hz: Three, height: Three, odds: Three,
    out: Floats,
) -> None:  # fmt: skip
    """Evidence, natural units, for each rotor speed in each instant: the sum over the lines of the comb.

    Shapes: orders (l,), chances (l,), speeds_hz (v,) evenly spaced, at_hz, height, odds (n, k) each -> out (n, v)
    Valid: lines of one comb independent of each other, given the speed.
    Source: Bayes' rule.
    """
    step = speeds_hz[1] - speeds_hz[0]
    long_weight, middle_weight = overlap_weight(looks, 0), overlap_weight(looks, 1)
    short_weight = overlap_weight(looks, 2)
    for v in range(speeds_hz.size):
        for row in range(out.shape[0]):
            out[row, v] = 0.0
        for line in range(orders.size):
            line_hz = orders[line] * speeds_hz[v]
            look = look_of(looks, line_hz)
            if look < 0:
                continue
            k = bin_of(looks, look, line_hz)
            if k >= at_hz[look].shape[1]:
                continue
            window_s = window_of(looks, look)
            weight = long_weight if look == 0 else middle_weight if look == 1 else short_weight
            blur = 0.5 * step * orders[line]
            for row in range(out.shape[0]):
                doubt = blur * blur + doubt_squared(window_s, looks.wander_share, height[look][row, k], line_hz)
                away = at_hz[look][row, k] - line_hz
                factor = line_factor(chances[line], odds[look][row, k], window_s, away, math.sqrt(doubt))
                out[row, v] += weight * math.log(factor)


@kernel
def refined(
    looks: Looks, comb: Comb, path_hz: Floats, step_hz: float, at_hz: Three, height: Three, odds: Three, heard: Floats,
) -> Floats:  # fmt: skip
    """Rotor speed finer than the step between speeds, 1/s, with its doubt: the peaks of all lines, weighed together.

    n = sum(w f / o) / sum(w), w = (o / s)^2 while within three doubts of the line
    Shapes: path_hz (n,), 0 where nothing is heard; heard (n, g) is filled with the evidence of each family -> (n, 2)
    Valid: path within half a step of the true speed.
    Source: weighted least squares, any statistics textbook.
    """
    out = np.zeros((path_hz.size, 2))
    for row in range(path_hz.size):
        speed = path_hz[row]
        for turn in range(2 if speed > 0.0 else 0):
            weights, sums = 0.0, 0.0
            for line in range(comb.orders.size):
                line_hz = comb.orders[line] * speed
                look = look_of(looks, line_hz)
                k = bin_of(looks, look, line_hz)
                if look < 0 or k >= at_hz[look].shape[1]:
                    continue
                window_s, order = window_of(looks, look), comb.orders[line]
                own = doubt_squared(window_s, looks.wander_share, height[look][row, k], line_hz)
                doubt = own + (0.5 * step_hz * order) ** 2
                away = at_hz[look][row, k] - line_hz
                factor = line_factor(comb.chances[line], odds[look][row, k], window_s, away, math.sqrt(doubt))
                if turn == 1:
                    heard[row, comb.families[line]] += overlap_weight(looks, look) * math.log(factor)
                if factor > 1.0 and away * away < 9.0 * doubt:
                    weight = order * order / own
                    weights += weight
                    sums += weight * at_hz[look][row, k] / order
            if weights > 0.0:
                speed = sums / weights
                out[row, 1] = 1.0 / math.sqrt(weights)
        out[row, 0] = speed
    return out
