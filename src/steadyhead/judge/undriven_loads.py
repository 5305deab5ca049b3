"""Leaves out loads that came when the head had already lost its speed, where no log says that the motor drove it."""

from collections.abc import Callable
from dataclasses import replace

from steadyhead.judge.events import BEFORE_S
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import mean
from steadyhead.judge.result import LoadEvent
from steadyhead.words.verdict import Outcome, Verdict

LOST_SHARE = 0.05
"""A head that a motor drives has not lost so much before the load comes, or the load before it failed; own choice."""


def of_driven_loads(judged: Callable[[Measured, Owner], Verdict], found: Measured, numbers: Owner) -> Verdict:
    """Return what a check says of the loads that began near the set speed; unknown beside others, unless it fails.

    Without throttle channel and duty, throttle hold in flight and the start after it look like a deep droop: the head
    is slow when the collective, or the current, comes.
    """
    if found.channel_seen or found.signals.duty is not None:
        return judged(found, numbers)
    slow = [(event, rpm) for event in found.events for rpm in [_before_rpm(found, event)] if _is_slow(event, rpm)]
    if not slow:
        return judged(found, numbers)
    kept = tuple(event for event in found.events if not any(event is one for one, _ in slow))
    verdict = judged(replace(found, events=kept), numbers)
    if verdict.verdict is Outcome.FAIL:
        return verdict
    event, rpm = slow[0]
    why = (
        f"the head had sunk to {rpm:.0f} rpm, set {event.set_rpm:.0f}, before the load at {event.start_s:.1f} s, and "
        "without throttle channel and duty the log does not show whether the motor drove it"
    )
    return Verdict.unknown(verdict.check, why, needs=("throttle_percent", "duty"))


def _before_rpm(found: Measured, event: LoadEvent) -> float:
    part = found.signals.within(event.start_s - BEFORE_S / 3.0, event.start_s)
    speed = found.signals.speed_rpm
    return event.set_rpm if speed is None or part.stop - part.start < 1 else mean(speed[part])


def _is_slow(event: LoadEvent, before_rpm: float) -> bool:
    return before_rpm < (1.0 - LOST_SHARE) * event.set_rpm
