"""Spectra of three lengths at every instant, each over its own noise floor."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import Looks, Peaks, Three

Samples = NDArray[np.float32]

HOP_S = 0.025
WINDOWS_S = (0.24, 0.12, 0.06)
BORDERS_HZ = (260.0, 1600.0)
LOWEST_HZ = 28.0
"""Below this rumble of wind and handling covers every line; common practice, no source."""
HIGHEST_HZ = 16000.0
STRAY_SHARE = 0.03
WANDER_SHARE = 0.0008
_FLOOR_QUANTILE = 0.4
_FLOOR_BINS = 24
_QUIET = 1e-14
"""Power of a sample below which nothing was recorded: far under one step of 24 bits."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """One window of the three: its samples, its Fourier length, the bins kept, and the bands of its noise floor."""

    samples: int
    length: int
    bins: int
    low_bin: int
    window: Samples
    edges: NDArray[np.int64]

    @cached_property
    def between(self) -> NDArray[np.float32]:
        """How the floor of a bin is made of the floors of the bands. Shapes: (bands, bins)."""
        middles = 0.5 * (self.edges[:-1] + self.edges[1:] - 1)
        return np.stack(
            [np.interp(np.arange(self.bins), middles, row) for row in np.eye(middles.size)]
        ).astype(np.float32)  # fmt: skip

    def over_floor(self, frames: Samples) -> NDArray[np.float32]:
        """Return the power of each bin over the noise floor, which is 1 on the mean where there is only noise.

        Equation: floor = 40 % quantile of a band / 0.511, joined by straight lines in the logarithm.
        Shapes: frames (n, samples) -> (n, bins)
        Source: the 40 % quantile of an exponential distribution is 0.511 of its mean, -ln(1 - 0.4).
        """
        from scipy.fft import rfft

        spectrum = rfft(frames * self.window, self.length, axis=1)[:, : self.bins]
        power = (spectrum.real**2 + spectrum.imag**2).astype(np.float32)
        bands = [
            np.quantile(power[:, a:b], _FLOOR_QUANTILE, axis=1)
            for a, b in zip(self.edges[:-1], self.edges[1:], strict=True)
        ]
        floor = np.maximum(np.stack(bands, axis=1) / -np.log1p(-_FLOOR_QUANTILE), _QUIET * self.samples)
        joined = np.exp(np.log(floor).astype(np.float32) @ self.between)
        joined[:, : self.low_bin] = np.inf
        return np.asarray(power / joined, np.float32)


def look(rate_hz: float, window_s: float, top_hz: float) -> Look:
    """Return one window for a sample rate, with the bins up to `top_hz`."""
    from scipy.fft import next_fast_len

    samples = max(16, round(window_s * rate_hz))
    length = next_fast_len(2 * samples, real=True)
    bins = min(int(top_hz / rate_hz * length) + 8, length // 2)
    hann = np.hanning(samples + 2)[1:-1]
    edges, at = [0], 0
    while at < bins:
        at += max(_FLOOR_BINS, int(0.12 * at))
        edges.append(min(at, bins))
    if len(edges) > 2 and edges[-1] - edges[-2] < _FLOOR_BINS // 2:
        del edges[-2]
    return Look(
        samples=samples,
        length=length,
        bins=bins,
        low_bin=int(0.5 * LOWEST_HZ / rate_hz * length),
        window=(hann / np.sqrt(np.sum(hann**2))).astype(np.float32),
        edges=np.asarray(edges, np.int64),
    )


class Hills(NamedTuple):
    """The peak that each bin belongs to, for each window. Shapes: three of (n, bins) each."""

    at_hz: Three
    height: Three
    odds: Three

    def with_more(self, more: "Hills") -> "Hills":
        """Return these instants and later ones."""
        return Hills(
            *(_each(np.concatenate(pair) for pair in zip(a, b, strict=True)) for a, b in zip(self, more, strict=True))
        )

    def without(self, count: int) -> "Hills":
        """Return what stays when the first instants are done."""
        return Hills(*(_each(part[count:].copy() for part in three) for three in self))


def _each(parts: Iterable[Peaks]) -> Three:
    long, middle, short = parts
    return long, middle, short


class Spectra:
    """The three windows of one sample rate."""

    def __init__(self, rate_hz: float) -> None:
        top = min(HIGHEST_HZ, 0.46 * rate_hz)
        tops = (min(top, BORDERS_HZ[0] + 40.0), min(top, BORDERS_HZ[1] + 80.0), top)
        self.rate_hz = rate_hz
        self.looks = tuple(look(rate_hz, window, high) for window, high in zip(WINDOWS_S, tops, strict=True))
        long_bin, middle_bin, short_bin = (rate_hz / one.length for one in self.looks)
        self.for_kernels = Looks(
            LOWEST_HZ, *BORDERS_HZ, top, *WINDOWS_S, long_bin, middle_bin, short_bin, HOP_S, STRAY_SHARE, WANDER_SHARE
        )

    def peaks(self, samples: Samples, centres: NDArray[np.int64]) -> "Hills":
        """Return the peaks of every window at some instants.

        Shapes: samples (m,), centres (n,) -> three of (n, bins) each
        Valid: every centre half the longest window or more from either end.
        """
        from steadyhead.physics.sound_comb import peaks

        found = []
        for one in self.looks:
            first = centres - one.samples // 2
            frames = np.lib.stride_tricks.sliding_window_view(samples, one.samples)[first]
            power = one.over_floor(frames)
            made = (np.empty_like(power), np.empty_like(power), np.empty_like(power))
            peaks(power, self.rate_hz / one.length, STRAY_SHARE, *made)
            found.append(made)
        return Hills(*((a, b, c) for a, b, c in zip(*found, strict=True)))
