"""When the motor really started, reached its speed and stopped: from duty, motor-side speed, current or head speed."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.driving import DRIVING_DUTY, OFF_DUTY
from steadyhead.judge.parts import rows_where, true_runs
from steadyhead.judge.pieces import deviation, line, mean, median
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series

DUTY_RISE = 0.02
FOOT_DOUBT_S = 0.15
"""How well the foot of an even ramp is read from the speed, better than from a duty that rises slowly; own choice."""
DUTY_SEEN = 0.005
"""Half a percent, the step of most duties: one that has risen by more drives the motor; common practice, no source."""
CUT_S = 0.8
CUT_SHARE = 0.9
STANDING_RPM = 40.0
RAMP_S = 1.5
SOON_S = 20.0
"""Most heads settle within this time; only then is the whole of a long stretch looked through."""
STILL_RPM = 6.0
"""A head slower than one turn in ten seconds is at rest for every purpose here."""
NO_REST_RPM, NO_REST_S = 300.0, 3.0
"""No breeze and no hand turns a head so fast for so long; common practice, no source."""
REACHED_SHARE = 0.003
"""The spool-up is over when the head is this near below the set speed: half of it is passed in a few hundredths."""
LONGEST_CREEP_S, FLAT_S, FLAT_SHARE, LOOK_STEP_S = 8.0, 2.0, 0.005, 0.25
"""A governor creeps through its last percents in less; the slowest soft ramp rises by 0.06 in FLAT_S; own choice."""
CARRYING_SHARE = 0.95
CARRYING_DUTY_SHARE = 0.6
UP_ANYWAY_SHARE = 0.97
"""Shares of head speed, governed duty and set speed; common practice, no source."""


def motor_start(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return the moment the motor began to turn or to speed up after a command, s; None when the log shows none.

    From rest the speed itself is looked at, for a turning head the duty, then the motor-side speed; each rise is read
    back to its foot, so a slow ramp is not found late.
    """
    part = signals.within(start_s, end_s)
    if part.stop - part.start < 2:
        return None
    before = slice(max(part.start - signals.samples(0.5), 0), part.start)
    if signals.speed_rpm is not None and signals.speed_rpm[part.start] < STANDING_RPM:
        foot = _speed_rise(signals, signals.speed_rpm, part, before)
        if foot is not None:
            return max(foot, _still_off_s(signals, part, before, foot))
    if signals.duty is not None:
        return _rise(signals, signals.duty, part, before, DUTY_RISE)
    if signals.motor_rpm is not None:
        return _speed_rise(signals, signals.motor_rpm, part, before)
    return None


