"""Samples of a stream thinned to what a line needs, and the noise floor of its spectrum."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import wide_kernel
from steadyhead.physics.sound_peaks import over_floor

Samples = NDArray[np.float32]
Spectrum = NDArray[np.complex64]
Counts = NDArray[np.int64]
TURNS = 9
_LEAST = np.float32(1e-30)


class Window(NamedTuple):
    """One window over a stream: its weights, its Fourier length, the bands of its noise floor, its first bin.

    The floor is that of a quantile of each band, at least `least_ratio`, fourth root of power.
    Shapes: weights (w,), edges (b + 1,)
    """

    weights: Samples
    length: int
    edges: Counts
    first_bin: int
    quantile_share: float
    least_ratio: float


@wide_kernel
def thinned(samples: Samples, taps: Samples, first: int, thin: int, out: Samples) -> None:
    """Keep every `thin`-th sample of a stream, each the sum of its neighbours weighed by the taps of a low pass.

    y[i] = sum_j h[j] x[first + i thin + j]
    Shapes: samples (m,), taps (h,), out (n,), first + (n - 1) thin + h <= m
    Valid: taps that pass nothing above half the new rate into the band that is used.
    Source: decimation by a filter of finite response, any signal processing textbook.
    """
    for i in range(out.size):
        piece = samples[first + i * thin :]
        total = np.float32(0.0)
        for j in range(taps.size):
            total += taps[j] * piece[j]
        out[i] = total


@wide_kernel
def windowed(samples: Samples, starts: Counts, weights: Samples, out: Samples) -> None:
    """Cut pieces out of a stream, each weighed by a window and followed by zeros.

    Shapes: samples (m,), starts (n,), weights (w,) -> out (n, l), l >= w
    Valid: starts 0 to m - w.
    Source: definition.
    """
    for row in range(starts.size):
        piece, into = samples[starts[row] :], out[row]
        for k in range(weights.size):
            into[k] = piece[k] * weights[k]
        for k in range(weights.size, into.size):
            into[k] = np.float32(0.0)


@wide_kernel
def roots(spectrum: Spectrum, first_bin: int, root: Samples) -> None:
    """Fourth root of the power of each bin, instants turned to the inner side.

    Shapes: spectrum (s, l) -> root (k, s), k <= l
    Valid: any spectrum.
    Source: definition.
    """
    for start in range(first_bin, root.shape[0], 16):
        stop = min(start + 16, root.shape[0])
        for lane in range(spectrum.shape[0]):
            piece = spectrum[lane, start:stop]
            for k in range(piece.size):
                real, imaginary = piece[k].real, piece[k].imag
                root[start + k, lane] = math.sqrt(math.sqrt(max(real * real + imaginary * imaginary, _LEAST)))


@wide_kernel
def counted_under(part: Samples, limit: Samples, below: Samples) -> None:
    """Count the bins of each instant that lie under its limit, eight at a time so that no sum waits for the last.

    Shapes: part (k, s), limit (s,) -> below (s,), which the count is added to
    Valid: fewer than 2^24 bins, which single precision still counts.
    Source: definition.
    """
    one, none = np.float32(1.0), np.float32(0.0)
    whole = part.shape[0] - part.shape[0] % 8
    for k in range(0, whole, 8):
        a, b, c, d, e, f, g, h = (
            part[k], part[k + 1], part[k + 2], part[k + 3], part[k + 4], part[k + 5], part[k + 6], part[k + 7],
        )  # fmt: skip
        for lane in range(below.size):
            most = limit[lane]
            first = (one if a[lane] < most else none) + (one if b[lane] < most else none)
            second = (one if c[lane] < most else none) + (one if d[lane] < most else none)
            third = (one if e[lane] < most else none) + (one if f[lane] < most else none)
            last = (one if g[lane] < most else none) + (one if h[lane] < most else none)
            below[lane] += (first + second) + (third + last)
    for k in range(whole, part.shape[0]):
        own = part[k]
        for lane in range(below.size):
            below[lane] += one if own[lane] < limit[lane] else none


@wide_kernel
def noise_floors(root: Samples, edges: Counts, quantile_share: float, least_ratio: float, floor: Samples) -> None:
    """Fourth root of the mean power of the noise in each band of bins, from a quantile that lines do not reach.

    floor = (quantile / -ln(1 - share))^(1/4), the quantile found by halvings of what lies under mean / (1 - share)
    Shapes: root (k, s), edges (b + 1,) -> floor (b, s), at least `least_ratio`, of full scale
    Valid: noise of exponentially distributed power; the quantile of the roots within 1 / 300 of their mean.
    Source: quantile of the exponential distribution, Markov's inequality, any statistics textbook.
    """
    count = root.shape[1]
    low, high = np.empty(count, np.float32), np.empty(count, np.float32)
    middle, below = np.empty(count, np.float32), np.empty(count, np.float32)
    share = np.float32((-math.log(1.0 - quantile_share)) ** -0.25)
    none, half, floor_least = np.float32(0.0), np.float32(0.5), np.float32(least_ratio)
    for band in range(floor.shape[0]):
        part = root[edges[band] : edges[band + 1]]
        wanted = np.float32(quantile_share * (part.shape[0] - 1) + 0.5)
        for lane in range(count):
            low[lane] = high[lane] = none
        for k in range(part.shape[0]):
            own = part[k]
            for lane in range(count):
                high[lane] += own[lane]
        for lane in range(count):
            high[lane] *= np.float32(1.0 / (part.shape[0] * (1.0 - quantile_share)))
        for _ in range(TURNS):
            for lane in range(count):
                middle[lane] = half * (low[lane] + high[lane])
                below[lane] = none
            counted_under(part, middle, below)
            for lane in range(count):
                fewer = below[lane] < wanted
                start, end, between = low[lane], high[lane], middle[lane]
                low[lane] = between if fewer else start
                high[lane] = end if fewer else between
        for lane in range(count):
            floor[band, lane] = max(half * (low[lane] + high[lane]) * share, floor_least)


@wide_kernel
def over_noise(spectrum: Spectrum, window: Window, root: Samples) -> None:
    """Fourth root of the power of each bin over its noise floor, of pieces of a stream.

    Shapes: spectrum (s, l) -> root (k, s), filled from the window's first bin on
    Valid: as `noise_floors`.
    Source: as `noise_floors` and `over_floor`.
    """
    floor = np.empty((window.edges.size - 1, spectrum.shape[0]), np.float32)
    roots(spectrum, window.edges[0], root)
    noise_floors(root, window.edges, window.quantile_share, window.least_ratio, floor)
    over_floor(root, floor, window.edges, window.first_bin)
