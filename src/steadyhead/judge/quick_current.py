"""How high a current may really have been, behind a sensor that smooths and between rows that are far apart."""

import numpy as np

from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import row_noise

SMOOTHED_S = 0.06
"""A current sensor that smooths over so long is usual; common practice, no source."""
SLOW_ROWS_S = 0.06
"""A motor that comes in draws its peak within a few hundredths of a second; own choice."""
BETWEEN_ROWS = 1.5
"""In slow rows a motor that comes in may draw as many times what a row shows; own choice."""
LONG_ROWS_S, IN_LONG_ROWS = 0.2, 2.0
"""In rows so far apart a whole thrust of the stick, or a grab of the drive, lies between two of them, and may have
drawn as many times what a row shows; own choice."""
SIGMAS = 4.0
QUICK = ("quick_spool",)


def unseen_peak_a(signals: Signals, stretches: tuple[Stretch, ...]) -> tuple[float, float]:
    """Return how high the current may have been while the motor was brought back, A, and when that was, s; 0 if never.

    Equation: behind a first-order lag T the current is i + T di/dt; rises that noise makes are taken off.
    Valid: quick restarts; a load comes and goes more slowly than a sensor smooths.
    """
    current = signals.current_a
    if current is None:
        return 0.0, 0.0
    highest = (0.0, 0.0)
    for spool in stretches:
        if spool.kind not in QUICK:
            continue
        part = signals.within(spool.start_s - SMOOTHED_S, spool.end_s)
        rows, step_s = current[part], np.diff(signals.time_s[part])
        if rows.size < 2:
            continue
        if float(np.median(step_s)) > SLOW_ROWS_S:
            seen = BETWEEN_ROWS * float(rows.max())
            at_s = float(signals.time_s[part.start + int(rows.argmax())])
        else:
            rise = np.maximum(np.diff(rows) - SIGMAS * row_noise(rows), 0.0)
            peaks = rows[1:] + SMOOTHED_S / step_s * rise
            seen, at_s = float(peaks.max()), float(signals.time_s[part.start + 1 + int(peaks.argmax())])
        highest = max(highest, (seen, at_s))
    return highest


def between_rows_a(signals: Signals, stretches: tuple[Stretch, ...]) -> tuple[float, float]:
    """Return how high the current may have been between two rows LONG_ROWS_S or more apart, A, and that distance, s.

    Equation: IN_LONG_ROWS times the highest row while the motor drove; 0 in quicker rows.
    """
    row_s = max(signals.interval_s, signals.own_s.get("pack_current_a", 0.0))
    if signals.current_a is None or row_s < LONG_ROWS_S:
        return 0.0, row_s
    rows = [signals.current_a[signals.within(s.start_s, s.end_s)] for s in stretches if s.kind in DRIVEN]
    return IN_LONG_ROWS * max((float(part.max()) for part in rows if part.size), default=0.0), row_s