def head_rise(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return when a head that was not driven, though it turned slowly, began to speed up, s; None where it did not.

    For logs of nothing but the head: a motor that idled, or a hand, had turned it before the command came.
    """
    part = signals.within(start_s, end_s)
    if signals.speed_rpm is None or part.stop - part.start < 2:
        return None
    before = slice(max(part.start - signals.samples(0.5), 0), part.start)
    return _speed_rise(signals, signals.speed_rpm, part, before)


def turns_for_seconds(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the head turned between two times as only a motor, or the air in flight, turns it."""
    if signals.speed_rpm is None:
        return False
    turning = rows_where(signals.speed_rpm[signals.within(start_s, end_s)] > NO_REST_RPM)
    return bool(turning.size * signals.interval_s > NO_REST_S)


def _still_off_s(signals: Signals, part: slice, before: slice, foot_s: float) -> float:
    """Return the last time after the foot of a speed ramp at which the duty had not yet risen, s.

    A motor that jumps to its least speed and waits there makes the line through its first seconds flat, and its foot
    early; the duty knows better. Of a duty slower than the rows, one of its own intervals is left.
    """
    if signals.duty is None:
        return foot_s
    base = median(signals.duty[before]) if before.stop > before.start else float(signals.duty[part.start])
    on = rows_where(signals.duty[part] > base + DUTY_SEEN)
    if not on.size or on[0] == 0:
        return foot_s
    last_off_s = float(signals.time_s[part.start + int(on[0]) - 1]) - signals.own_s.get("duty", 0.0)
    return last_off_s if last_off_s - foot_s > FOOT_DOUBT_S else foot_s


def _rise(signals: Signals, values: Series, part: slice, before: slice, rise: float) -> float | None:
    """Return the foot of a rise above the level before the command, read back along the rise itself, s."""
    base = median(values[before]) if before.stop > before.start else float(values[part.start])
    up = rows_where(values[part] > base + rise)
    if not up.size:
        return None
    first = part.start + int(up[0])
    top = rows_where(values[first : part.stop] > base + 3.0 * rise)
    last = first + int(top[0]) if top.size else part.stop - 1
    foot = float(signals.time_s[first])
    if last - first >= 2:
        slope, level = line(signals.time_s[first : last + 1] - foot, values[first : last + 1])
        foot -= float((level - base) / slope) if slope > 0.0 else 0.0
    return min(max(foot, float(signals.time_s[part.start]) - signals.interval_s), float(signals.time_s[first]))


def _speed_rise(signals: Signals, values: Series, part: slice, before: slice) -> float | None:
    """Return the foot of a speed ramp, s: a line through its first seconds, so that a sensor that is blind at low
    speed does not make the start late."""
    base = median(values[before]) if before.stop > before.start else float(values[part.start])
    up = rows_where(values[part] > base + STANDING_RPM)
    if not up.size:
        return None
    first = part.start + int(up[0])
    last = min(first + signals.samples(RAMP_S), part.stop - 1)
    foot = float(signals.time_s[first])
    if last - first >= 2:
        slope, level = line(signals.time_s[first : last + 1] - foot, values[first : last + 1])
        foot -= float((level - base) / slope) if slope > 0.0 else 0.0
    return min(max(foot, float(signals.time_s[part.start])), float(signals.time_s[first]))


def reached(
    signals: Signals, set_rpm: float, start_s: float, end_s: float, governed_duty: float | None = None
) -> float | None:
    """Return when the motor had brought the head to the set speed, s; None when it had not before the end.

    A head that the air keeps at the set speed has not been brought there: the motor must carry it, where the log tells.
    """
    speed = signals.speed_rpm
    part = signals.within(start_s, end_s)
    if speed is None or part.stop <= part.start:
        return None
    values = speed[part]
    if values[0] > set_rpm * (1.0 - REACHED_SHARE):
        up = np.abs(values - set_rpm) <= 0.01 * set_rpm
    else:
        up = values >= set_rpm * (1.0 - REACHED_SHARE)
    driven = _carried(signals, part, governed_duty)
    there = rows_where(up if driven is None else up & driven)
    return float(signals.time_s[part.start + int(there[0])]) if there.size else None


def ramp_end_s(signals: Signals, near_s: float, there_s: float, set_rpm: float) -> float:
    """Return when a start was over that came near its set speed at `near_s` and to it at `there_s`, s.

    Where more than LONGEST_CREEP_S lie between, the level drifts, and the start was over once the head rose by less
    than FLAT_SHARE of the set speed from one FLAT_S to the next.
    """
    if signals.speed_rpm is None or there_s - near_s <= LONGEST_CREEP_S:
        return there_s
    at_s = near_s
    while at_s < there_s - LONGEST_CREEP_S:
        first, after = signals.within(at_s, at_s + FLAT_S), signals.within(at_s + FLAT_S, at_s + 2.0 * FLAT_S)
        if first.stop > first.start and after.stop > after.start:
            rises = mean(signals.speed_rpm[after]) - mean(signals.speed_rpm[first])
            if rises < FLAT_SHARE * set_rpm:
                return at_s
        at_s += LOOK_STEP_S
    return there_s


def may_be_there_s(signals: Signals, set_rpm: float, start_s: float, end_s: float) -> float:
    """Return the earliest time at which the head may have been at its set speed, for the step in which it is written.

    A speed that is written in steps stands one step low from up to a whole step below on; so does its plateau.
    Valid: a head that comes up from below; the end, where it did not come so near.
    """
    part = signals.within(start_s, end_s)
    if signals.speed_rpm is None or part.stop <= part.start:
        return end_s
    near_rpm = set_rpm * (1.0 - REACHED_SHARE) - signals.speed_step_rpm
    there = rows_where(signals.speed_rpm[part] >= near_rpm)
    return float(signals.time_s[part.start + int(there[0])]) if there.size else end_s


def start_can_be_told(
    signals: Signals, set_rpm: float | None, start_s: float, end_s: float, governed_duty: float | None
) -> bool:
    """Whether the log can tell a quick start from a soft one: not from a head alone that is at its set speed anyway."""
    part = signals.within(start_s, end_s)
    if signals.speed_rpm is None or set_rpm is None or part.stop <= part.start:
        return True
    if not signals.speed_is_head or _carried(signals, part, governed_duty) is not None:
        return True
    return bool(signals.speed_rpm[part.start] < UP_ANYWAY_SHARE * set_rpm)


def _carried(signals: Signals, part: slice, governed_duty: float | None) -> NDArray[np.bool_] | None:
    """Row by row whether the motor turns the head; None when the log cannot tell.

    A motor that turns as fast as the head needs at least the duty of its back voltage, most of the duty that governs.
    """
    if not signals.speed_is_head or signals.speed_rpm is None:
        return None
    if signals.motor_rpm is not None:
        return np.asarray(signals.motor_rpm[part] >= CARRYING_SHARE * signals.motor_share * signals.speed_rpm[part])
    if signals.duty is not None and governed_duty is not None:
        return np.asarray(signals.duty[part] >= CARRYING_DUTY_SHARE * governed_duty)
    return None


PASSES = 4
"""So often through its set speed, by more than 1 % on either side, is no settling: two whole swings; own choice."""


def settled(signals: Signals, set_rpm: float, start_s: float, end_s: float, *, doubt_rpm: float = 0.0) -> float | None:
    """Return when the head was first within 1 % of the set speed, and `doubt_rpm` more, for 0.3 s, s."""
    near = 0.01 * set_rpm + doubt_rpm
    soon = _settled(signals, set_rpm, start_s, min(start_s + SOON_S, end_s), near)
    return soon if soon is not None or end_s - start_s <= SOON_S else _settled(signals, set_rpm, start_s, end_s, near)


def swinging_from(signals: Signals, set_rpm: float, start_s: float, end_s: float) -> float | None:
    """Return when the head came to a set speed about which it then swings, s; None where it comes to rest there.

    It swings where it lies more than 1 % below and more than 1 % above by turns, PASSES times or more.
    """
    speed = signals.speed_rpm
    part = signals.within(start_s, end_s)
    if speed is None or part.stop - part.start < PASSES:
        return None
    away = speed[part] - set_rpm
    sides = np.sign(away[np.abs(away) > 0.01 * set_rpm])
    if np.count_nonzero(np.diff(sides)) < PASSES:
        return None
    first = rows_where(np.sign(away) != np.sign(away[0]))
    return float(signals.time_s[part.start + int(first[0])])


def _settled(signals: Signals, set_rpm: float, start_s: float, end_s: float, near_rpm: float) -> float | None:
    speed = signals.speed_rpm
    part = signals.within(start_s, end_s)
    if speed is None or part.stop - part.start < 2:
        return None
    inside = np.abs(speed[part] - set_rpm) <= near_rpm
    for begin, stop in true_runs(inside):
        first, last = part.start + begin, part.start + stop - 1
        if signals.time_s[last] - signals.time_s[first] >= 0.3 - signals.interval_s / 2.0:
            return float(signals.time_s[first])
    return None


def motor_stop(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return when the motor stopped driving after a command to stop, s; None when it drove on to the end.

    Without a duty channel the command itself is taken, as long as the head slows down after it.
    """
    part = signals.within(start_s, end_s)
    if part.stop <= part.start:
        return start_s
    if signals.duty is not None:
        quiet = signals.duty[part] < DRIVING_DUTY
        if not quiet.any():
            return None
        first = int(np.argmax(quiet))
        return start_s if first == 0 else float(signals.time_s[part.start + first]) - signals.interval_s / 2.0
    speed = signals.speed_rpm
    if speed is None:
        return start_s
    values = speed[part]
    fallen = rows_where(values < 0.97 * max(float(values[0]), 1.0))
    return start_s if fallen.size or part.stop - part.start < signals.samples(1.5) else None


def motor_cut(signals: Signals, set_rpm: float, start_s: float, end_s: float) -> tuple[float, float | None] | None:
    """Return when the motor stopped by itself in governed running, and when its duty came back if it did, s.

    Valid: needs duty and speed; an unloaded governor may also take the duty away, but then the head is not slow.
    """
    part = signals.within(start_s, end_s - 2.0 * signals.interval_s)
    if signals.duty is None or signals.speed_rpm is None or part.stop - part.start < 4:
        return None
    off = signals.duty[part] < OFF_DUTY
    if not off.any():
        return None
    for begin, stop in true_runs(off):
        first, last = part.start + begin, part.start + stop - 1
        slow = float(signals.speed_rpm[first : last + 1].min()) < CUT_SHARE * set_rpm
        if slow and signals.time_s[last] - signals.time_s[first] >= CUT_S:
            again = float(signals.time_s[last + 1]) if last + 1 < part.stop else None
            return float(signals.time_s[first]) - signals.interval_s / 2.0, again
    return None


def head_stop(signals: Signals, start_s: float, end_s: float) -> float | None:
    """Return when the head came to rest, s; None when it did not, or when no head speed was measured.

    A sensor that reads 0 below some speed is read on by the drag law fitted above it, -dw/dt = a + b w^2.
    Valid: a head that coasts without power.
    """
    part = signals.within(start_s, end_s)
    if signals.speed_rpm is None or not signals.speed_is_head or part.stop - part.start < 4:
        return None
    values, stamps = signals.speed_rpm[part], signals.time_s[part]
    low = values[np.abs(values) < 12.0]
    turning = rows_where(values > STILL_RPM + (2.0 * deviation(low[-200:]) if low.size > 8 else 3.0))
    if not turning.size:
        return start_s
    last = int(turning[-1])
    if last + 1 >= values.size:
        return None
    still_rpm = median(values[max(last - 2, 0) : last + 1])
    fall = float(values[max(last - 3, 0)] - values[last])
    if still_rpm < 60.0 or values[last] < 1.5 * fall:
        return float(stamps[last + 1])
    return _drag_end(stamps[: last + 1], values[: last + 1], still_rpm, float(stamps[-1]))


def _drag_end(stamps: Series, values: Series, still_rpm: float, end_s: float) -> float | None:
    use = (values > still_rpm) & (values < 4.0 * still_rpm)
    if int(use.sum()) < 8:
        return None
    rate = -np.gradient(values, stamps)[use]
    square = values[use] ** 2
    slope, offset = line(square, rate)
    if offset <= 0.0 or slope <= 0.0:
        return None
    left = float(np.arctan(still_rpm * np.sqrt(slope / offset)) / np.sqrt(slope * offset))
    stop = float(stamps[-1]) + left
    return stop if stop < end_s else None
