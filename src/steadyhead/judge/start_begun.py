"""When the controller began a start, which may be well before the motor drives, and where a log shows it too late."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.measured import Measured
from steadyhead.judge.motor_state import DUTY_SEEN, STILL_RPM
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series

TURNED_SHARE = 0.1
"""A motor below this share of the set speed is as good as at rest: any ramp is past it at once; own choice."""

IDLED_S, STEP_S = 0.5, 0.1
"""Medians over so long tell a fall of the duty from its jitter; own choice."""
Rows = NDArray[np.int64]


def begun_s(signals: Signals, asked_s: float, came_s: float) -> float:
    """Return when the controller began a start that was asked at `asked_s` and in which the motor came at `came_s`, s.

    A ramp that begins below an idling or coasting motor takes the duty down first, and the motor drives only once the
    ramp has come up to it. Begun is when the duty, or else the motor side, rose from the lowest that it had since it
    was asked; a duty that fell to a step above none was the first of the ramp.
    """
    part = signals.within(asked_s, came_s)
    part = slice(max(part.start - 1, 0), part.stop)  # the row before shows what the motor did until then
    values, seen = signals.duty, DUTY_SEEN
    if values is None:
        values, seen = signals.motor_rpm, STILL_RPM + signals.speed_step_rpm
    if values is None or part.stop - part.start < 2:
        return came_s
    least = float(values[part].min())
    low = rows_where(values[part] <= least + seen)
    fell = signals.duty is not None and least > DUTY_SEEN and _stays_down(signals, signals.duty, asked_s, part, low)
    row = part.start + (int(low[0]) if fell else int(low[-1]) + 1)
    return min(float(signals.time_s[min(row, signals.time_s.size - 1)]), came_s)


def _stays_down(signals: Signals, duty: Series, asked_s: float, part: slice, low: Rows) -> bool:
    """Whether a duty fell where it was first lowest, and did not only jitter about its idling.

    Equation: the median of the IDLED_S before lies more than DUTY_SEEN above that of the STEP_S from there on.
    Shapes: duty (n,), low (k,).
    """
    first = part.start + int(low[0])
    begin = min(signals.index(asked_s - IDLED_S), part.start)
    before, after = duty[begin:first], duty[first : first + signals.samples(STEP_S) + 1]
    return bool(before.size and median(before) - median(after) > DUTY_SEEN)


def off_until_s(signals: Signals, from_s: float, to_s: float) -> float:
    """Return until when the duty still showed a motor that is off, s; `from_s` where it did not, or was not logged.

    The foot of a ramp is read along the ramp, and may lie before the motor came in with a step.
    """
    if signals.duty is None:
        return from_s
    part = signals.within(from_s, to_s)
    off = rows_where(signals.duty[part] <= DUTY_SEEN)
    return float(signals.time_s[part.start + int(off[-1])]) if off.size else from_s


def shows_late(found: Measured, asked_s: float, began_s: float) -> str:
    """Say why a start may have begun sooner than the log shows, in words; nothing where it did not.

    Nothing but a motor speed dates the start of a motor that was not at rest when it was called back.
    """
    signals = found.signals
    if signals.duty is not None or signals.motor_rpm is None:
        return ""
    part = signals.within(asked_s, began_s)
    set_rpm = next((s.set_rpm for s in reversed(found.stretches) if s.start_s <= began_s + 0.1 and s.set_rpm), None)
    if part.stop <= part.start or set_rpm is None:
        return ""
    if float(signals.motor_rpm[part].min()) <= TURNED_SHARE * set_rpm:
        return ""
    return (
        f"the motor still turned when it was called back at {asked_s:.1f} s: a ramp that begins below its speed shows "
        "in the speed only once it has come up to it"
    )
