"""The level of a channel beside a row, and when two levels are those of a head that flies on."""

import numpy as np

from steadyhead.trace.trace import Trace

SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm")
TURNS_RPM = 60.0
"""A head slower than this stands, or its sensor idles; own choice."""
GOES_ON_SHARE = 0.05
"""A head that flies on, and its pack, differ by less from one row to the next; own choice."""


def level_before(trace: Trace, name: str, row: int, look_s: float) -> float:
    """Return the median of a channel over the time before a row; NaN where it has none."""
    return _median(trace, name, int(trace.time_s.searchsorted(trace.time_s[row - 1] - look_s)), row)


def level_from(trace: Trace, name: str, row: int, look_s: float) -> float:
    """Return the median of a channel over the time from a row on; NaN where it has none."""
    return _median(trace, name, row, int(trace.time_s.searchsorted(trace.time_s[row] + look_s, side="right")))


def turns_on(before_rpm: float, after_rpm: float) -> bool:
    """Whether a head turns on at its speed from one level to the other; NaN for one that is not known: no."""
    return before_rpm > TURNS_RPM and abs(after_rpm - before_rpm) <= GOES_ON_SHARE * before_rpm


def _median(trace: Trace, name: str, first: int, stop: int) -> float:
    values = trace.channels.get(name)
    if values is None:
        return float("nan")
    known = values[first:stop][np.isfinite(values[first:stop])]
    return float(np.median(known)) if known.size else float("nan")
