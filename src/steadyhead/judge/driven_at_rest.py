"""Finds a motor that drives, or idles, while the channel stands in a position that must not start a head at rest."""

from typing import NamedTuple

from steadyhead.judge.back_in_hold import back_in_hold
from steadyhead.judge.commands import Command
from steadyhead.judge.pieces import deviation, median, percentile
from steadyhead.judge.signals import Signals
from steadyhead.judge.turns_in_hold import turns_in_hold
from steadyhead.trace.trace import Series

TURNS_RPM = 60.0
"""A head at rest that comes to a turn a second is driven: a breeze turns it slower; common practice, no source."""
MOTOR_TURNS_RPM = 30.0
"""The same of the motor side, in rpm of the head: behind the one-way bearing no breeze turns a motor; own choice."""
FEW_ROWS, FEWEST_ROWS = 8, 3
"""In so few rows the middle one counts, where else nine of ten do; in fewer nothing does; own choice."""
BEFORE_S = 1.0
LEAST_A, SIGMAS = 1.0, 4.0
"""What a current must have risen by, and by how many of its own deviations; own choice."""


class Driven(NamedTuple):
    """What shows a driven motor, in words, and whether it is sure."""

    says: str
    is_sure: bool


def driven_at_rest(signals: Signals, command: Command) -> Driven | None:
    """Return the surest sign of a motor that was driven while the channel stood there, None where there is none.

    The level of rest is that of the second before the channel came there: a motor that comes up within a row turns
    already in the first row of that position.
    Valid: the head was at rest when the channel came there.
    """
    head_rpm = signals.speed_rpm if signals.speed_is_head else None
    for speed, what, least_rpm in (
        (head_rpm, "head", TURNS_RPM),
        (signals.motor_rpm, "motor side", MOTOR_TURNS_RPM),
    ):
        rose_rpm = _rise(signals, speed, command)
        if rose_rpm > least_rpm + 0.5 * signals.speed_step_rpm:
            return Driven(f"the {what} came from rest to {rose_rpm:.0f} rpm, counted at the head", True)
    back = back_in_hold(signals, command.arrive_s, command.end_s)
    if back is not None:
        sign = "the duty" if signals.duty is not None else "the speed"
        return Driven(f"{sign} shows a driven motor from {back.at_s:.1f} s", back.is_sure)
    turns_on = turns_in_hold(signals, command.arrive_s, command.end_s)
    if turns_on is not None:
        return Driven(turns_on.says, turns_on.is_sure)
    before = _before(signals, command)
    if signals.duty is None and signals.motor_rpm is None and signals.current_a is not None and before is not None:
        rose_a = _rise(signals, signals.current_a, command)
        if rose_a > max(LEAST_A, SIGMAS * deviation(signals.current_a[before])):
            return Driven(f"the current rose by {rose_a:.1f} A, as that of an idling motor does", False)
    return None


def _before(signals: Signals, command: Command) -> slice | None:
    """Return the rows of the second before the channel came there; None where the log does not show any."""
    part = signals.within(command.start_s - BEFORE_S, command.start_s - 0.5 * signals.interval_s)
    return part if part.stop > part.start else None


def _rise(signals: Signals, values: Series | None, command: Command) -> float:
    """Return by how much a channel came to stand above its level at rest, few wild rows left out; in its unit."""
    part = signals.within(command.arrive_s, command.end_s)
    rows = part.stop - part.start
    if values is None or rows < FEWEST_ROWS:
        return 0.0
    before = _before(signals, command)
    rest = float(values[part.start]) if before is None else median(values[before])
    stood = median(values[part]) if rows < FEW_ROWS else percentile(values[part], 90)
    return stood - max(rest, 0.0)
