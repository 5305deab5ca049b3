"""Indices that tell a regular oscillation from noise, as process control knows them."""

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import mean
from steadyhead.trace.trace import Series


def autocorrelation(values: Series) -> Series:
    """Return the autocorrelation over lags from 0, normalised to 1 at lag 0; all zero for a constant record.

    Equation: r_k = sum(x_i x_(i+k)) / sum(x_i^2), x less its mean, by Fourier transform.
    Shapes: values (n,) -> (n,).
    Valid: evenly spaced samples; only lags well below n are trustworthy.
    """
    x = values - values.mean()
    size = 1 << (2 * x.size - 1).bit_length()
    spectrum = np.fft.rfft(x, size)
    whole = np.fft.irfft(spectrum * np.conj(spectrum), size)[: x.size]
    return np.asarray(whole / whole[0]) if whole[0] > 0.0 else np.zeros_like(x)


def decay_ratio(correlation: Series) -> float | None:
    """Return the decay ratio of an autocorrelation, 0 to 1; None when it does not swing.

    Equation: R = a / b; a = first maximum above the line through the first two minima, b = first minimum below the
    line from lag 0 to the first maximum. Above 0.5 the loop swings too much; a second-order loop driven by noise has
    R = exp(-pi z / sqrt(1 - z^2)).
    Shapes: correlation (n,) -> scalar.
    Valid: a record of ten periods or more; before that R scatters by 0.1 and more.
    Source: T. Miao and D. E. Seborg, IEEE Int. Conf. Control Applications, 1999, 359-364, from memory.
    """
    least = _turning(correlation, 0, -1)
    most = _turning(correlation, least, 1) if least is not None else None
    second = _turning(correlation, most, -1) if most is not None else None
    if least is None or most is None or second is None:
        return None
    line_low = np.interp(most, (least, second), (correlation[least], correlation[second]))
    line_high = np.interp(least, (0, most), (correlation[0], correlation[most]))
    b = float(line_high - correlation[least])
    return float(correlation[most] - line_low) / b if b > 0.0 else None


def _turning(values: Series, start: int, sign: int) -> int | None:
    """Return the next local maximum (sign 1) or minimum (sign -1) after `start`."""
    part = sign * values[start:]
    inner = rows_where((part[1:-1] > part[:-2]) & (part[1:-1] >= part[2:])) + 1
    return start + int(inner[0]) if inner.size else None


def regularity(intervals_s: Series) -> float | None:
    """Return the regularity of zero-crossing intervals; above 1 the oscillation is regular.

    Equation: r = mean / (3 s), s the sample standard deviation of the intervals.
    Shapes: intervals_s (n,) -> scalar.
    Valid: ten crossings or more; None below three or when all are alike.
    Source: N. F. Thornhill and T. Hagglund, Control Eng. Practice 5(10), 1343-1354, 1997, from memory.
    """
    if intervals_s.size < 3:
        return None
    spread = float(np.std(intervals_s, ddof=1))
    return mean(intervals_s) / (3.0 * spread) if spread > 0.0 else None


def half_period_areas(time_s: Series, error: Series) -> Series:
    """Return the area of the error between neighbouring zero crossings, unit of the error times s.

    Equation: integral of |e| dt from one crossing to the next, by trapezoids; an incomplete first and last half
    period are left out.
    Shapes: time_s (n,), error (n,) -> (m,).
    Source: T. Hagglund, Control Engineering Practice 3(11), 1543-1551, 1995, from memory.
    """
    crossings = rows_where(np.signbit(error[1:]) != np.signbit(error[:-1]))
    if crossings.size < 2:
        return np.empty(0)
    steps = 0.5 * (np.abs(error[1:]) + np.abs(error[:-1])) * np.diff(time_s)
    total = np.concatenate(([0.0], np.cumsum(steps)))
    return np.diff(total[crossings + 1])


def oscillation_limit(amplitude: float, period_s: float) -> float:
    """Return the half-period area above which a swing counts, unit of the amplitude times s.

    Equation: 2 a / w with w = 2 pi / period, so a sine counts when its amplitude exceeds a.
    Valid: period_s > 0.
    Source: T. Hagglund, Control Engineering Practice 3(11), 1543-1551, 1995, from memory.
    """
    return amplitude * period_s / np.pi


def crossing_intervals_s(time_s: Series, error: Series) -> Series:
    """Return the times between neighbouring zero crossings, each crossing read between samples, s.

    Shapes: time_s (n,), error (n,) -> (m,).
    """
    k = rows_where(np.signbit(error[1:]) != np.signbit(error[:-1]))
    if k.size < 2:
        return np.empty(0)
    gap = error[k + 1] - error[k]
    share = np.where(gap != 0.0, -error[k] / np.where(gap == 0.0, 1.0, gap), 0.5)
    return np.diff(time_s[k] + share * (time_s[k + 1] - time_s[k]))
