"""Whether the machine was in the air: from height, vertical speed, collective; None where nothing tells."""

import numpy as np

from steadyhead.judge.signals import IN_THE_AIR_M, Signals, sparse
from steadyhead.trace.trace import Series

TOUCHED_M = 1.2


def airborne_at(signals: Signals, time_s: float) -> bool | None:
    """Whether the machine flew at a moment when the motor had just been cut."""
    if signals.height_m is not None:
        k = min(signals.index(time_s), signals.height_m.size - 1)
        return bool(signals.height_m[k] - signals.ground_m > IN_THE_AIR_M)
    after = signals.within(time_s + 0.3, time_s + 2.0)
    if after.stop - after.start < 3:
        return None
    if signals.climb_m_s is not None:
        return bool(np.median(np.abs(signals.climb_m_s[after])) > 0.8)
    if signals.collective_deg is not None:
        return _cut_in_the_air(
            signals.collective_deg[signals.within(time_s - 1.5, time_s - 0.3)], signals.collective_deg[after]
        )
    return None


def _cut_in_the_air(before_deg: Series, after_deg: Series) -> bool | None:
    """Tell from the collective: on the ground it lay still and low before the cut, in the air it goes well negative."""
    if before_deg.size >= 3 and float(np.ptp(before_deg)) < 0.4 and float(np.median(before_deg)) < 0.6:
        return False
    return bool(np.median(after_deg) < -1.3)


def landing(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return when the machine was on the ground to stay between two times, s; None when not or not to be seen."""
    if signals.height_m is None:
        return None
    part = signals.within(start_s, end_s)
    if part.stop - part.start < 3:
        return None
    high = np.flatnonzero(signals.height_m[part] - signals.ground_m > TOUCHED_M)
    if not high.size:
        return start_s
    last = part.start + int(high[-1]) + 1
    return float(signals.time_s[last]) if last < part.stop else None


def flown(signals: Signals, start_s: float, end_s: float) -> bool | None:
    """Whether a stretch of governed running was flown, even in part."""
    part = signals.within(start_s, end_s)
    if part.stop - part.start < 3:
        return None
    if signals.height_m is not None:
        height = signals.height_m[part] - signals.ground_m
        return bool(np.percentile(sparse(height), 90) > IN_THE_AIR_M or height.max() > 2.0 * IN_THE_AIR_M)
    if signals.climb_m_s is not None:
        return bool(np.percentile(np.abs(sparse(signals.climb_m_s[part])), 95) > 1.0)
    if signals.collective_deg is not None:
        pitch = sparse(signals.collective_deg[part])
        return bool(np.median(pitch) > 1.0 or np.ptp(pitch) > 6.0)
    return None
