"""Whether the machine was in the air: from height, vertical speed, collective; None where nothing tells."""

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import line, median, percentile
from steadyhead.judge.signals import IN_THE_AIR_M, Signals, sparse
from steadyhead.trace.trace import Series

TOUCHED_M = 1.2
FLAT_M = 1.0
HELD_SHARE_PER_S = 0.04
HOVER_DEG = 1.5
CARRIES_DEG = 2.5
"""A collective above this until the cut held the machine up; common practice, no source."""


def airborne_at(signals: Signals, time_s: float, until_s: float) -> bool | None:
    """Whether the machine flew at a moment when the motor had just been cut; `until_s`, when it was called back."""
    if signals.height_m is not None:
        k = min(signals.index(time_s), signals.height_m.size - 1)
        return bool(signals.height_m[k] - signals.ground_m > IN_THE_AIR_M)
    after = signals.within(time_s + 0.3, min(time_s + 2.0, until_s))
    if after.stop - after.start < 3:
        return None
    if signals.climb_m_s is not None:
        return bool(median(np.abs(signals.climb_m_s[after])) > 0.8)
    if signals.collective_deg is not None:
        return _cut_in_the_air(
            signals.collective_deg[signals.within(time_s - 1.5, time_s - 0.3)], signals.collective_deg[after]
        )
    return None


def _cut_in_the_air(before_deg: Series, after_deg: Series) -> bool | None:
    """Tell from the collective: on the ground it lay still and low before the cut, in the air it carried the machine
    until then, or goes well negative."""
    if before_deg.size >= 3 and float(np.ptp(before_deg)) < 0.4 and median(before_deg) < 0.6:
        return False
    if before_deg.size >= 3 and median(before_deg) > CARRIES_DEG:
        return True
    return bool(median(after_deg) < -1.3)


def carried_by_air(signals: Signals, start_s: float, end_s: float) -> bool | None:
    """Whether an undriven head was kept turning by the air: three seconds after the cut it hardly slows.

    None when the head was not measured or the time is too short to tell.
    """
    part = signals.within(start_s + 2.5, min(start_s + 4.5, end_s))
    if signals.speed_rpm is None or not signals.speed_is_head or part.stop - part.start < 4:
        return None
    if signals.time_s[part.stop - 1] - signals.time_s[part.start] < 0.7:
        return None
    values = signals.speed_rpm[part]
    slope = line(signals.time_s[part] - start_s, values)[0]
    return bool(values.mean() > 200.0 and abs(slope) < HELD_SHARE_PER_S * float(values.mean()))


def stirred(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the current of a governed stretch shows flying: its peaks are twice its usual value."""
    part = signals.within(start_s + 3.0, end_s)
    if signals.current_a is None or part.stop - part.start < 8:
        return True
    some = sparse(signals.current_a[part])
    return bool(percentile(some, 99.5) > 2.0 * median(some) + 1.0)


def landing(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return when the machine was on the ground to stay between two times, s; None when not or not to be seen.

    The ground is where the height comes to rest in that time, since the sensor drifts over a flight.
    """
    if signals.height_m is None:
        return None
    part = signals.within(start_s, end_s)
    if part.stop - part.start < 3:
        return None
    last = signals.height_m[signals.within(max(end_s - 1.5, start_s), end_s)]
    ground = median(last) if last.size >= 3 and float(np.ptp(last)) < FLAT_M else signals.ground_m
    high = rows_where(signals.height_m[part] - ground > TOUCHED_M)
    if not high.size:
        return start_s
    first_down = part.start + int(high[-1]) + 1
    return float(signals.time_s[first_down]) if first_down < part.stop else None


def flown(signals: Signals, start_s: float, end_s: float) -> bool | None:
    """Whether a stretch of governed running was flown, even in part."""
    part = signals.within(start_s, end_s)
    if part.stop - part.start < 3:
        return None
    if signals.height_m is not None:
        height = signals.height_m[part]
        highest = float(height.max()) - signals.ground_m
        if highest > 2.0 * IN_THE_AIR_M:
            return True
        if highest > IN_THE_AIR_M and percentile(sparse(height), 90) - signals.ground_m > IN_THE_AIR_M:
            return True
        pitch = signals.collective_deg
        return bool(pitch is not None and median(sparse(pitch[part])) > HOVER_DEG)
    if signals.climb_m_s is not None:
        return bool(percentile(np.abs(sparse(signals.climb_m_s[part])), 95) > 1.0)
    if signals.collective_deg is not None:
        pitch = sparse(signals.collective_deg[part])
        return bool(median(pitch) > 1.0 or np.ptp(pitch) > 6.0)
    return None
