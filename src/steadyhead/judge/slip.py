"""Whether the motor ran ahead of the head in governed running: a slipping belt, pinion, clutch or one-way bearing."""

from typing import NamedTuple

import numpy as np

from steadyhead.judge.loads import averaged
from steadyhead.judge.measured import Measured
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import sparse

MEAN_S = 1.0
"""Two speed sensors of different quickness differ for less than this in a load; common practice, no source."""
SLIPS_SHARE = 0.02
"""Twice what steady readings of head and motor differ by; own choice."""
HALF_DUTY_SHARE = 0.5
"""A motor with less than this share of its usual duty may not drive the head at all; own choice."""


class Slip(NamedTuple):
    """The most by which the motor ran ahead of the head over a second, as a share, and when."""

    share: float
    at_s: float


def slip(found: Measured) -> Slip | None:
    """Return the greatest slip in settled governed running, None where there is none or nothing shows it.

    Valid: head and motor side both measured; what they differ by in plain running is the gear ratio's business.
    """
    signals = found.signals
    head, motor = signals.speed_rpm, signals.motor_rpm
    if head is None or motor is None or not signals.speed_is_head or not found.window_parts:
        return None
    usual = median(np.array([_ahead(head[p], motor[p]) for p in found.window_parts]))
    worst: Slip | None = None
    for governed in found.governed:
        part = signals.within(governed.ready_s, governed.end_s - MEAN_S)
        if governed.ramping or part.stop - part.start < 2 or usual <= 0.0:
            continue
        ahead = averaged(motor[part] / np.maximum(head[part], 1.0), signals.samples(MEAN_S)) / usual - 1.0
        if signals.duty is not None:
            duty = signals.duty[part]
            ahead = np.where(duty >= HALF_DUTY_SHARE * median(sparse(duty)), ahead, 0.0)
        row = int(ahead.argmax())
        if ahead[row] > SLIPS_SHARE and (worst is None or ahead[row] > worst.share):
            worst = Slip(float(ahead[row]), float(signals.time_s[part.start + row]))
    return worst


def _ahead(head: np.ndarray, motor: np.ndarray) -> float:
    level = median(sparse(head))
    return median(sparse(motor)) / level if level > 0.0 else 0.0
