"""How the logs of one side were taken: where the speed was measured, how often, and how late the log shows it."""

from math import sqrt
from typing import NamedTuple

import numpy as np

from steadyhead.judge.events import UNIFORM
from steadyhead.judge.measured import measured
from steadyhead.judge.owner import owner
from steadyhead.judge.result import Judgement
from steadyhead.judge.signals import Signals, signals
from steadyhead.judge.transient import row_noise
from steadyhead.machine.description import Machine

THINNED = 2
"""A judgement that keeps one row of so many, or fewer, is of a log too long to be looked at again."""


class Sensing(NamedTuple):
    """Means over the logs of one side; None where no log shows it."""

    at_head: float | None
    """Share of the logs with a speed that was measured at the head."""
    pitch_seen: float | None
    """Share of the logs with a collective, by which loads and plain running are told."""
    rows_s: float | None
    """Time between two rows."""
    lag_s: float | None
    lag_interval_s: tuple[float, float] | None
    """First-order lag of the logged speed with its 90 % interval, ends as the logs have them on the mean."""
    noise_percent: float | None
    """Standard deviation of a row of the speed in steady running, percent of the set speed."""


def sensing(machine: Machine, logs: tuple[Judgement, ...]) -> Sensing:
    """Return how the logs of one side were taken."""
    heads = [log.trace.has("head_speed_rpm") for log in logs if log.trace.has("head_speed_rpm") or _motor(log)]
    rows = [found for log in logs if (found := _rows_s(log)) is not None]
    numbers = owner(machine)
    lags, noises = [], []
    for log in logs:
        cleaned = None if _thinned(log) else signals(log.trace, numbers.collective_max_deg)
        if cleaned is not None:
            lags.append(measured(cleaned, numbers).lag)
            noises += _noises(log, cleaned)
    known = [lag for lag in lags if lag is not None]
    return Sensing(
        at_head=float(np.mean(heads)) if heads else None,
        pitch_seen=float(np.mean([log.trace.has("collective_deg") for log in logs])) if logs else None,
        rows_s=float(np.median(rows)) if rows else None,
        lag_s=float(np.mean([lag.lag_s for lag in known])) if known else None,
        lag_interval_s=_means([(lag.low_s, lag.high_s) for lag in known]) if known else None,
        noise_percent=float(np.median(noises)) if noises else None,
    )


def _noises(log: Judgement, cleaned: Signals) -> list[float]:
    """Return the noise of each steady window, percent of its set speed; that of rounding is in it."""
    speed = cleaned.speed_rpm
    if speed is None:
        return []
    rounded = cleaned.speed_step_rpm**2 / UNIFORM
    return [
        100.0 * sqrt(row_noise(speed[cleaned.within(window.start_s, window.end_s)]) ** 2 + rounded) / window.set_rpm
        for window in log.steady
    ]


def _means(ends: list[tuple[float, float]]) -> tuple[float, float]:
    low, high = np.mean(ends, axis=0)
    return float(low), float(high)


def _motor(log: Judgement) -> bool:
    return log.trace.has("motor_side_speed_rpm")


def _thinned(log: Judgement) -> bool:
    return log.trace.time_s.size * THINNED <= log.rows_read


def _rows_s(log: Judgement) -> float | None:
    time_s = log.trace.time_s
    if time_s.size < 2:
        return None
    return log.trace.duration_s / log.rows_read if _thinned(log) else float(np.median(np.diff(time_s)))
