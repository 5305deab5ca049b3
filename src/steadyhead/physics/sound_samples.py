"""Samples of a stream thinned to what a line needs, and the noise floor of its spectrum."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import wide_kernel

Samples = NDArray[np.float32]
Spectrum = NDArray[np.complex64]
Counts = NDArray[np.int64]
TURNS = 9
_LEAST = np.float32(1e-30)


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
def windowed(samples: Samples, starts: Counts, window: Samples, out: Samples) -> None:
    """Cut pieces out of a stream, each weighed by a window and followed by zeros.

    Shapes: samples (m,), starts (n,), window (w,) -> out (n, l), l >= w
    Valid: starts 0 to m - w.
    Source: definition.
    """
    for row in range(starts.size):
        piece, into = samples[starts[row] :], out[row]
        for k in range(window.size):
            into[k] = piece[k] * window[k]
        for k in range(window.size, into.size):
            into[k] = np.float32(0.0)


@wide_kernel
def roots(spectrum: Spectrum, first_row: int, first_bin: int, root: Samples) -> None:
    """Fourth root of the power of each bin, instants turned to the inner side.

    Shapes: spectrum (n, l), of which s rows from the first are taken, the last again where there are no more
    -> root (k, s), k <= l
    Valid: any spectrum.
    Source: definition.
    """
    last, count = spectrum.shape[0] - 1, root.shape[1]
    for start in range(first_bin, root.shape[0], 16):
        stop = min(start + 16, root.shape[0])
        for lane in range(count):
            piece = spectrum[min(first_row + lane, last), start:stop]
            for k in range(piece.size):
                real, imaginary = piece[k].real, piece[k].imag
                root[start + k, lane] = math.sqrt(math.sqrt(max(real * real + imaginary * imaginary, _LEAST)))


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
    one, none, half, floor_least = np.float32(1.0), np.float32(0.0), np.float32(0.5), np.float32(least_ratio)
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
            for k in range(part.shape[0]):
                own = part[k]
                for lane in range(count):
                    below[lane] += one if own[lane] < middle[lane] else none
            for lane in range(count):
                fewer = below[lane] < wanted
                start, end, between = low[lane], high[lane], middle[lane]
                low[lane] = between if fewer else start
                high[lane] = end if fewer else between
        for lane in range(count):
            floor[band, lane] = max(half * (low[lane] + high[lane]) * share, floor_least)


@wide_kernel
def roots_and_floors(
    spectrum: Spectrum, edges: Counts, quantile_share: float, least_ratio: float, root: Samples, floor: Samples
) -> None:  # fmt: skip
    """Fourth roots of the power of each bin of many instants, s of them side by side, and of each band's noise floor.

    Shapes: spectrum (n, l), edges (b + 1,) -> root (g, k, s), floor (g, b, s), g s >= n
    Valid: as `noise_floors`.
    Source: as `noise_floors`.
    """
    for group in range(root.shape[0]):
        roots(spectrum, group * root.shape[2], edges[0], root[group])
        noise_floors(root[group], edges, quantile_share, least_ratio, floor[group])
