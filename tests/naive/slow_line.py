"""The strongest line of a record by trying every frequency with least squares, one after the other. Slow and plain."""

import math


def strongest_line(time_s: list[float], values: list[float], low_hz: float, high_hz: float) -> tuple[float, float]:
    """Return frequency and amplitude of the sine that takes most out of the record."""
    n = len(values)
    mean = sum(values) / n
    best = (0.0, 0.0)
    span = time_s[-1] - time_s[0]
    hertz = low_hz
    while hertz <= high_hz:
        a = sum((v - mean) * math.cos(2.0 * math.pi * hertz * t) for t, v in zip(time_s, values, strict=True))
        b = sum((v - mean) * math.sin(2.0 * math.pi * hertz * t) for t, v in zip(time_s, values, strict=True))
        amplitude = 2.0 / n * math.hypot(a, b)
        if amplitude > best[1]:
            best = (hertz, amplitude)
        hertz += 0.1 / span
    return best
