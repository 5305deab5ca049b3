"""Measures what each hard load did to the head speed."""

from math import sqrt
from typing import NamedTuple

import numpy as np

from steadyhead.judge.governing import speed_droop_percent, transient_deviation_percent
from steadyhead.judge.loads import Load
from steadyhead.judge.next_move import until_next_move
from steadyhead.judge.pieces import mean
from steadyhead.judge.result import LoadEvent
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import LIKELY_NOISE, peak_interval, recovery_interval_s, recovery_time_s, row_noise
from steadyhead.trace.trace import Series

BEFORE_S = 1.5
AFTER_S = 4.0
UNLOADING_S = 0.25
"""A current shows the end of a load a tenth of a second or two late: the head has begun to rise by then; own choice."""
SHOWN_SHARE = 0.5
SHOWN_S = SHOWN_SHARE * BEFORE_S
PUMP_END_DOUBT_S = 1.0
"""The current does not tell the last pump from catching the sink after it; own choice."""
PEAK_S = 1.0
"""The head overshoots within a second of the load's end, or not at all; common practice, no source."""
LATE_SHARE = 0.4
ARRIVED_S = 0.75
"""A load that comes sooner after a change of speed has no level before it; own choice."""
TAIL_S = 0.6
"""A head that is not back is outside its band for most of the last rows, not at the very last alone; own choice."""
UNIFORM = 12.0
"""A value written in steps is off by the step over the root of twelve: variance of an even spread, any textbook."""
FULL_DUTY = 0.98
"""From here the duty stands at its stop and the governor has lost its say."""


def event(
    signals: Signals, speed: Series, governed: Stretch, load: Load, until_s: float, band_share: float
) -> LoadEvent | None:
    """Return the figures of one load, or None where the log holds too little of it.

    Before = mean over 1.5 s, or over what of it came after the head had settled; droop = before less the mean over
    the last 40 % of a climb; deviations from before, down to 4 s after; load recovery about the speed before, unload
    recovery about the set speed, both to stay.
    Shapes: speed (n,).
    """
    set_rpm = governed.set_rpm
    begin_s = max(load.start_s - BEFORE_S, governed.start_s)
    before_part = signals.within(begin_s, load.start_s)
    end_s = min(load.end_s, governed.end_s)
    loaded = signals.within(load.start_s, end_s)
    after = signals.within(end_s, min(end_s + AFTER_S, until_s, governed.end_s))
    whole = slice(loaded.start, max(after.stop, loaded.stop))
    if set_rpm is None or before_part.stop - before_part.start < 2 or loaded.stop - loaded.start < 3:
        return None
    settled = signals.within(min(max(begin_s, governed.ready_s), load.start_s), load.start_s)
    before = mean(speed[settled if settled.stop - settled.start >= 2 else before_part])
    if load.kind == "pump" and signals.hidden_s(load.start_s - 1.0, end_s + BEFORE_S) > 0.0:
        return None  # whether the pumping went on within the hole is not known
    seen = speed[whole]
    if signals.sensed and float(seen.min()) == float(seen.max()):
        return None  # no head bears a hard load without moving: its sensor stood still
    droop = None
    white, step = row_noise(seen), signals.speed_step_rpm
    noise = sqrt(white**2 + step**2 / UNIFORM)
    # Rounding is bounded by half a step, beside which a coarse speed has little noise.
    likely = LIKELY_NOISE * (white if white < step else noise) + (0.5 * step if white < step else 0.0)
    back: Back | None = None
    arriving = load.start_s - max(governed.start_s, governed.ready_s) < ARRIVED_S
    if load.kind == "climb" and not arriving:
        late_s = LATE_SHARE * (end_s - load.start_s)
        late = signals.within(end_s - late_s, end_s)
        lost_s = max(signals.hidden_s(end_s - late_s, end_s), signals.hidden_s(load.start_s - SHOWN_S, load.start_s))
        if late.stop > late.start and lost_s <= SHOWN_SHARE * late_s:
            droop = speed_droop_percent(before, mean(speed[late]), set_rpm)
        still = loaded if signals.collective_deg is not None else signals.within(load.start_s, end_s - UNLOADING_S)
        back = _back(signals.time_s[still], speed[still], before, band_share * set_rpm, noise, likely)
    unloaded: Back | None = None
    if after.stop - after.start >= 3:
        alone = until_next_move(signals, after, speed, set_rpm, band_share * set_rpm)
        unloaded = _back(signals.time_s[alone], speed[alone], set_rpm, band_share * set_rpm, noise, likely)
    loads_back = None if arriving else back is None or back.recovered
    words = (loads_back, None if unloaded is None else unloaded.recovered)
    recovered = False if False in words else None if None in words else True
    undershoot = -transient_deviation_percent(float(seen.min()), before, set_rpm)
    overshoot = transient_deviation_percent(float(seen.max()), before, set_rpm)
    dip = peak_interval(seen, int(seen.argmin()), set_rpm, signals.interval_s, undershoot, noise)
    rise = peak_interval(seen, int(seen.argmax()), set_rpm, signals.interval_s, overshoot, noise)
    at_stop, own, sag = _where_lost(signals, speed, (load, end_s), before, set_rpm)
    return LoadEvent(
        kind=load.kind,
        start_s=load.start_s,
        end_s=end_s,
        set_rpm=set_rpm,
        droop_percent=droop,
        undershoot_percent=undershoot,
        overshoot_percent=overshoot,
        load_recovery_s=back.time_s if back else None,
        unload_recovery_s=unloaded.time_s if unloaded else None,
        recovered=recovered,
        duty_max=_extreme(signals.duty, whole, np.maximum),
        pack_current_max_a=_extreme(signals.current_a, whole, np.maximum),
        pack_voltage_min_v=_extreme(signals.voltage_v, whole, np.minimum),
        undershoot_percent_interval=dip,
        overshoot_percent_interval=rise,
        at_stop_share=at_stop,
        governor_droop_percent=own,
        sag_loss_percent=sag,
        load_recovery_s_interval=back.span_s if back else None,
        unload_recovery_s_interval=unloaded.span_s if unloaded else None,
        hidden_s=signals.hidden_s(load.start_s, float(signals.time_s[whole.stop - 1])),
        end_doubt_s=PUMP_END_DOUBT_S if load.kind == "pump" and signals.collective_deg is None else 0.0,
        least_likely_s=max((b.least_likely_s for b in (back, unloaded) if b and b.span_s), default=None),
        peak_hidden=signals.hidden_s(end_s - UNLOADING_S, end_s + PEAK_S) > 0.0,
    )


