"""Looks for a steady oscillation of the speed in one window, and says how sure it is."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from steadyhead.judge.oscillation import autocorrelation, decay_ratio
from steadyhead.trace.trace import Series

LOWEST_HZ = 0.5
HIGHEST_HZ = 15.0
LINE_HALF_WIDTH_HZ = 0.25
NYQUIST_SHARE = 0.9
LEAST_OF_INTEREST_PERCENT = 0.1
MEDIAN_OF_NOISE = 0.69
"""Median over mean of the power of white noise in one bin: ln 2."""


@dataclass(frozen=True, kw_only=True)
class Swing:
    """The strongest line in the speed of one window. Amplitude in percent of the set speed, half of peak to peak."""

    frequency_hz: float
    amplitude_percent: float
    amplitude_percent_high: float
    """What it may really be: a speed sensor usually smooths over up to one sample interval."""
    regular: float | None
    """Decay ratio of the autocorrelation; above 0.5 the loop swings of itself. None for a swing too small to matter."""
    noise_percent: float
    """Effective value of the sensor noise, read from the floor of the spectrum."""


def swing(time_s: Series, speed_rpm: Series, set_rpm: float) -> Swing | None:
    """Return the strongest line between 0.5 and 15 Hz, or None when the window is too short or too sparse.

    Equation: amplitude = sqrt(2) times the effective value within 0.25 Hz of the line (at least two bins), from
    the spectrum under a Hann window, trend taken out.
    Shapes: time_s (n,), speed_rpm (n,) -> Swing.
    Valid: four periods or more of the lowest line inside the window; lines above half the sampling rate are not seen
    (or are seen at a wrong frequency: a sampled log cannot tell).
    """
    span = float(time_s[-1] - time_s[0]) if time_s.size else 0.0
    if time_s.size < 16 or span <= 0.0 or set_rpm <= 0.0:
        return None
    count = time_s.size
    even = np.linspace(time_s[0], time_s[-1], count)
    step = span / (count - 1)
    x = np.interp(even, time_s, speed_rpm) / set_rpm * 100.0
    x = without_trend(x)
    power = _power(x)
    bin_hz = 1.0 / (count * step)
    first = int(np.ceil(max(LOWEST_HZ, 4.0 / span) / bin_hz))
    last = min(int(min(HIGHEST_HZ, NYQUIST_SHARE * 0.5 / step) / bin_hz) + 1, power.size)
    if last <= first:
        return None
    around = max(2, round(LINE_HALF_WIDTH_HZ * span))
    summed = _band_sums(power, around, first, last)
    k = int(np.argmax(summed))
    low = max(first + k - around, first)
    peak = low + int(np.argmax(power[low : first + k + around + 1]))
    amplitude = float(np.sqrt(2.0 * max(summed[k], 0.0)))
    hertz = peak * bin_hz
    quiet = power[int(0.7 * power.size) :]
    floor = float(np.partition(quiet, quiet.size // 2)[quiet.size // 2])
    noise = float(np.sqrt(floor / MEDIAN_OF_NOISE * power.size))
    return Swing(
        frequency_hz=hertz,
        amplitude_percent=amplitude,
        amplitude_percent_high=amplitude * float(np.sqrt(1.0 + (2.0 * np.pi * hertz * step) ** 2)),
        regular=decay_ratio(autocorrelation(x)[: count // 2]) if amplitude >= LEAST_OF_INTEREST_PERCENT else None,
        noise_percent=noise,
    )


def hunts_under_load(time_s: Series, speed_rpm: Series, set_rpm: float, limit_percent: float) -> Swing | None:
    """Return the swing of the late part of a climb when it is regular, large and does not die away; else None.

    Equation: three periods or more; the swing of the last half is at least 0.6 of that of the first.
    Shapes: time_s (n,), speed_rpm (n,) -> Swing.
    Valid: a part of 1 s or more without the first dip.
    """
    line = swing(time_s, speed_rpm, set_rpm)
    if line is None or line.amplitude_percent < limit_percent or (line.regular or 0.0) < 0.5:
        return None
    span = float(time_s[-1] - time_s[0])
    if line.frequency_hz * span < 3.0:
        return None
    flat = without_trend(speed_rpm)
    half = flat.size // 2
    return line if float(np.std(flat[half:])) >= 0.6 * float(np.std(flat[:half])) else None


def without_trend(values: Series) -> Series:
    """Return evenly spaced values less the parabola that fits them best.

    Shapes: values (n,) -> (n,).
    Valid: n of 4 or more.
    """
    u, square, _ = _shapes(values.size)
    line = float(np.dot(values, u)) / float(np.dot(u, u))
    bend = float(np.dot(values, square)) / float(np.dot(square, square))
    return np.asarray(values - values.mean() - line * u - bend * square, dtype=np.float64)


@lru_cache(maxsize=32)
def _shapes(count: int) -> tuple[Series, Series, Series]:
    """Return a line and a parabola that know nothing of each other or of the mean, and the Hann window."""
    u = np.linspace(-1.0, 1.0, count)
    return u, u * u - float(np.dot(u, u)) / count, np.asarray(np.hanning(count), dtype=np.float64)


def _power(x: Series) -> Series:
    """Return the mean square in each bin, so that the bins add up to the mean square."""
    window = _shapes(x.size)[2]
    spectrum = np.fft.rfft(x * window)
    power = (spectrum.real**2 + spectrum.imag**2) * (2.0 / (x.size * float(np.dot(window, window))))
    power[0] *= 0.5
    return np.asarray(power, dtype=np.float64)


def _band_sums(power: Series, around: int, first: int, last: int) -> Series:
    """Return the sum of the bins within `around` of each bin from first to last, clipped at both ends."""
    total = np.zeros(power.size + 2 * around + 1)
    np.cumsum(power, out=total[around + 1 : around + 1 + power.size])
    total[around + 1 + power.size :] = total[around + power.size]
    return np.asarray(total[first + 2 * around + 1 : last + 2 * around + 1] - total[first:last])
