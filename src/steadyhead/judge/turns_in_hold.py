"""Finds a motor that throttle hold never let stand: it turns on evenly, or a duty too small for driving stays."""

from typing import NamedTuple

from steadyhead.judge.motor_state import DUTY_SEEN
from steadyhead.judge.pieces import mean, median
from steadyhead.judge.signals import Signals

LOOK_S = 3.0
FEWEST_ROWS = 6
EVEN_SHARE = 0.98
"""A motor without drive loses more than this leaves from one half of LOOK_S to the next, alone or with its head on the
ground: its own inertia is small; common practice, no source."""
LEAST_RPM = 15.0
"""Noise and rounding of a motor side that stands, in rpm of the head; own choice."""
LET_GO_S = 0.5
REST_S = 0.5
EACH_S, MOST_LOOKS = 1.0, 600
"""Ten minutes of throttle hold, looked through from its end; own choice."""


class TurnsOn(NamedTuple):
    """What shows, late in throttle hold, that the motor was not off, in words, and whether it is sure."""

    says: str
    is_sure: bool


def turns_in_hold(signals: Signals, off_s: float, end_s: float) -> TurnsOn | None:
    """Return what shows a motor that was not off in throttle hold, a sure sign first; None where nothing does.

    Sure where the motor side turns evenly and the duty is more than at rest. One of the two alone is not: a small duty
    may be how the controller writes none, and an even speed beside a duty of zero may be a sensor that stands, or a
    rotor without one-way bearing in the air; that counts at the end of the hold only.
    Valid: hold, or another position that must not drive, stood from `off_s` to `end_s`, s, for LOOK_S or longer.
    """
    late_s = LET_GO_S + signals.edge_doubt_s("throttle_percent", "duty") + 2.0 * signals.interval_s
    until_s = end_s - late_s if end_s < signals.end_s else end_s
    looks = min(int((until_s - off_s - LOOK_S) / EACH_S + 1.0), MOST_LOOKS)
    at_rest = _duty_at_rest(signals)
    signs: list[TurnsOn] = []
    for k in range(looks):
        part = signals.within(until_s - k * EACH_S - LOOK_S, until_s - k * EACH_S)
        if part.stop - part.start < FEWEST_ROWS:
            continue
        duty = _duty(signals, part)
        if duty is not None and duty - at_rest > DUTY_SEEN:
            signs.append(_with_duty(signals, part, duty))
        elif k == 0 and (rpm := _even_rpm(signals, part)) is not None:
            signs.append(TurnsOn(f"{_turns(signals, part, rpm)}, and no duty says that it is driven", False))
    return next((sign for sign in signs if sign.is_sure), signs[0] if signs else None)


def _with_duty(signals: Signals, part: slice, duty: float) -> TurnsOn:
    rpm = _even_rpm(signals, part)
    if rpm is not None:
        return TurnsOn(f"{_turns(signals, part, rpm)}, with a duty of {100.0 * duty:.1f} %", True)
    from_s = float(signals.time_s[part.start])
    return TurnsOn(f"from {from_s:.1f} s on the duty stays at {100.0 * duty:.1f} %, more than at rest", False)


def _turns(signals: Signals, part: slice, rpm: float) -> str:
    from_s = float(signals.time_s[part.start])
    return f"from {from_s:.1f} s on the motor side turns evenly at {rpm:.0f} rpm of the head"


def _duty(signals: Signals, part: slice) -> float | None:
    if signals.duty is None or not signals.seen("duty", part).all():
        return None
    return median(signals.duty[part])


def _duty_at_rest(signals: Signals) -> float:
    """Return the duty of the log's first moments, 0 where speed or duty are missing or the head turned then."""
    part = signals.within(signals.start_s, signals.start_s + REST_S)
    if signals.duty is None or signals.speed_rpm is None or median(signals.speed_rpm[part]) > LEAST_RPM:
        return 0.0
    return median(signals.duty[part])


def _even_rpm(signals: Signals, part: slice) -> float | None:
    """Return the speed at which the motor side turns without slowing down, rpm of the head; None where it does not."""
    if signals.motor_rpm is None or not signals.seen("motor_side_speed_rpm", part).all():
        return None
    values = signals.motor_rpm[part]
    half = values.size // 2
    early, late = mean(values[:half]), mean(values[half:])
    return late if min(early, late) > LEAST_RPM and late >= EVEN_SHARE * early else None
