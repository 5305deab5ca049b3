"""A lift-off is no climb-out: a climb-out starts from hover."""

from steadyhead.judge.loads import Load
from steadyhead.judge.pieces import mean
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import IN_THE_AIR_M, Signals
from steadyhead.judge.steady import HOVER_PITCH_DEG

BEFORE_S = 1.0
END_S = 0.3
"""A load that lasts to the end of its stretch, within an edge; own choice."""


def without_lift_off(signals: Signals, governed: Stretch, found: tuple[Load, ...]) -> tuple[Load, ...]:
    """Return the loads of a governed stretch, less a single high that begins on the ground.

    In a log that ends soon after the lift-off, flat pitch is the usual load and hover the high.
    Valid: with a height, or with a collective; without a height only a high that lasts to the end of its stretch, since
    a collective may be off by a degree or two.
    """
    return tuple(load for load in found if load.kind != "climb" or not _lifts_off(signals, governed, load))


def _lifts_off(signals: Signals, governed: Stretch, load: Load) -> bool:
    before = signals.within(load.start_s - BEFORE_S, load.start_s)
    if before.stop - before.start < 1:
        return False
    height, pitch = signals.height_m, signals.collective_deg
    if height is not None and mean(height[before]) - signals.ground_m >= IN_THE_AIR_M:
        return False
    if pitch is not None and mean(pitch[before]) > HOVER_PITCH_DEG:
        return False
    known = height is not None and pitch is not None
    return known or (load.end_s >= governed.end_s - END_S and (height is not None or pitch is not None))
