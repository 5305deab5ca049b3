"""Takes back a failed band where the current shows a load that the collective does not: cyclic, or wind."""

from collections.abc import Sequence

import numpy as np

from steadyhead.judge.loads import HARD_CURRENT, averaged
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.judge.steady import AFTER_MOVE_S, SHORTEST_S, Calm
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Outcome, Verdict

LOAD_S = 1.0
"""A loop that swings at its own frequency moves the mean of the current over so long by little; own choice."""
REGULAR, MOST_OF_IT = 0.5, 0.5
"""A regular line that makes so much of the band is the loop's, whatever the current does; own choice."""
NEEDS = ("a log with 10 s of plain hover, cyclic and collective still",)


def unless_cyclic(verdict: Verdict, found: Measured, windows: Sequence[Calm]) -> Verdict:
    """Return a failed band as unknown where every window is too wide only while, and just after, the current was high.

    High: its mean over a second 60 % above that of the window, as a hard load takes. The collective was still there, or
    the window were none of plain running; so the cyclic, the wind or the loop did it, and the log does not show which.
    """
    current, speed = found.signals.current_a, found.signals.speed_rpm
    limit = verdict.limit
    if verdict.verdict is not Outcome.FAIL or limit is None or not windows or current is None or speed is None:
        return verdict
    if found.signals.collective_deg is None:
        return verdict
    highest = 0.0
    for window, part in zip(windows, found.signals.parts(windows), strict=True):
        line = window.line
        if line and (line.regular or 0.0) >= REGULAR and line.amplitude_percent >= MOST_OF_IT * window.half_width_raw:
            return verdict
        left = _left(found, current[part], part)
        kept = speed[part][left]
        long = kept.size * found.signals.interval_s >= SHORTEST_S
        if left.all() or not long or 50.0 * float(np.ptp(kept)) / window.set_rpm > limit:
            return verdict
        highest = max(highest, float(current[part].max()))
    usual = median(current[found.signals.parts(windows)[0]])
    why = (
        f"it is so wide only while the current rose from {usual:.0f} to {highest:.0f} A with the "
        "collective still: cyclic, wind or loop"
    )
    return verdict.but(why, needs=NEEDS)


def _left(found: Measured, current: Series, part: slice) -> np.ndarray:
    """Return which rows of a window are clear of a high current, of half a second before and what comes after it."""
    signals = found.signals
    mean = averaged(current, signals.samples(LOAD_S))
    stamps = signals.time_s[part]
    high = stamps[rows_where(mean > (1.0 + HARD_CURRENT) * median(current))]
    edges = np.zeros(current.size + 1, np.int64)
    np.add.at(edges, stamps.searchsorted(high - 0.5 * LOAD_S), 1)
    np.add.at(edges, stamps.searchsorted(high + 0.5 * LOAD_S + AFTER_MOVE_S), -1)
    return np.asarray(np.cumsum(edges[:-1]) == 0)
