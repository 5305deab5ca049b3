"""Which quick swings of the head a recording shows: a window of sound smooths them, and hides those between frames."""

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.hunting import HIGHEST_HZ, NYQUIST_SHARE, band_of
from steadyhead.judge.result import SteadyWindow
from steadyhead.judge.unheard_speed import LONG_S
from steadyhead.trace.sound_spectrum import WINDOWS_S
from steadyhead.trace.trace import Series

HEARD_OVER_S = WINDOWS_S[1]
"""Lines of gears and windings lie above 260 Hz, so they are heard over this or less; a line of blades that is heard
over longer smears under a quick swing, and hardly counts."""
APART_SHARE = 0.1
"""Where a tenth of the time lies in steps between frames as long as this or longer, such steps decide; own choice."""
PIECE_ROWS = 400
LEAST_ROWS = 100
"""Frames in a row, 25 ms apart, in which a spectrum is taken: ten seconds, and two and a half; own choice."""


def shown_share(hertz: Series | float, window_s: float = HEARD_OVER_S) -> NDArray[np.float64]:
    """Return what a window of sound leaves of a swing, a share, 1 for a slow one.

    Equation: |sinc(x) / (1 - x^2)|, x = f T, sinc(x) = sin(pi x) / (pi x); 1/2 at x = 1; before its first zero, x = 2
    Source: Fourier transform of the Hann window, F. J. Harris, 1978, from memory.
    Shapes: hertz (n,) -> (n,)
    Valid: a window that weighs the speed with its own shape; below 2 / T, 16.7 Hz here.
    """
    x = np.asarray(hertz, np.float64) * window_s
    near = np.isclose(x, 1.0)
    return np.where(near, 0.5, np.abs(np.sinc(x) / (1.0 - np.where(near, 0.0, x) ** 2)))


def may_swing_percent(windows: Iterable[SteadyWindow]) -> float:
    """Return how far the head may really have swung at the strongest line of some steady windows, percent."""
    told = [(w.hunting_percent, w.hunting_hz) for w in windows if w.hunting_percent is not None and w.hunting_hz]
    return max((percent / float(shown_share(hertz)) for percent, hertz in told), default=0.0)


def quickest_shown_hz(
    time_s: Series, speed_rpm: Series, windows: Iterable[SteadyWindow], limit_percent: float
) -> float:
    """Return up to which frequency a swing of the limit would show in steady running, HIGHEST_HZ at most.

    Equation: the lowest f at which the amplitude that is there, over `shown_share`, exceeds the limit, or 0.9 of half
    the rate of the frames that were heard.
    Shapes: time_s (n,), speed_rpm (n,), NaN where nothing was heard
    Valid: a stretch of LONG_S or more that was not heard is left out: it is told by itself.
    """
    shown = HIGHEST_HZ
    for window in windows:
        at = (time_s >= window.start_s) & (time_s <= window.end_s) & np.isfinite(speed_rpm)
        shown = min(shown, _by_rate_hz(time_s[at]))
        for heard_s, rpm in _pieces(time_s[at], speed_rpm[at]):
            hertz, percent = band_of(heard_s, rpm, window.set_rpm)
            hidden = percent > limit_percent * shown_share(hertz)
            shown = min(shown, float(hertz[hidden].min(initial=shown)))
    return shown


def _pieces(time_s: Series, speed_rpm: Series) -> Iterator[tuple[Series, Series]]:
    for first in range(0, time_s.size, PIECE_ROWS):
        piece = slice(first, first + PIECE_ROWS)
        if time_s[piece].size >= LEAST_ROWS:
            yield time_s[piece], speed_rpm[piece]


def _by_rate_hz(time_s: Series) -> float:
    """Return the quickest swing that frames so far apart can show; infinite for a few frames."""
    steps = np.diff(time_s)
    steps = np.sort(steps[steps < LONG_S])
    if not steps.size:
        return np.inf
    gone = np.cumsum(steps) / steps.sum()
    return NYQUIST_SHARE * 0.5 / float(steps[int(gone.searchsorted(1.0 - APART_SHARE))])
