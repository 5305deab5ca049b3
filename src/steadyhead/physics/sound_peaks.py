"""The peaks of a spectrum over its noise floor, instants side by side: many in one instruction."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel, wide_kernel

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Lanes = NDArray[np.float32]
"""Instants lie innermost, s of them side by side, few enough that what they need stays near the processor."""
Steps = NDArray[np.int32]
HIGHEST_ROOT = 12.0
ROOTS_PER_UNIT = 64.0
"""Where the table of a peak's odds and doubt ends, fourth root of its height, and how fine it is."""
_HALF, _ONE, _TINY, _NONE = np.float32(0.5), np.float32(1.0), np.float32(1e-6), np.float32(0.0)


class Hills(NamedTuple):
    """The peak that each bin belongs to: its frequency, variance of that, odds. All windows below one another.

    Shapes: (sources, bins, s): each channel, then several channels together
    """

    at_hz: Lanes
    doubt: Lanes
    odds: Lanes


class Bins(NamedTuple):
    """Where one window's bins stand: the first that is used, its row in `Hills` less its number, and their width."""

    first: int
    row: int
    wide_hz: float


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


@kernel
def height_of_doubt(window_s: float, doubt_hz: float) -> float:
    """Height of a peak over the noise floor, from the doubt of its frequency, Hz, with no wander in it.

    z = 0.16 / (s^2 T^2 - 0.0016)
    Valid: z from 1, below which all are taken as 1, to 2e4.
    Source: `doubt_squared`, turned round.
    """
    return 0.16 / max((doubt_hz * window_s) ** 2 - 0.0016, 8e-6)


@wide_kernel
def peak_table(window_s: float, stray_share: float, table: Floats) -> None:
    """Odds of a peak, and variance of its frequency from noise, Hz squared, over the fourth root of its height.

    Shapes: table (2, m), filled
    Valid: heights 0 to 12^4, beyond which neither changes.
    Source: `line_odds` and `doubt_squared`.
    """
    for k in range(table.shape[1]):
        height = (k / ROOTS_PER_UNIT) ** 4
        table[0, k] = line_odds(height, stray_share)
        table[1, k] = doubt_squared(window_s, 0.0, height, 0.0)


@wide_kernel
def over_floor(root: Lanes, floor: Lanes, edges: Counts, first_bin: int) -> None:
    """Divide the root of a power by that of its noise floor: between the middles of its bands on straight lines.

    Shapes: root (k, s), changed; floor (b, s); edges (b + 1,)
    Valid: edges rise; floor above 0.
    Source: linear interpolation.
    """
    band = 0
    bands = floor.shape[0]
    for k in range(first_bin, root.shape[0]):
        while band < bands - 2 and 0.5 * (edges[band + 1] + edges[band + 2] - 1) < k:
            band += 1
        upper = min(band + 1, bands - 1)
        here, there = 0.5 * (edges[band] + edges[band + 1] - 1), 0.5 * (edges[upper] + edges[upper + 1] - 1)
        share = np.float32(min(max((k - here) / max(there - here, 1.0), 0.0), 1.0))
        rest = _ONE - share
        own, low, high = root[k], floor[band], floor[upper]
        for lane in range(own.size):
            own[lane] /= rest * low[lane] + share * high[lane]


@wide_kernel
def looked_up(own: Lanes, table: Lanes, step: Steps, odds: Lanes, doubt: Lanes) -> None:
    """Odds and doubt of some heights, from the table; apart from other sums, which then run many in one instruction.

    Shapes: own (s,), fourth root of the height; step (s,), spare -> odds, doubt (s,)
    Valid: as `peak_table`.
    Source: `peak_table`.
    """
    scale, end = np.float32(ROOTS_PER_UNIT), np.float32(table.shape[1] - 1)
    all_odds, doubts = table[0], table[1]
    for lane in range(own.size):
        step[lane] = np.int32(min(own[lane] * scale, end) + _HALF)
    for lane in range(own.size):
        odds[lane] = all_odds[np.uint32(step[lane])]
        doubt[lane] = doubts[np.uint32(step[lane])]


