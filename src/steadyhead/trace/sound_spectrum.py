"""Spectra of three lengths at every instant, each over its own noise floor."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.sound_comb import FULL_SIDE, Looks
from steadyhead.physics.sound_peaks import Bins, Hills
from steadyhead.physics.sound_samples import Window

Samples = NDArray[np.float32]

HOP_S = 0.025
WINDOWS_S = (0.24, 0.12, 0.06)
BORDERS_HZ = (260.0, 1600.0)
LEAST_RATES_HZ = (1250.0, 5000.0)
"""Samples a second that the long and the middle window keep at least."""
PADDED = (1.5, 1.5, 1.0)
"""Fourier length of each window over its own, at least; padded further they claimed no more, and took longer."""
LOWEST_HZ = 28.0
"""Below this rumble of wind and handling covers every line; common practice, no source."""
HIGHEST_HZ = 16000.0
SIDE_BY_SIDE = FULL_SIDE
"""Instants that are worked on together, at most: more do not fit near the processor, fewer fill no instruction."""
STRAY_SHARE = 0.03
WANDER_SHARE = 0.0008
_FLOOR_QUANTILE = 0.4
_FLOOR_BINS = 24
_QUIET = 1e-14
"""Power of a sample below which nothing was recorded: far under one step of 24 bits."""


@dataclass(frozen=True, kw_only=True)
class Stream:
    """Samples thinned for one window: every `thin`-th of them, after a filter."""

    thin: int
    taps: Samples

    def of(self, samples: Samples, first: int) -> tuple[Samples, int]:
        """Return what stays of samples, the first of which has a number, and the number of the first that stays.

        A sample's number counts from the start of the recording, so that small blocks give what a large one gives.
        """
        from steadyhead.physics.sound_samples import thinned

        if self.thin == 1:
            return samples, first
        kept_first = -(-first // self.thin)
        at = kept_first * self.thin - first
        half = np.zeros(self.taps.size // 2, np.float32)
        out = np.empty(max(0, (samples.size - 1 - at) // self.thin + 1), np.float32)
        thinned(np.concatenate((half, samples, half)), self.taps, at, self.thin, out)
        return out, kept_first


def stream(rate_hz: float, least_hz: float, top_hz: float) -> Stream:
    """Return how samples are thinned to `least_hz` or more: nothing folds down below `top_hz`, by a thousandth.

    Equation: sinc cut by a Kaiser window, whose length is 3.7 rate / (new rate - 2 top)
    Source: Kaiser's formula, any signal processing textbook; 60 dB, beta 5.65, from memory.
    """
    thin = max(1, int(rate_hz / least_hz))
    half = int(np.ceil(0.5 * 3.7 * thin / (1.0 - 2.0 * top_hz * thin / rate_hz))) if thin > 1 else 0
    at = np.arange(-half, half + 1)
    taps = np.sinc(at / thin) * np.kaiser(at.size, 5.65)
    return Stream(thin=thin, taps=(taps / taps.sum()).astype(np.float32))


@dataclass(frozen=True, kw_only=True)
class Look:
    """One window of the three: its samples, the bins kept, their width, and what is done with the samples.

    `thin` is how many samples of the recording one of its own stands for; `table` is that of `peak_table`.
    """

    thin: int
    samples: int
    bin_hz: float
    bins: int
    window: Window
    table: NDArray[np.float32]

    def fill(self, channels: list[Samples], starts: NDArray[np.int64], row: int, hills: Hills) -> None:
        """Fill in the peak that each bin belongs to, for windows that begin at some samples; its bins begin at a row.

        Equation: floor = 40 % quantile of a band / 0.511, joined by straight lines in the fourth root.
        Shapes: each channel (m,), starts (s,), as many as hills lie side by side
        Source: the 40 % quantile of an exponential distribution is 0.511 of its mean, -ln(1 - 0.4).
        """
        from scipy.fft import rfft

        from steadyhead.physics.sound_peaks import hills_filled
        from steadyhead.physics.sound_samples import over_noise, windowed

        sources, _, side = hills.at_hz.shape
        low = self.window.first_bin
        pieces = np.empty((starts.size, self.window.length), np.float32)
        root = np.empty((sources, self.bins, side), np.float32)
        for number, samples in enumerate(channels):
            windowed(samples, starts, self.window.weights, pieces)
            over_noise(rfft(pieces, axis=1), self.window, root[number])
        if sources > len(channels):
            root[-1, low:] = together(root[:-2, low:])
        hills_filled(root, Bins(low, row, self.bin_hz), self.table, hills)


def together(roots: Samples) -> Samples:
    """Return the fourth root of the mean power of several channels, each over its own noise floor.

    Powers cannot cancel each other as samples do, and a loud channel weighs no more than a faint one.
    Shapes: (c, k, s) -> (k, s)
    """
    return np.asarray(np.sqrt(np.sqrt(np.mean(np.square(np.square(roots)), axis=0))), np.float32)


def look(rate_hz: float, thin: int, window_s: float, padded: float, low_hz: float, top_hz: float) -> Look:
    """Return one window for a sample rate, every `thin`-th sample of which is kept, with the bins of its lines."""
    from scipy.fft import next_fast_len

    from steadyhead.physics.sound_peaks import HIGHEST_ROOT, ROOTS_PER_UNIT, peak_table

    rate_hz /= thin
    samples = max(16, int(window_s * rate_hz))
    length = next_fast_len(round(padded * samples), real=True)
    bins = min(int(top_hz / rate_hz * length) + 8, length // 2)
    hann = np.hanning(samples + 2)[1:-1]
    low_bin = int(low_hz / rate_hz * length)
    edges, at = [0], 0
    while at < bins:
        at += max(_FLOOR_BINS, int(0.12 * at))
        edges.append(min(at, bins))
    if len(edges) > 2 and edges[-1] - edges[-2] < _FLOOR_BINS // 2:
        del edges[-2]
    edges = edges[max(0, int(np.searchsorted(edges, low_bin, side="right")) - 2) :]
    table = np.empty((2, int(HIGHEST_ROOT * ROOTS_PER_UNIT) + 1))
    peak_table(window_s, STRAY_SHARE, table)
    return Look(
        thin=thin,
        samples=samples,
        bin_hz=rate_hz / length,
        bins=bins,
        window=Window(
            weights=(hann / np.sqrt(np.sum(hann**2))).astype(np.float32),
            length=length,
            edges=np.asarray(edges, np.int64),
            first_bin=low_bin,
            quantile_share=_FLOOR_QUANTILE,
            least_ratio=float((_QUIET * samples) ** 0.25),
        ),
        table=table.astype(np.float32),
    )


class Spectra:
    """The three windows of one sample rate, each over samples no closer than its lines need."""

    def __init__(self, rate_hz: float) -> None:
        top = min(HIGHEST_HZ, 0.46 * rate_hz)
        lows = (0.5 * LOWEST_HZ, 0.85 * BORDERS_HZ[0], 0.95 * BORDERS_HZ[1])
        tops = (min(top, BORDERS_HZ[0] + 40.0), min(top, BORDERS_HZ[1] + 80.0), top)
        self.rate_hz = rate_hz
        self.middle = stream(rate_hz, LEAST_RATES_HZ[1], tops[1])
        self.long = stream(rate_hz / self.middle.thin, LEAST_RATES_HZ[0], tops[0])
        thins = (self.middle.thin * self.long.thin, self.middle.thin, 1)
        self.looks = tuple(look(rate_hz, *each) for each in zip(thins, WINDOWS_S, PADDED, lows, tops, strict=True))
        self.half = (self.looks[0].samples // 2 + 2) * self.looks[0].thin
        self.rows: list[int] = np.cumsum([0, *(one.bins for one in self.looks)]).tolist()
        long_bin, middle_bin, short_bin = (one.bin_hz for one in self.looks)
        _, middle_row, short_row, rows = self.rows
        self.for_kernels = Looks(
            LOWEST_HZ, *BORDERS_HZ, top, *WINDOWS_S, long_bin, middle_bin, short_bin, middle_row, short_row, rows,
            HOP_S, WANDER_SHARE,
        )  # fmt: skip

    def peaks(self, channels: Samples, first: int, centres: NDArray[np.int64]) -> Hills:
        """Return the peaks of every window at some instants: of each channel, and of the powers of several at the end.

        Shapes: channels (c, m), of several ones the last their mean, the first sample with a number; centres (n,),
        numbers too
        Valid: every centre `half` samples or more from either end; n at most SIDE_BY_SIDE.
        """
        streams: tuple[list[Samples], ...] = ([], [], [])
        firsts = (0, 0, 0)
        for samples in channels:
            middle, middle_first = self.middle.of(samples, first)
            long, long_first = self.long.of(middle, middle_first)
            for stream, kept in zip(streams, (long, middle, samples), strict=True):
                stream.append(kept)
            firsts = (long_first, middle_first, first)
        count = len(channels)
        shape = (count + (count > 1), self.rows[-1], min(SIDE_BY_SIDE, -(-centres.size // 16) * 16))
        hills = Hills(*(np.empty(shape, np.float32) for _ in range(3)))
        # The last instant again where fewer are asked for than lie side by side.
        full = centres[np.minimum(np.arange(shape[2]), centres.size - 1)]
        for one, row, kept, kept_first in zip(self.looks, self.rows[:-1], streams, firsts, strict=True):
            one.fill(kept, np.rint(full / one.thin).astype(np.int64) - kept_first - one.samples // 2, row, hills)
        return hills


@lru_cache(maxsize=4)
def spectra(rate_hz: float) -> Spectra:
    """Return the three windows of a sample rate; they hold nothing of what is heard."""
    return Spectra(rate_hz)
