"""Measures what each hard load did to the head speed."""

import numpy as np

from steadyhead.judge.governing import speed_droop_percent, transient_deviation_percent
from steadyhead.judge.loads import Load
from steadyhead.judge.pieces import mean
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import recovery_time_s
from steadyhead.trace.trace import Series

BEFORE_S = 1.5
AFTER_S = 4.0


def event(
    signals: Signals, speed: Series, governed: Stretch, load: Load, until_s: float, band_share: float
) -> LoadEvent | None:
    """Return the figures of one load, or None where the log holds too little of it.

    Before = mean over 1.5 s; droop = before less the mean over the last 40 % of a climb; deviations from before,
    down to 4 s after; load recovery about the speed before, unload recovery about the set speed, both to stay.
    Shapes: speed (n,).
    """
    set_rpm = governed.set_rpm
    before_part = signals.within(max(load.start_s - BEFORE_S, governed.start_s), load.start_s)
    end_s = min(load.end_s, governed.end_s)
    loaded = signals.within(load.start_s, end_s)
    after = signals.within(end_s, min(end_s + AFTER_S, until_s, governed.end_s))
    whole = slice(loaded.start, max(after.stop, loaded.stop))
    if set_rpm is None or before_part.stop - before_part.start < 2 or loaded.stop - loaded.start < 3:
        return None
    before = mean(speed[before_part])
    seen = speed[whole]
    droop = None
    load_recovery: float | None = None
    load_left = True
    if load.kind == "climb":
        late = signals.within(end_s - 0.4 * (end_s - load.start_s), end_s)
        if late.stop > late.start:
            droop = speed_droop_percent(before, mean(speed[late]), set_rpm)
        load_recovery, load_left = recovery_time_s(signals.time_s[loaded], speed[loaded], before, band_share * set_rpm)
    unload_recovery: float | None = None
    unload_seen = after.stop - after.start >= 3
    if unload_seen:
        unload_recovery, _ = recovery_time_s(signals.time_s[after], speed[after], set_rpm, band_share * set_rpm)
    loads_back = load.kind != "climb" or load_recovery is not None or not load_left
    recovered = (loads_back and unload_recovery is not None) if unload_seen else (None if loads_back else False)
    return LoadEvent(
        kind=load.kind,
        start_s=load.start_s,
        end_s=end_s,
        set_rpm=set_rpm,
        droop_percent=droop,
        undershoot_percent=-transient_deviation_percent(float(seen.min()), before, set_rpm),
        overshoot_percent=transient_deviation_percent(float(seen.max()), before, set_rpm),
        load_recovery_s=load_recovery,
        unload_recovery_s=unload_recovery,
        recovered=recovered,
        duty_max=_extreme(signals.duty, whole, np.maximum),
        pack_current_max_a=_extreme(signals.current_a, whole, np.maximum),
        pack_voltage_min_v=_extreme(signals.voltage_v, whole, np.minimum),
    )


def _extreme(values: Series | None, part: slice, pick: np.ufunc) -> float | None:
    if values is None or part.stop <= part.start:
        return None
    return float(pick.reduce(values[part]))
