"""What was asked of the motor: the throttle channel cut into commands at every switch."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.driving import DRIVING_DUTY, OFF_DUTY
from steadyhead.judge.parts import AT_ONCE, rows_where, true_runs
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals, sparse
from steadyhead.trace.trace import Series

MOVES_PERCENT = 1.2
"""A channel that changes by more than this was moved; less is jitter or one step of the channel."""
BLIP_S = 0.08
"""No hand throws a switch and throws it back in so short a time; own choice."""
LOOK_S = 0.3
MOST_COMMANDS = 5000
RUNS_ABOVE_PERCENT = 35.0
"""Without other evidence a channel above this asks for running; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Command:
    """One position of the throttle channel, from the moment it left the position before."""

    start_s: float
    arrive_s: float
    end_s: float
    percent: float


def commands(signals: Signals) -> tuple[Command, ...] | None:
    """Return the positions of the throttle channel in order, or None when there is no channel that acts as a switch.

    An edge is placed half a sample before the first changed sample: on average it is right.
    Valid: a channel that moves faster than about 4 % per second; a slower one is one long passage.
    """
    throttle = signals.throttle
    if throttle is None:
        return None
    passages = _passages(throttle, signals.samples(LOOK_S))
    if len(passages) > min(MOST_COMMANDS, throttle.size // 8):
        return None
    half = signals.interval_s / 2.0
    starts, arrives, firsts = [signals.start_s], [signals.start_s], [0]
    lasts = []
    for depart, arrive in passages:
        starts.append(max(float(signals.time_s[depart]) - half, starts[-1]))
        arrives.append(max(float(signals.time_s[arrive]) - half, starts[-1]))
        lasts.append(depart)
        firsts.append(arrive)
    lasts.append(throttle.size)
    ends = [*starts[1:], signals.end_s]
    found = (
        Command(
            start_s=start,
            arrive_s=arrive,
            end_s=end,
            percent=median(sparse(throttle[first : max(last, first + 1)])),
        )
        for start, arrive, end, first, last in zip(starts, arrives, ends, firsts, lasts, strict=True)
    )
    return _joined(signals, throttle, found)


def _joined(signals: Signals, throttle: Series, found: Iterable[Command]) -> tuple[Command, ...]:
    """Join neighbours that stand at one position: a channel that jitters was not moved, nor one that blips."""
    joined: list[Command] = []
    for command in found:
        if len(joined) > 1 and _is_blip(joined[-2], joined[-1], command):
            joined.pop()
        if not joined or not same_position(joined[-1].percent, command.percent):
            joined.append(command)
            continue
        part = signals.within(joined[-1].arrive_s, command.end_s)
        middle = median(sparse(throttle[part]))
        joined[-1] = replace(joined[-1], end_s=command.end_s, percent=middle)
    return tuple(joined)


def _is_blip(before: Command, between: Command, after: Command) -> bool:
    """Whether a channel was away for less than a hand takes to throw a switch and throw it back: a faulty row."""
    return between.end_s - between.start_s < BLIP_S and same_position(before.percent, after.percent)


def _passages(throttle: Series, look: int) -> list[tuple[int, int]]:
    """Return (first changed sample, first sample at the new level) of every move of the channel."""
    if throttle.size <= look:
        return []
    found = []
    for first, stop in true_runs(_moving(throttle, look)):
        last = min(stop - 1 + look, throttle.size - 1)
        part = throttle[first : last + 1]
        if abs(part[-1] - part[0]) <= MOVES_PERCENT:
            continue
        away = rows_where(np.abs(part - part[0]) > MOVES_PERCENT / 2.0)
        short = rows_where(np.abs(part - part[-1]) > MOVES_PERCENT / 2.0)
        found.append((first + int(away[0]), first + int(short[-1]) + 1))
    return found


def _moving(throttle: Series, look: int) -> NDArray[np.bool_]:
    """Return for each sample whether the channel stands elsewhere `look` samples later."""
    moving = np.empty(throttle.size - look, dtype=bool)
    for begin in range(0, moving.size, AT_ONCE):
        stop = min(begin + AT_ONCE, moving.size)
        step = throttle[begin + look : stop + look] - throttle[begin:stop]
        np.greater(np.abs(step, out=step), MOVES_PERCENT, out=moving[begin:stop])
    return moving


def same_position(one: float, other: float) -> bool:
    """Whether two channel values are one position of the switch."""
    return abs(one - other) <= 1.5


def command_before(asked: tuple[Command, ...], time_s: float) -> Command | None:
    """Return the last command that had ended at a time; None when there was none."""
    count = bisect_right(asked, time_s + 1e-6, key=lambda command: command.end_s)
    return asked[count - 1] if count else None


def longest_s(signals: Signals, part: slice, there: NDArray[np.bool_]) -> float:
    """Return the longest time for which the rows of a part were so without a break, a row lasting to the next, s.

    Shapes: there (n,), one for each row of the part.
    """
    stamps = signals.time_s[part]
    lasted = (float(stamps[stop - 1] - stamps[first]) for first, stop in true_runs(there))
    return max((took_s + signals.interval_s for took_s in lasted), default=0.0)


def held_between(asked: tuple[Command, ...], start_s: float, end_s: float, hold_percent: float | None) -> bool:
    """Whether the channel stood in throttle hold at any time between."""
    if hold_percent is None:
        return False
    between = (c for c in asked if c.start_s < end_s - EDGE_S and c.end_s > start_s + EDGE_S)
    return any(same_position(c.percent, hold_percent) for c in between)


def touched_until_s(signals: Signals, start_s: float, end_s: float, hold_percent: float | None) -> float | None:
    """Return when the channel left throttle hold after the last touch between, s; None where it was not touched.

    A touch too short for a position of its own counts where its rows last as long as a hand takes, but for the one row
    that may fall beside it.
    """
    if hold_percent is None or signals.throttle is None:
        return None
    part = signals.within(start_s, end_s)
    stamps, least_s = signals.time_s[part], BLIP_S - signals.interval_s
    there = true_runs(signals.throttle[part] <= hold_percent + MOVES_PERCENT)
    last = [
        stamps[stop - 1] for k, stop in there if stamps[stop - 1] - stamps[k] + signals.interval_s >= least_s - 1e-9
    ]
    return float(last[-1]) + 0.5 * signals.interval_s if last else None


EDGE_S = 1e-3
"""Times of one edge, read twice, lie nearer together than this."""


def runs(
    signals: Signals, asked: tuple[Command, ...], start_percent: float | None, hold_percent: float | None
) -> tuple[bool, ...]:
    """Return for each command whether it asks the motor to run.

    A start threshold from the machine file decides, and what its owner calls throttle hold; else the motor's own duty
    at that position; else its height. A low position at which the motor was ever off asks for no running: a motor that
    drives there another time was not asked to.
    """
    if start_percent is not None:
        return tuple(command.percent >= start_percent - 0.05 for command in asked)
    answers = [command.percent >= RUNS_ABOVE_PERCENT for command in asked]
    for group in positions(asked):
        level = asked[group[0]].percent
        if level >= RUNS_ABOVE_PERCENT or (hold_percent is not None and same_position(level, hold_percent)):
            continue
        duties = [duty for duty in (_late_duty(signals, asked[k]) for k in group) if duty is not None]
        if duties and max(duties) > DRIVING_DUTY and min(duties) > OFF_DUTY:
            for k in group:
                answers[k] = True
    return tuple(answers)


def positions(asked: tuple[Command, ...]) -> list[list[int]]:
    """Return the numbers of the commands at each position of the switch, every command in one group."""
    groups: list[list[int]] = []
    for k, command in enumerate(asked):
        for group in groups:
            if same_position(asked[group[0]].percent, command.percent):
                group.append(k)
                break
        else:
            groups.append([k])
    return groups


def _late_duty(signals: Signals, command: Command) -> float | None:
    """Return the duty in the later half of the time at which the channel stood there; None when nothing tells."""
    if signals.duty is None or command.end_s - command.arrive_s < 1.0:
        return None
    part = signals.within(command.arrive_s + 0.5 * (command.end_s - command.arrive_s), command.end_s)
    if part.stop - part.start < 2:
        return None
    return median(sparse(signals.duty[part]))
