"""Whether throttle hold takes the motor away, how soon, and whether it stays away."""

import itertools
from dataclasses import dataclass

from steadyhead.judge.commands import Command, same_position
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import Signals

OFF_DUTY = 0.03
WATCH_S = 3.0
HIGHEST_HOLD_PERCENT = 30.0


@dataclass(frozen=True, kw_only=True)
class HoldStop:
    """One press of throttle hold on a driven motor. `after_s` None: the motor did not stop, or nothing shows it."""

    at_s: float
    after_s: float | None
    doubt_s: float
    seen: bool
    came_back: bool


def hold_percent(
    asked: tuple[Command, ...], run: tuple[bool, ...], autorotation_percent: float | None = None
) -> float | None:
    """Return the channel value of throttle hold: the lowest position that does not run; None when there is none.

    What the owner calls the autorotation position is not hold, though it be the lowest in a log.
    """
    off = [c.percent for c, r in zip(asked, run, strict=True) if not r and c.percent <= HIGHEST_HOLD_PERCENT]
    lowest = min(off) if off else None
    if lowest is None or autorotation_percent is None or not same_position(lowest, autorotation_percent):
        return lowest
    return None


def hold_stops(
    signals: Signals, asked: tuple[Command, ...], stretches: tuple[Stretch, ...], hold: float | None
) -> tuple[HoldStop, ...]:
    """Return every press of throttle hold while the motor drove or idled.

    The time runs from the first sample in which the channel has moved; doubt is half a sample interval, and
    half of what channel and duty are slower than the rows.
    """
    if hold is None:
        return ()
    found = []
    for before, command in itertools.pairwise(asked):
        if not same_position(command.percent, hold) or same_position(before.percent, hold):
            continue
        if _turned(signals, stretches, command.start_s):
            found.append(_stop(signals, command))
    return tuple(found)


def _turned(signals: Signals, stretches: tuple[Stretch, ...], time_s: float) -> bool:
    """Whether the motor turned under power just before: driven, or idling with some duty."""
    if signals.duty is not None:
        before = signals.within(time_s - 0.5, time_s - 0.5 * signals.interval_s)
        return before.stop > before.start and median(signals.duty[before]) > OFF_DUTY
    at = [s for s in stretches if s.start_s < time_s <= s.end_s + signals.interval_s]
    return bool(at) and at[0].kind in DRIVEN


def _stop(signals: Signals, command: Command) -> HoldStop:
    part = signals.within(command.start_s, min(command.end_s, command.arrive_s + WATCH_S))
    doubt = 0.5 * (signals.interval_s + signals.edge_doubt_s("throttle_percent", "duty"))
    blind = HoldStop(at_s=command.start_s, after_s=None, doubt_s=doubt, seen=False, came_back=False)
    unseen = signals.hidden_s(command.start_s - signals.interval_s, command.start_s + signals.interval_s) > 0.0
    if signals.duty is None or part.stop - part.start < 2 or unseen:
        return blind
    duty = signals.duty[part]
    off = rows_where(duty <= OFF_DUTY)
    if not off.size:
        return HoldStop(at_s=command.start_s, after_s=None, doubt_s=doubt, seen=True, came_back=False)
    first = int(off[0])
    back = bool(percentile(duty[first:], 90) > OFF_DUTY)
    after = float(signals.time_s[part.start + first] - signals.time_s[part.start])
    gaps = [signals.time_s[row] - signals.time_s[row - 1] for row in (part.start, part.start + first) if row > 0]
    doubt = max(doubt, 0.5 * float(max(gaps, default=0.0)))  # a row may be lost just there
    return HoldStop(at_s=command.start_s, after_s=after, doubt_s=doubt, seen=True, came_back=back)
