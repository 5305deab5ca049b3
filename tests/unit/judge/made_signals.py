"""Signals made by hand for the unit tests of the judge."""

import numpy as np

from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals, signals
from steadyhead.trace.trace import Trace


def made(time_s: np.ndarray, **channels: np.ndarray) -> Signals:
    """Return the signals of a trace with these channels."""
    got = signals(Trace(source="made", time_s=time_s, channels=channels, rows_read=time_s.size), 12.0)
    if got is None:
        raise ValueError("too short")
    return got


def governed(start_s: float, end_s: float, set_rpm: float) -> Stretch:
    """Return a governed stretch that is settled from its start."""
    return Stretch(
        kind="governed", start_s=start_s, end_s=end_s, asked_s=start_s, set_rpm=set_rpm, ready_s=start_s, airborne=True
    )
