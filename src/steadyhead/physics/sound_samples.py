"""Samples of a stream thinned to what a line needs, and the noise floor of its spectrum."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import wide_kernel

Samples = NDArray[np.float32]
Spectrum = NDArray[np.complex64]
Counts = NDArray[np.int64]
TURNS = 12
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
        at = first + i * thin
        total = np.float32(0.0)
        for j in range(taps.size):
            total += taps[j] * samples[at + j]
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
def powers(spectrum: Spectrum, first_bin: int, power: Samples) -> None:
    """Power of each bin, instants turned to the inner side.

    Shapes: spectrum (n, l) -> power (k, n), k <= l
    Valid: any spectrum.
    Source: definition.
    """
    for start in range(first_bin, power.shape[0], 16):
        for row in range(power.shape[1]):
            for k in range(start, min(start + 16, power.shape[0])):
                real, imaginary = spectrum[row, k].real, spectrum[row, k].imag
                power[k, row] = max(real * real + imaginary * imaginary, _LEAST)


@wide_kernel
def noise_floors(power: Samples, edges: Counts, quantile_share: float, floor: Samples) -> None:
    """Mean power of the noise in each band of bins, from a quantile that lines do not reach.

    floor = quantile / -ln(1 - share); the quantile by twelve halvings of the logarithm between least and most
    Shapes: power (k, n), edges (b + 1,) -> floor (b, n)
    Valid: noise of exponentially distributed power, within 1 % for bands that span less than 1 : 10^17.
    Source: quantile of the exponential distribution, any statistics textbook.
    """
    count = power.shape[1]
    low, high = np.empty(count, np.float32), np.empty(count, np.float32)
    middle, below = np.empty(count, np.float32), np.empty(count, np.float32)
    share = np.float32(1.0 / -math.log(1.0 - quantile_share))
    one, none = np.float32(1.0), np.float32(0.0)
    for band in range(floor.shape[0]):
        start, stop = edges[band], edges[band + 1]
        wanted = np.float32(quantile_share * (stop - start - 1) + 0.5)
        for row in range(count):
            low[row] = high[row] = power[start, row]
        for k in range(start + 1, stop):
            for row in range(count):
                low[row] = min(low[row], power[k, row])
                high[row] = max(high[row], power[k, row])
        for _ in range(TURNS):
            for row in range(count):
                middle[row] = math.sqrt(low[row]) * math.sqrt(high[row])
                below[row] = none
            for k in range(start, stop):
                for row in range(count):
                    below[row] += one if power[k, row] < middle[row] else none
            for row in range(count):
                fewer = below[row] < wanted
                low[row] = middle[row] if fewer else low[row]
                high[row] = high[row] if fewer else middle[row]
        for row in range(count):
            floor[band, row] = math.sqrt(low[row]) * math.sqrt(high[row]) * share
