"""A motor that stopped by itself while the throttle channel asked for running: when, and what of it is in doubt."""

from typing import NamedTuple

import numpy as np

from steadyhead.judge.commands import BLIP_S, MOVES_PERCENT, RUNS_ABOVE_PERCENT, Command, longest_s
from steadyhead.judge.signals import Signals

EDGE_S = 0.3
"""A channel that was moved so long before the motor stopped may have stopped it; own choice."""
LATE_S = 2.0
"""A channel that leaves its position within so long of the stop may be logged late: one source late against another,
while a pilot who sees the stop may be as quick; own choice."""
LEAP_SHARE, FALLS_S, RISES_S = 0.15, 0.3, 2.0
"""A head neither loses its speed in FALLS_S nor gains it in RISES_S; LEAP_SHARE is left to noise; own choice."""


class Cut(NamedTuple):
    """A motor that stopped though the channel asked for running; `back_s` None where it stayed off until it was moved.

    `doubt` says why it may have been something else; empty where the log shows it for certain.
    """

    stop_s: float
    back_s: float | None
    doubt: str


def cut_by_itself(
    signals: Signals, command: Command, set_rpm: float, stop_s: float, back_s: float | None
) -> Cut | None:
    """Return the cut of a motor that was off from `stop_s` to `back_s` within a command to run; None where it is none.

    It is none where the channel itself was moved, or may have been, seen late by no more than its own values are apart.
    """
    channel = signals.throttle
    if channel is None:
        return None
    until_s = command.end_s if back_s is None else back_s
    slow_s = signals.edge_doubt_s("throttle_percent", "duty") + 2.0 * signals.interval_s
    if back_s is None and until_s < signals.end_s and until_s - stop_s <= slow_s:
        return None
    part = signals.within(stop_s - EDGE_S - slow_s, min(stop_s + slow_s, until_s))
    away = channel[part] < min(command.percent, RUNS_ABOVE_PERCENT) - MOVES_PERCENT
    if longest_s(signals, part, away) >= BLIP_S:
        return None
    return Cut(stop_s, back_s, _doubt(signals, set_rpm, (stop_s, until_s), slow_s, moved=bool(away.any())) or (
        _late(signals, stop_s, until_s) if back_s is None else ""
    ))  # fmt: skip


def _doubt(signals: Signals, set_rpm: float, span_s: tuple[float, float], slow_s: float, *, moved: bool) -> str:
    """Say why rows in which the duty was off need not show a motor that stopped by itself; nothing where they do."""
    begin_s, end_s = span_s[0] - EDGE_S, span_s[1] + EDGE_S
    part = signals.within(begin_s, end_s)
    if span_s[1] - span_s[0] <= slow_s:
        return f"channel and duty show it no better than within {slow_s:.2g} s"
    if moved:
        return "a row of the channel says that it was moved"
    whole = all(signals.seen(name, part).all() for name in ("throttle_percent", "duty"))
    if not whole or signals.hidden_s(begin_s, end_s) > 0.0:
        return "rows or values are missing there"
    if _leaps(signals, set_rpm, part):
        return "the speed leaps as no head does: the readings may have failed, not the motor"
    return ""


def _late(signals: Signals, stop_s: float, until_s: float) -> str:
    soon = until_s < signals.end_s and until_s - stop_s < LATE_S
    return f"the channel was moved {until_s - stop_s:.1f} s later, and may be logged late" if soon else ""


def _leaps(signals: Signals, set_rpm: float, part: slice) -> bool:
    """Whether the speed changed from row to row by more than a head can: LEAP_SHARE + dt / FALLS_S, or / RISES_S."""
    if signals.speed_rpm is None or part.stop - part.start < 2:
        return False
    step, took_s = np.diff(signals.speed_rpm[part]) / set_rpm, np.diff(signals.time_s[part])
    return bool(np.any((step < -LEAP_SHARE - took_s / FALLS_S) | (step > LEAP_SHARE + took_s / RISES_S)))
