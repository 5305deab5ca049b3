"""Finds what of throttle hold nobody saw: rows lost, duty or speed missing, where the motor may have come back."""

import numpy as np

from steadyhead.judge.holes import HOLE_ROWS, HOLE_S, Holes, holes_of
from steadyhead.judge.signals import Signals

REST_RPM = 60.0
"""Head or motor side, in rpm of the head, that is seen to stay slower is not driven, whatever the duty; own choice."""
TURNS_RPM = 200.0
"""A sensor that falls silent below this speed may only be too slow for it; own choice."""


def hidden_in_hold(signals: Signals, off_s: float, end_s: float) -> tuple[float, float] | None:
    """Return begin and end of the first hole in which nothing shows that the motor stayed off, s; None without one.

    A hole of the duty hides nothing where the speed is seen to stay at rest, nor one of the speed that began at rest.
    Valid: throttle hold stood from `off_s` to `end_s`.
    """
    part = signals.within(off_s, end_s)
    least_s = max(HOLE_S, HOLE_ROWS * signals.interval_s)
    around = slice(max(part.start - 1, 0), part.stop + 1)
    rows = holes_of(signals.time_s[around], None, signals.interval_s)
    name = "head_speed_rpm" if signals.motor_rpm is None else "motor_side_speed_rpm"
    duty, speed = _own(signals, "duty"), _own(signals, name)
    found = [
        *((a, b) for a, b in rows.tolist()),
        *((a, b) for a, b in duty.tolist() if not _seen_at_rest(signals, name, max(a, off_s), min(b, end_s))),
        *((a, b) for a, b in speed.tolist() if _rpm(signals, a) > TURNS_RPM),
    ]
    inside = [(a, b) for a, b in found if min(b, end_s) - max(a, off_s) > least_s]
    return min(inside, default=None)


def _own(signals: Signals, name: str) -> Holes:
    return signals.own_holes.get(name, np.empty((0, 2)))


def _rpm(signals: Signals, time_s: float) -> float:
    speed = signals.speed_rpm if signals.motor_rpm is None else signals.motor_rpm
    return 0.0 if speed is None else float(speed[signals.index(time_s)])


def _seen_at_rest(signals: Signals, name: str, start_s: float, end_s: float) -> bool:
    """Whether the speed was measured all the time and stayed at rest."""
    speed = signals.speed_rpm if signals.motor_rpm is None else signals.motor_rpm
    part = signals.within(start_s, end_s - 2.0 * signals.interval_s)
    if speed is None or part.stop <= part.start:
        return False
    return bool(signals.seen(name, part).all()) and float(speed[part].max()) < REST_RPM
