"""Finds a motor that comes back while throttle hold is still on, from the duty, or from a head or motor at rest."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.driving import OFF_DUTY
from steadyhead.judge.parts import true_runs
from steadyhead.judge.pieces import deviation, median, percentile
from steadyhead.judge.signals import Signals
from steadyhead.judge.speeds_up import speeds_up
from steadyhead.trace.trace import Series

Rows = NDArray[np.bool_]
EDGE_S = 0.3
"""A switch may be logged late: the motor may already have been asked for by then; own choice."""
LEAD_S = 0.1
"""By so much no motor leads the switch that starts it, rows and sensors allowed for; own choice."""
OFF_AGAIN_ROWS = 2
"""So many rows without duty before hold is let go: what came before them was no start; own choice."""
FEWEST_ROWS, SHORTEST_S = 3, 0.15
"""What no faulty row or two makes; own choice."""
FEWEST_ALONE, SHORTEST_ALONE_S = 5, 0.3
"""The same where the duty is the only witness; own choice."""
SEEN_IN_CURRENT = 0.2
"""A motor that is driven with so much duty draws current that a sensor sees; own choice."""
LEAST_A, LEAST_RPM, SIGMAS = 0.5, 30.0, 4.0
"""What a current and a speed must have risen by, and by how many of their own deviations; own choice."""
HIGHEST_PERCENT = 99.0
"""What is above this share of a current without drive is a surge; own choice."""
REST_RPM, REST_S = 60.0, 1.0
DRIVEN_RPM, DRIVEN_S = 300.0, 0.5
"""No breeze and no hand turns a head from rest so fast for so long; common practice, no source."""


class Back(NamedTuple):
    """When the motor came back in throttle hold, and whether more than the duty of a few rows says so."""

    at_s: float
    is_sure: bool


def back_in_hold(signals: Signals, off_s: float, end_s: float) -> Back | None:
    """Return the surest sign, then the first, of a driven motor after it was off in throttle hold, if there is any.

    Shapes: off_s, when the duty was zero or hold began at rest, and end_s, when hold ended; s.
    Valid: throttle hold stood all the time between.
    """
    doubt_s = signals.edge_doubt_s("throttle_percent", "duty") + 2.0 * signals.interval_s
    part = signals.within(off_s, end_s - EDGE_S - doubt_s)
    if part.stop - part.start < 2:
        return None
    signs = [*_by_duty(signals, signals.within(off_s, end_s), end_s, doubt_s), *_by_speed(signals, part)]
    return min(signs, key=lambda sign: (not sign.is_sure, sign.at_s), default=None)


def _by_duty(signals: Signals, part: slice, end_s: float, doubt_s: float) -> list[Back]:
    """Return where the duty says so; what lasts to the end and began less than EDGE_S before it may be the next start.

    Where it leads the switch by LEAD_S more than rows and sensors explain, that is not sure.
    """
    if signals.duty is None:
        return []
    duty, time_s = signals.duty[part], signals.time_s[part]
    shown = signals.seen("duty", part)
    on = shown & (duty > OFF_DUTY)
    if not on.any():
        return []
    found = []
    own_s = max(signals.interval_s, signals.own_s.get("duty", 0.0))
    for first, stop in true_runs(on):
        lead_s = end_s - float(time_s[first]) - doubt_s
        if lead_s <= EDGE_S and stop > on.size - OFF_AGAIN_ROWS:
            if lead_s >= LEAD_S and stop - first >= FEWEST_ROWS:
                found.append(Back(float(time_s[first]), False))
            continue
        driven = slice(part.start + first, part.start + stop)
        lasted_s = float(time_s[stop - 1] - time_s[first]) + own_s
        agrees = _rose(signals, signals.current_a, driven, shown & ~on, part, LEAST_A) or _sped_up(signals, driven)
        rows = round(lasted_s / own_s)
        blind = signals.current_a is None or median(duty[first:stop]) < SEEN_IN_CURRENT
        if agrees and rows >= FEWEST_ROWS and lasted_s >= SHORTEST_S:
            found.append(Back(float(time_s[first]), True))
        elif rows >= FEWEST_ALONE and lasted_s >= SHORTEST_ALONE_S:
            found.append(Back(float(time_s[first]), blind))
        elif agrees or rows > 1:
            found.append(Back(float(time_s[first]), False))
    return found


def _rose(signals: Signals, values: Series | None, driven: slice, off: Rows, part: slice, least: float) -> bool:
    """Whether a channel stood higher while the duty did, by more than its own noise, or leapt as a motor started it.

    A motor that turns alone draws little once it has come to its speed, and a surge until then.
    """
    if values is None or not off.any():
        return False
    still = values[part][off]
    seen = max(least, SIGMAS * deviation(still))
    if median(values[driven]) - median(still) > seen:
        return True
    return float(values[driven].max()) - percentile(still, HIGHEST_PERCENT) > seen


def _sped_up(signals: Signals, driven: slice) -> bool:
    """Whether the motor, or the head, turned faster at the end than before: one that coasts only slows down.

    What a slow duty shows may have begun a value of its own earlier.
    """
    if driven.start < 1:
        return False
    first = min(signals.index(signals.time_s[driven.start] - signals.own_s.get("duty", 0.0)), driven.start - 1)
    for speed in (signals.motor_rpm, signals.speed_rpm):
        if speed is None:
            continue
        before = float(speed[first : driven.start].min())
        if percentile(speed[driven], 90) - before > max(LEAST_RPM, 0.02 * before):
            return True
    return False


def _by_speed(signals: Signals, part: slice) -> list[Back]:
    """Return where a motor or head that stood turns as only a motor turns it; with a duty of zero it is not sure."""
    found = []
    head_rpm = signals.speed_rpm if signals.speed_is_head else None
    for speed, name in ((signals.motor_rpm, "motor_side_speed_rpm"), (head_rpm, "head_speed_rpm")):
        if speed is None:
            continue
        time_s, shown = signals.time_s[part], signals.seen(name, part)
        still = _lasting(shown & (speed[part] < REST_RPM), time_s, REST_S)
        turning = _lasting(shown & (speed[part] > DRIVEN_RPM), time_s, DRIVEN_S)
        fast = [first for first, _ in turning if still and first >= still[0][1]]
        if fast:
            found.append(Back(float(time_s[fast[0]]), signals.duty is None))
    leapt = speeds_up(signals, part)
    if leapt is not None:
        found.append(Back(leapt.at_s, leapt.is_sure and signals.duty is None))
    return found


def _lasting(there: Rows, time_s: Series, seconds: float) -> list[tuple[int, int]]:
    """Return the runs of FEWEST_ROWS or more that last so long."""
    return [
        (first, stop)
        for first, stop in true_runs(there)
        if stop - first >= FEWEST_ROWS and time_s[stop - 1] - time_s[first] >= seconds
    ]
