"""Whether throttle hold took the motor away as the owner's run logic says, and what of that the log does not show."""

from collections.abc import Iterator
from math import inf

from steadyhead.channel.run_logic import RunLogic
from steadyhead.judge.commands import same_position
from steadyhead.judge.disagreement import Disagreement
from steadyhead.judge.hold import HoldStop
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import line, mean, median
from steadyhead.judge.segments import DRIVEN

LATE_S = 0.1
"""So much later than the file's stop delay is another delay: what a hand-timed setting is good for; own choice."""
COASTS_AFTER_S = 2.0
"""By then a motor that was cut slows down steadily, alone or with its head; own choice."""
COASTS_SHARE_PER_S = 0.02
"""No head and no motor on the ground keeps its speed so well without drive; common practice, no source."""
KEPT_SHARE, KEPT_BEFORE_S = 0.02, 0.3
"""A motor that is cut loses this share at once, with a head whose drag took hover power until then; own choice."""
TURNS_RPM, SHORTEST_S, FEWEST_ROWS = 200.0, 1.0, 4
"""Speed, time and rows that tell a slope; own choice."""
AT_REST_RPM = 30.0
"""A motor side slower than this, in rpm of the head, is as good as at rest: half a turn a second; own choice."""
HOLD_NEEDS = ("a bench log in throttle hold with duty, current and speed in quick rows, blades off",)


def driven_in_hold(found: Measured, logic: RunLogic, doubt_s: float) -> Iterator[Disagreement]:
    """Return every throttle hold below the stop threshold in which the motor was driven, or may have been."""
    below_percent = -inf if logic.stop_percent is None else logic.stop_percent
    for stop in (stop for stop in found.holds if stop.percent < below_percent):
        at = f"after throttle hold at {stop.at_s:.1f} s the motor"
        off = "where the run logic says off"
        doubt, says = "", ""
        if not stop.seen:
            doubt = "without the duty the log does not show what drove it"
            stood_s = _stood_s(found, stop)
            if _keeps_turning(found, stop):
                says = f"{at} kept turning, {off}"
            elif stood_s > (logic.stop_delay_s or 0.0) + doubt_s:
                says = f"{at} side kept its speed for {stood_s:.2f} s, {off}"
        elif stop.after_s is None or stop.back_s is not None or stop.after_s > (logic.stop_delay_s or 0.0) + doubt_s:
            says = f"{at} was still driven, {off}"
            doubt = _between_rows(stop, (logic.stop_delay_s or 0.0) + doubt_s)
        elif stop.turns_on is not None and stop.turns_on.is_sure:
            says = f"{at} is not off: {stop.turns_on.says}, {off}"
        elif (late_s := _late_s(found, stop, logic)) > LATE_S:
            says = f"{at} was driven for {stop.after_s:.2f} s, {off} {late_s:.2f} s sooner"
        elif stop.may_be_back_s is not None:
            says = f"{at} may have come back at {stop.may_be_back_s:.1f} s, {off}"
            doubt = "few rows say so, or one channel against another"
        elif stop.turns_on is not None:
            says, doubt = f"{at} may not be off: {stop.turns_on.says}, {off}", "one channel alone says so"
        if says:
            yield Disagreement(
                at_s=stop.at_s, kind="driven in hold", is_dangerous=True, says=says, doubt=doubt, needs=HOLD_NEEDS
            )


def _between_rows(stop: HoldStop, longest_s: float) -> str:
    """Say that a stop may have come in time between two values of channel or duty; nothing where it cannot."""
    if stop.after_s is None or stop.back_s is not None or stop.after_s - 2.0 * stop.doubt_s > longest_s:
        return ""
    return f"channel and duty show it no better than within {2.0 * stop.doubt_s:.2g} s"


def by_speed_alone(found: Measured) -> str:
    """Say for a pass how many throttle holds only the falling speed bears out; nothing where there are none."""
    blind = sum(not stop.seen for stop in found.holds)
    return f"; after {blind} more the speed fell, but without the duty not how soon" if blind else ""


