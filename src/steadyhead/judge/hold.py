"""Whether throttle hold takes the motor away, how soon, and whether it stays away."""

import itertools
from dataclasses import dataclass, replace

from steadyhead.judge.back_in_hold import back_in_hold
from steadyhead.judge.commands import Command, same_position
from steadyhead.judge.driving import OFF_DUTY
from steadyhead.judge.hidden_in_hold import hidden_in_hold
from steadyhead.judge.owner import Owner
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.turns_in_hold import TurnsOn, turns_in_hold

WATCH_S = 3.0
HIGHEST_HOLD_PERCENT = 30.0


@dataclass(frozen=True, kw_only=True)
class HoldStop:
    """One press of throttle hold on a driven motor, or a hold in which the motor came back.

    `after_s` None: the motor did not stop, or nothing shows it.
    """

    at_s: float
    percent: float
    """Where the channel stood."""
    after_s: float | None
    doubt_s: float
    seen: bool
    back_s: float | None = None
    """When the motor came back while hold stood."""
    may_be_back_s: float | None = None
    """The same where few rows of the duty, or the speed against the duty, say so and nothing bears them out."""
    hidden: tuple[float, float] | None = None
    """Begin and end of a hole of this hold in which nothing shows that the motor stayed off, s."""
    turns_on: TurnsOn | None = None
    """What shows that the motor was never off, however little it was driven."""


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


def is_hold(percent: float, hold: float | None, owner: Owner) -> bool:
    """Whether a channel value takes the motor away: throttle hold, or any other surely below the cut-off of the file.

    What the owner calls the autorotation position is not hold.
    """
    if hold is not None and same_position(percent, hold):
        return True
    if owner.autorotation_percent is not None and same_position(percent, owner.autorotation_percent):
        return False
    return owner.off_below_percent is not None and percent < owner.off_below_percent


def hold_stops(
    signals: Signals, asked: tuple[Command, ...], stretches: tuple[Stretch, ...], hold: float | None, owner: Owner
) -> tuple[HoldStop, ...]:
    """Return every press of throttle hold while the motor drove or idled, and every hold in which it came back.

    The time runs from the first sample in which the channel has moved; doubt is half a sample interval, and
    half of what channel and duty are slower than the rows.
    """
    found = []
    for before, command in itertools.pairwise((None, *asked)):
        if command is None or not is_hold(command.percent, hold, owner):
            continue
        pressed = before is not None and not is_hold(before.percent, hold, owner)
        stop = _stop(signals, command) if pressed and _turned(signals, stretches, command.start_s) else None
        watched = _watched(signals, command, stop)
        if watched is not None:
            found.append(watched)
    return tuple(found)


def _watched(signals: Signals, command: Command, stop: HoldStop | None) -> HoldStop | None:
    """Return a stop with what came after it while hold stood; one for a motor that was off only if it came back."""
    if stop is not None and (stop.back_s is not None or (stop.seen and stop.after_s is None)):
        return stop
    off_s = command.arrive_s if stop is None or stop.after_s is None else command.start_s + stop.after_s
    back, turns_on = back_in_hold(signals, off_s, command.end_s), turns_in_hold(signals, off_s, command.end_s)
    if stop is not None:
        stop = replace(stop, hidden=hidden_in_hold(signals, off_s, command.end_s))
    if back is None and turns_on is None:
        return stop
    if back is None:
        return replace(stop or _off(command), turns_on=turns_on)
    held = replace(stop if stop is not None and stop.seen else _off(command), turns_on=turns_on)
    return replace(held, back_s=back.at_s) if back.is_sure else replace(held, may_be_back_s=back.at_s)


def _off(command: Command) -> HoldStop:
    return HoldStop(at_s=command.start_s, after_s=0.0, doubt_s=0.0, seen=True, percent=command.percent)


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
    blind = HoldStop(at_s=command.start_s, after_s=None, doubt_s=doubt, seen=False, percent=command.percent)
    unseen = signals.hidden_s(command.start_s - signals.interval_s, command.start_s + signals.interval_s) > 0.0
    if signals.duty is None or part.stop - part.start < 2 or unseen:
        return blind
    duty = signals.duty[part]
    off = rows_where(duty <= OFF_DUTY)
    if not off.size:
        return replace(blind, seen=True)
    first = int(off[0])
    shown = signals.seen("duty", part)[first:]
    on = shown & (duty[first:] > OFF_DUTY)
    back_s = None
    if percentile(duty[first:][shown], 90) > OFF_DUTY:
        back_s = float(signals.time_s[part.start + first + int(on.argmax())])
    after = float(signals.time_s[part.start + first] - signals.time_s[part.start])
    gaps = [signals.time_s[row] - signals.time_s[row - 1] for row in (part.start, part.start + first) if row > 0]
    doubt = max(doubt, 0.5 * float(max(gaps, default=0.0)))  # a row may be lost just there
    return replace(blind, after_s=after, doubt_s=doubt, seen=True, back_s=back_s)
