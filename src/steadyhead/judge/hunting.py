"""Looks for a steady oscillation of the speed in one window, and says how sure it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi, sqrt

import numpy as np

from steadyhead.judge.oscillation import autocorrelation, decay_ratio
from steadyhead.judge.pieces import deviation
from steadyhead.judge.transient import SLOW_SENSOR_S
from steadyhead.trace.trace import Series

LOWEST_HZ = 0.5
HIGHEST_HZ = 15.0
LINE_HALF_WIDTH_HZ = 0.25
NYQUIST_SHARE = 0.9
FEWEST_ROWS = 16
LADDER = (16, 18, 20, 22, 24, 27, 30)
"""Sizes of the windows, and twice, four, eight times as much: a transform of small factors is several times quicker."""
AT_ONCE = 32
"""Windows of one size worked out together: few enough to stay in the fast memory."""
ENOUGH_HZ = 60.0
LEAST_OF_INTEREST_PERCENT = 0.1
HANN_SPREAD = 35.0 / 18.0
"""How many bins of white noise under a Hann window vary as one: 1 + 2 (4/9 + 1/36), F. J. Harris, 1978, from memory."""
BY_CHANCE = 0.01
"""A line that noise alone makes with this chance or a greater one may be nothing at all: ten windows are usual."""
MEDIAN_OF_NOISE = 0.69
"""Median over mean of the power of white noise in one bin: ln 2."""


@dataclass(frozen=True, kw_only=True)
class SlowSwing:
    """The strongest line below the band. Amplitude in percent of the set speed, half of peak to peak."""

    frequency_hz: float
    amplitude_percent: float
    regular: float | None


@dataclass(frozen=True, kw_only=True)
class Swing:
    """The strongest line in the speed of one window. Amplitude in percent of the set speed, half of peak to peak."""

    frequency_hz: float
    amplitude_percent: float
    amplitude_percent_low: float
    """What is left of it without the noise that lies in the same bins; 0 where noise alone may make as much."""
    amplitude_percent_high: float
    """What it may really be: a speed sensor usually smooths over up to one sample interval."""
    regular: float | None
    """Decay ratio of the autocorrelation; above 0.5 the loop swings of itself. None for a swing too small to matter."""
    noise_percent: float
    """Effective value of the sensor noise, read from the floor of the spectrum."""
    chance: float
    """How likely noise as strong as that floor alone makes a line as strong anywhere in the band, 0 to 1."""
    slower: SlowSwing | None = None
    """The strongest line below the band, where there is one; its flank is no part of this one."""

    @property
    def behind_slow_sensor_percent(self) -> float:
        """What it may really be behind a sensor of a first-order lag of SLOW_SENSOR_S: more, the quicker it is."""
        return self.amplitude_percent * sqrt(1.0 + (2.0 * pi * self.frequency_hz * SLOW_SENSOR_S) ** 2)


def swing(time_s: Series, speed_rpm: Series, set_rpm: float) -> Swing | None:
    """Return the strongest line of one window; see `swings`."""
    return swings(time_s, speed_rpm, [slice(0, time_s.size)], [set_rpm])[0]


def swings(time_s: Series, speed_rpm: Series, parts: Sequence[slice], set_rpm: Sequence[float]) -> list[Swing | None]:
    """Return the strongest line between 0.5 and 15 Hz in each window, None where it is too short or too sparse.

    Equation: amplitude = sqrt(2) times the effective value within 0.25 Hz of the line (at least two bins), from
    the spectrum under a Hann window, trend taken out.
    Shapes: time_s (n,), speed_rpm (n,), m parts -> m swings.
    Valid: four periods or more of the lowest line inside the window; lines above half the sampling rate are not seen
    (or are seen at a wrong frequency: a sampled log cannot tell). Windows of like length are worked out together, on
    eight ninths of their rows or more. A line below the band, as a slow hand on the stick makes, has a flank that
    reaches into it: the flank is left out, and the line told in `slower`.
    """
    found: list[Swing | None] = [None] * len(parts)
    time_s, speed_rpm, parts = _thinned(time_s, speed_rpm, parts)
    alike: dict[int, list[int]] = {}
    for k, part in enumerate(parts):
        rows = _usual_rows(part.stop - part.start)
        if rows >= FEWEST_ROWS and set_rpm[k] > 0.0 and time_s[part.start + rows - 1] > time_s[part.start]:
            alike.setdefault(rows, []).append(k)
    for rows, members in alike.items():
        for first in range(0, len(members), AT_ONCE):
            some = members[first : first + AT_ONCE]
            start = np.array([parts[k].start for k in some])
            span = time_s[start + rows - 1] - time_s[start]
            grid = time_s[start][:, None] + span[:, None] * np.linspace(0.0, 1.0, rows)
            level = np.array([set_rpm[k] for k in some])[:, None]
            x = without_trend(np.interp(grid, time_s, speed_rpm) / level * 100.0)
            power = _power(x)
            for k, line in zip(some, _strongest(x, power, span), strict=True):
                found[k] = line
    return found


def band_of(time_s: Series, speed_rpm: Series, set_rpm: float) -> tuple[Series, Series]:
    """Return each frequency of the band, Hz, and how strong a line is there, as `swings` takes it, percent.

    Shapes: time_s (n,), speed_rpm (n,) -> (k,), (k,)
    Valid: n of FEWEST_ROWS or more, time increasing.
    """
    rows = _usual_rows(time_s.size)
    span = float(time_s[rows - 1] - time_s[0])
    grid = time_s[0] + span * np.linspace(0.0, 1.0, rows)
    power = _power(without_trend(np.interp(grid, time_s, speed_rpm) / set_rpm * 100.0)[None, :])
    first, last, around = _bins(span, rows, power.shape[-1])
    percent = np.sqrt(2.0 * np.maximum(_band_sums(power, around, first, last)[0], 0.0))
    return np.arange(first, last) * (rows - 1) / (rows * span), percent


def _thinned(time_s: Series, speed_rpm: Series, parts: Sequence[slice]) -> tuple[Series, Series, Sequence[slice]]:
    """Return a quick log averaged to about ENOUGH_HZ rows a second; lines above 15 Hz are not looked for."""
    if time_s.size < 2 or not parts:
        return time_s, speed_rpm, parts
    rate = (time_s.size - 1) / float(time_s[-1] - time_s[0]) if time_s[-1] > time_s[0] else 0.0
    count = int(rate / ENOUGH_HZ)
    if count < 2:
        return time_s, speed_rpm, parts
    rows = time_s.size // count * count
    whole = [slice(-(-part.start // count), min(part.stop, rows) // count) for part in parts]
    share = np.full(count, 1.0 / count)
    thin = (np.einsum("ij,j->i", values[:rows].reshape(-1, count), share) for values in (time_s, speed_rpm))
    time_s, speed_rpm = thin
    return time_s, speed_rpm, whole


def _usual_rows(count: int) -> int:
    """Return the next lower size of the ladder, so that few sizes serve all windows; up to a ninth is left out."""
    if count < FEWEST_ROWS:
        return 0
    times = 1 << (count // FEWEST_ROWS).bit_length() - 1
    return max(size * times for size in LADDER if size * times <= count)


def _strongest(x: Series, power: Series, span_s: Series) -> list[Swing | None]:
    """Return the strongest line of each window of some of one size, from its spectrum.

    Shapes: x (m, n), power (m, k), span_s (m,) -> m swings.
    """
    found: list[Swing | None] = [None] * span_s.size
    rows, top = x.shape[-1], power.shape[-1]
    quiet = power[:, int(0.7 * top) : top]
    floor_of = np.partition(quiet, quiet.shape[1] // 2, axis=1)[:, quiet.shape[1] // 2].tolist()
    alike: dict[tuple[int, int, int], list[int]] = {}
    for k, span in enumerate(span_s.tolist()):
        first, last, around = _bins(span, rows, top)
        if last > first:
            alike.setdefault((first, last, around), []).append(k)
    for (first, last, around), members in alike.items():
        some = power if len(members) == span_s.size else power[members]
        slower = [_without_flank(row, first, last, around) for row in some]
        summed = _band_sums(some, around, first, last)
        best = summed.argmax(axis=1).tolist()
        for row, k in enumerate(members):
            low = max(first + best[row] - around, first)
            near = some[row, low : first + best[row] + around + 1]
            amplitude = sqrt(2.0 * max(float(summed[row, best[row]]), 0.0))
            floor_power, sum_power = floor_of[k] / MEDIAN_OF_NOISE, float(summed[row, best[row]])
            chance = line_chance(sum_power, floor_power, around, last - first)
            clear = max(sum_power - (2 * around + 1) * floor_power, 0.0) if chance < BY_CHANCE else 0.0
            doubt = (sqrt(2.0 * clear), sqrt(floor_power * top), chance)
            slow = _slow_swing(x[k], float(span_s[k]), slower[row])
            found[k] = _swing(x[k], float(span_s[k]), low + int(near.argmax()), amplitude, doubt, slow)
    return found


def _without_flank(power: Series, first: int, last: int, around: int) -> tuple[int, float] | None:
    """Clear the strongest line below the band, with its flank, from one spectrum; return its bin and its mean square.

    None, and nothing cleared, when that is the foot of a line in the band.
    """
    if first < 3:
        return None
    peak = 1 + int(power[1:first].argmax())
    if peak == first - 1 and power[first] > power[first - 2]:
        return None
    valley = peak + 1
    while valley < last - 1 and power[valley + 1] < power[valley]:
        valley += 1
    mean_square = float(power[max(peak - around, 0) : min(peak + around + 1, valley)].sum())
    power[:valley] = 0.0
    return peak, mean_square


def _slow_swing(x: Series, span_s: float, line: tuple[int, float] | None) -> SlowSwing | None:
    if line is None:
        return None
    at_bin, mean_square = line
    amplitude = sqrt(2.0 * mean_square)
    return SlowSwing(
        frequency_hz=at_bin * (x.size - 1) / (x.size * span_s),
        amplitude_percent=amplitude,
        regular=_regular(x, amplitude),
    )


def _regular(x: Series, amplitude_percent: float) -> float | None:
    """Return how well a window repeats itself; None for a swing too small to matter."""
    return decay_ratio(autocorrelation(x)[: x.size // 2]) if amplitude_percent >= LEAST_OF_INTEREST_PERCENT else None


def _bins(span_s: float, rows: int, top: int) -> tuple[int, int, int]:
    """Return the first bin of interest, one past the last, and how many bins on each side belong to a line."""
    step = span_s / (rows - 1)
    bin_hz = 1.0 / (step * rows)
    first = ceil(max(LOWEST_HZ, 4.0 / span_s) / bin_hz)
    last = min(int(min(HIGHEST_HZ, NYQUIST_SHARE * 0.5 / step) / bin_hz) + 1, top)
    return first, last, max(2, round(LINE_HALF_WIDTH_HZ * span_s))


def line_chance(power: float, floor_power: float, around: int, bins: int) -> float:
    """Return how likely white noise alone gives a sum of neighbouring bins as strong somewhere in the band, 0 to 1.

    Equation: k = 2 around + 1; the sum over its expected value k floor is chi-square over v, v = 2 k / 1.94 (the
    bins under a Hann window are correlated); times the number of places, one for each bin of the band, at most 1.
    Valid: noise alike over the band; a turbulent hover is not white, so a small chance is no proof of hunting.
    Source: periodogram of white noise, common to textbooks of spectral analysis.
    """
    from scipy.special import chdtrc

    count = 2 * around + 1
    if floor_power <= 0.0:
        return 0.0 if power > 0.0 else 1.0
    free = 2.0 * count / HANN_SPREAD
    return min(1.0, max(bins, 1.0) * float(chdtrc(free, free * power / (count * floor_power))))


def _swing(
    x: Series, span_s: float, at_bin: int, amplitude: float, doubt: tuple[float, float, float], slower: SlowSwing | None
) -> Swing:
    step = span_s / (x.size - 1)
    hertz = at_bin * (1.0 / (step * x.size))
    return Swing(
        frequency_hz=hertz,
        amplitude_percent=amplitude,
        amplitude_percent_low=doubt[0],
        amplitude_percent_high=amplitude * sqrt(1.0 + (2.0 * pi * hertz * step) ** 2),
        regular=_regular(x, amplitude),
        noise_percent=doubt[1],
        chance=doubt[2],
        slower=slower,
    )


def hunts_under_load(time_s: Series, speed_rpm: Series, set_rpm: float, limit_percent: float) -> Swing | None:
    """Return the swing of the late part of a climb when it is regular, large and does not die away; else None.

    Equation: three periods or more; the swing of the last half is at least 0.6 of that of the first.
    Shapes: time_s (n,), speed_rpm (n,) -> Swing.
    Valid: a part of 1 s or more without the first dip.
    """
    flat = without_trend(speed_rpm)
    if sqrt(2.0) * deviation(flat) < 0.5 * limit_percent / 100.0 * set_rpm:
        return None
    line = swing(time_s, speed_rpm, set_rpm)
    if line is None or line.amplitude_percent < limit_percent or (line.regular or 0.0) < 0.5:
        return None
    if line.frequency_hz * float(time_s[-1] - time_s[0]) < 3.0:
        return None
    half = flat.size // 2
    return line if deviation(flat[half:]) >= 0.6 * deviation(flat[:half]) else None


def without_trend(values: Series) -> Series:
    """Return evenly spaced values less the parabola that fits them best, row by row.

    Shapes: values (n,) or (m, n) -> the same.
    Valid: n of 4 or more.
    """
    u, square = _line_and_parabola(values.shape[-1])
    line = np.einsum("...i,i", values, u) / float((u * u).sum())
    bend = np.einsum("...i,i", values, square) / float((square * square).sum())
    flat = values - values.mean(axis=-1, keepdims=True)
    flat -= np.multiply.outer(line, u)
    flat -= np.multiply.outer(bend, square)
    return np.asarray(flat, dtype=np.float64)


@lru_cache(maxsize=32)
def _line_and_parabola(count: int) -> tuple[Series, Series]:
    """Return a line and a parabola that know nothing of each other or of the mean."""
    u = np.linspace(-1.0, 1.0, count)
    return u, u * u - float((u * u).mean())


def _power(x: Series) -> Series:
    """Return the mean square in each bin of each row, so that the bins of a row add up to its mean square."""
    window = np.hanning(x.shape[-1])
    spectrum = np.fft.rfft(x * window, axis=-1)
    power = (spectrum.real**2 + spectrum.imag**2) * (2.0 / (x.shape[-1] * float((window * window).sum())))
    power[..., 0] *= 0.5
    return np.asarray(power, dtype=np.float64)


def _band_sums(power: Series, around: int, first: int, last: int) -> Series:
    """Return for each row the sum of the bins within `around` of each bin from first to last, clipped at both ends.

    Shapes: power (m, k) -> (m, last - first).
    """
    begin, stop = max(first - around, 0), min(last + around, power.shape[1])
    total = np.zeros((power.shape[0], stop - begin + 1))
    np.cumsum(power[:, begin:stop], axis=1, out=total[:, 1:])
    low = np.maximum(np.arange(first, last) - around, begin) - begin
    high = np.minimum(np.arange(first, last) + around + 1, stop) - begin
    return np.asarray(total[:, high] - total[:, low])