def unseen_in_hold(found: Measured) -> str:
    """Say that nothing shows the motor in throttle hold, or not all the time; nothing where there is no such hold.

    A head that turns on falls alike above a motor that stands and one that turns slower than it. A motor that turned
    before or after a hole of its speed may have been driven in it.
    """
    signals = found.signals
    if signals.duty is not None:
        return ""
    blind = next((stop for stop in found.holds if not stop.seen), None)
    if signals.motor_rpm is None:
        nothing = "neither duty nor motor speed shows whether the motor stayed off"
        return f"in throttle hold at {blind.at_s:.1f} s {nothing}" if blind is not None else ""
    for command in found.asked:
        if found.hold_percent is None or not same_position(command.percent, found.hold_percent):
            continue
        for begin_s, end_s in signals.own_holes.get("motor_side_speed_rpm", ()):
            rows = [signals.index(begin_s), min(signals.index(end_s), signals.time_s.size - 1)]
            inside = command.start_s <= begin_s and end_s <= command.end_s
            if inside and float(signals.motor_rpm[rows].max()) > AT_REST_RPM:
                return f"in throttle hold the speed is missing from {begin_s:.1f} s to {end_s:.1f} s"
    return ""


def _late_s(found: Measured, stop: HoldStop, logic: RunLogic) -> float:
    """Return by how much a motor surely stopped later than the stop delay, from where the channel fell below it, s."""
    channel, signals = found.signals.throttle, found.signals
    if channel is None or stop.after_s is None or logic.stop_percent is None:
        return 0.0
    part = signals.within(stop.at_s, stop.at_s + stop.after_s)
    below = rows_where(channel[part] < logic.stop_percent)
    if not below.size:
        return 0.0
    moved_s = float(signals.time_s[part.start + int(below[0])] - signals.time_s[part.start])
    return stop.after_s - moved_s - 2.0 * stop.doubt_s - (logic.stop_delay_s or 0.0)


def _stood_s(found: Measured, stop: HoldStop) -> float:
    """Return how long after throttle hold the motor side kept its speed, s; 0 where it was not measured.

    Equation: the last time at which w > (1 - KEPT_SHARE) w0, w0 its speed when hold was pressed.
    """
    signals = found.signals
    if signals.motor_rpm is None:
        return 0.0
    before = signals.motor_rpm[signals.within(stop.at_s - KEPT_BEFORE_S, stop.at_s)]
    part = signals.within(stop.at_s, stop.at_s + COASTS_AFTER_S)
    if before.size == 0 or median(before) < TURNS_RPM:
        return 0.0
    fallen = rows_where(signals.motor_rpm[part] < (1.0 - KEPT_SHARE) * median(before))
    return float(signals.time_s[part.start + int(fallen[0])]) - stop.at_s if fallen.size else 0.0


def _sinks(found: Measured, at_s: float) -> bool:
    """Whether the air may have turned the head on: an autorotation, out of the position of throttle hold."""
    return any(s.kind == "autorotation" and s.start_s <= at_s < s.end_s for s in found.stretches)


def _keeps_turning(found: Measured, stop: HoldStop) -> bool:
    """Whether head or motor turned on in throttle hold without slowing down, or were driven all through it."""
    signals = found.signals
    asked = next((c for c in found.asked if c.start_s <= stop.at_s < c.end_s), None)
    is_lowest = found.hold_percent is not None and same_position(stop.percent, found.hold_percent)
    if asked is None or (not is_lowest and _sinks(found, stop.at_s)):
        return False
    if any(s.kind in DRIVEN and s.start_s <= stop.at_s and s.end_s >= asked.end_s for s in found.stretches):
        return asked.end_s - stop.at_s > COASTS_AFTER_S
    part = signals.within(stop.at_s + COASTS_AFTER_S, asked.end_s - 2.0 * signals.interval_s)
    if signals.speed_rpm is None or part.stop - part.start < FEWEST_ROWS:
        return False
    time_s, speed = signals.time_s[part], signals.speed_rpm[part]
    if time_s[-1] - time_s[0] < SHORTEST_S or mean(speed) < TURNS_RPM:
        return False
    return -line(time_s - time_s[0], speed)[0] < COASTS_SHARE_PER_S * mean(speed)