@wide_kernel
def summits(below: Lanes, own: Lanes, above: Lanes, bin_number: int, wide_hz: float, at_hz: Lanes) -> None:
    """Frequency of a peak that stands in a bin, Hz.

    at = (k + (a - c) / (2 (a - 2 b + c))) bin
    Shapes: (s,) each
    Valid: as `peaks`; where no peak stands, within half a bin.
    Source: `peaks`.
    """
    middle, wide = np.float32(bin_number), np.float32(wide_hz)
    for lane in range(own.size):
        before, here, after = below[lane], own[lane], above[lane]
        bend = min(before - here + (after - here), -_TINY)
        at_hz[lane] = (middle + min(max(_HALF * (before - after) / bend, -_HALF), _HALF)) * wide


@wide_kernel
def from_above(own: Lanes, above: Lanes, its_hz: Lanes, higher_hz: Lanes, top: Lanes, hz: Lanes, out: Lanes) -> None:
    """What the bin above has where that one is higher, else what the bin itself has: frequency, Hz, and height.

    Shapes: (s,) each; higher_hz and top what the bin above has -> hz, out
    Valid: any.
    Source: definition.
    """
    for lane in range(own.size):
        higher = above[lane] > own[lane]
        one_hz, other_hz, one, other = its_hz[lane], higher_hz[lane], own[lane], top[lane]
        hz[lane] = other_hz if higher else one_hz
        out[lane] = other if higher else one


@wide_kernel
def from_below(below: Lanes, own: Lanes, above: Lanes, lower_hz: Lanes, top: Lanes, hz: Lanes, out: Lanes) -> None:
    """What the bin below has where that one is higher and the bin above is not, else what the bin itself has.

    Shapes: as `from_above`, lower_hz and top what the bin below has; hz, out changed
    Valid: any.
    Source: definition.
    """
    for lane in range(own.size):
        lower = (below[lane] > own[lane]) & (above[lane] <= own[lane])
        one_hz, other_hz, one, other = hz[lane], lower_hz[lane], out[lane], top[lane]
        hz[lane] = other_hz if lower else one_hz
        out[lane] = other if lower else one


@wide_kernel
def peaks(root: Lanes, bins: Bins, table: Lanes, at_hz: Lanes, doubt: Lanes, odds: Lanes) -> None:
    """Frequency, Hz, its variance from noise, Hz squared, and odds of the peak whose hill each bin stands on.

    at = (k + (a - c) / (2 (a - 2 b + c))) bin, a b c = p[k-1], p[k], p[k+1]; a bin on a slope takes over what its
    higher neighbour has, first from above, then from below
    Shapes: root (k, s), fourth root of power over its own noise floor -> at_hz, doubt, odds (k, s)
    Valid: Hann window; a hill of noise is a peak like any other; the bins at both ends are no summits.
    Source: parabola through three points, any numerical methods textbook; of a root of the power, whose peak a parabola
    fits better than that of the power itself: Werner and Germain, Sinusoidal parameter estimation using quadratic
    interpolation around power-scaled magnitude spectrum peaks, 2016, from memory.
    """
    first, last, side = bins.first, root.shape[0] - 1, root.shape[1]
    # Odds and doubt follow from the height of the summit, so that alone is handed down the hill beside the frequency.
    tops, its_hz, step = np.empty_like(root), np.empty(side, np.float32), np.empty(side, np.int32)
    for k in (first, last):
        for lane in range(side):
            at_hz[k, lane] = np.float32(k * bins.wide_hz)
            tops[k, lane] = _NONE
        looked_up(tops[k], table, step, odds[k], doubt[k])
    for k in range(last - 1, first, -1):
        summits(root[k - 1], root[k], root[k + 1], k, bins.wide_hz, its_hz)
        from_above(root[k], root[k + 1], its_hz, at_hz[k + 1], tops[k + 1], at_hz[k], tops[k])
    for k in range(first + 1, last):
        from_below(root[k - 1], root[k], root[k + 1], at_hz[k - 1], tops[k - 1], at_hz[k], tops[k])
        looked_up(tops[k], table, step, odds[k], doubt[k])


@wide_kernel
def hills_filled(root: Lanes, bins: Bins, table: Lanes, hills: Hills) -> None:
    """Fill one window's part of the hills from the fourth roots of its powers over their noise floors.

    Shapes: root (g, k, s)
    Valid: as `peaks`.
    Source: as `peaks`.
    """
    start, stop = bins.row, bins.row + root.shape[1]
    for group in range(root.shape[0]):
        peaks(
            root[group], bins, table, hills.at_hz[group, start:stop], hills.doubt[group, start:stop],
            hills.odds[group, start:stop],
        )  # fmt: skip