class Back(NamedTuple):
    """How soon the head was back in its band, and what noise makes of it; no span where it was not seen back."""

    time_s: float | None
    span_s: tuple[float, float] | None
    least_likely_s: float
    recovered: bool | None
    """None where the last row is outside by no more than noise makes it."""


def _back(time_s: Series, speed: Series, centre: float, half_band: float, noise: float, likely_off: float) -> Back:
    took, left = recovery_time_s(time_s, speed, centre, half_band)
    likely = took if not left else recovery_time_s(time_s, speed, centre, half_band + likely_off)[0]
    if likely is None:
        tail = np.abs(speed[time_s >= time_s[-1] - TAIL_S] - centre) > half_band
        if 2 * int(np.count_nonzero(tail)) < tail.size:  # it had been back, and left the band again or a row is faulty
            return Back(None, (0.0, float(time_s[-1] - time_s[0])), 0.0, None)
        return Back(None, None, 0.0, False)
    span = recovery_interval_s(time_s, speed, centre, half_band, noise)
    return Back(took, span, likely, None if took is None else True)


def _where_lost(
    signals: Signals, speed: Series, span: tuple[Load, float], before: float, set_rpm: float
) -> tuple[float | None, float | None, float | None]:
    """Return the share of a load with the duty at its stop, and the droop lost with room and at the stop, percent.

    Equation: droop = sum over the late rows of (before - n) / count; each row counts to one part or the other.
    Valid: the duty was logged; the parts only for climbs.
    """
    load, end_s = span
    duty = signals.duty
    if duty is None:
        return None, None, None
    share = mean((duty[signals.within(load.start_s, end_s)] >= FULL_DUTY).astype(np.float64))
    late = signals.within(end_s - LATE_SHARE * (end_s - load.start_s), end_s)
    if load.kind != "climb" or late.stop <= late.start:
        return share, None, None
    lost = before - speed[late]
    at_stop = duty[late] >= FULL_DUTY
    return (
        share,
        speed_droop_percent(mean(np.where(at_stop, 0.0, lost)), 0.0, set_rpm),
        speed_droop_percent(mean(np.where(at_stop, lost, 0.0)), 0.0, set_rpm),
    )


def _extreme(values: Series | None, part: slice, pick: np.ufunc) -> float | None:
    if values is None or part.stop <= part.start:
        return None
    return float(pick.reduce(values[part]))
