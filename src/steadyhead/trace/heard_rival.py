"""What was heard and taken back, since some times or a part of its speed explains the same sound."""

from typing import NamedTuple

import numpy as np

from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import Frames

LEAST_S = 0.5
"""As much as a recording in which a rotor is heard must hold."""
SAME_SHARE = 0.02
"""Speeds so near are one; own choice."""


class TakenBack(NamedTuple):
    """A speed that would be told, how many times as high the one is that speaks against it, and for how long, s."""

    head_speed_rpm: float
    times: float
    seconds: float


def taken_back(frames: Frames) -> TakenBack | None:
    """Return the speed that was taken back for longest, with the multiple that took it back; None without one.

    Equation: the commonest multiple; of the frames with it those within SAME_SHARE of their median.
    """
    there = frames.rival_times > 0.0
    if there.sum() * HOP_S < LEAST_S:
        return None
    all_times, counts = np.unique(frames.rival_times[there], return_counts=True)
    times = float(all_times[counts.argmax()])
    speed = frames.head_speed_rpm[frames.rival_times == times]
    middle = float(np.median(speed))
    near = speed[np.abs(speed / middle - 1.0) <= SAME_SHARE]
    if near.size * HOP_S < LEAST_S:
        return None
    return TakenBack(float(np.median(near)), times, near.size * HOP_S)
