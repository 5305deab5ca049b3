"""Commands read from what the drive did, for logs without a throttle channel: a rise is a start, a fall a stop."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.commands import Command
from steadyhead.judge.driving import DRIVING_DUTY
from steadyhead.judge.loads import averaged
from steadyhead.judge.parts import rows_where, true_runs
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.signals import Signals, sparse
from steadyhead.trace.trace import Series

FLAT_SHARE_PER_S = 0.02
FLAT_S = 4.0
CUT_FLAT_S = 1.5
"""A plateau that the end of the log cuts off was longer than it shows."""
SAME_RUN_S = 0.3
STILL_S, RISES = 1.0, 0.012
"""A duty that rises by less than that in a second does not ramp: the slowest soft start rises twice as fast."""
OFF_SHARE, OFF_S, TURNS_RPM = 0.04, 1.0, 60.0
"""A motor that takes less than this share of its highest current for a second does not drive; own choice."""
BEHIND_SHARE, FALLS_SHARE = 0.03, 0.05
"""A motor so much slower than its head does not drive it, and one that falls so much is not governed; own choice."""
HELD_SHARE, BEHIND_LATE_S = 0.985, 4.0
"""A head below this share of its level has left it, and a motor falls behind it within so long; own choice."""
MOST_COMMANDS = 500
LOOK_S, SWINGS_S = 0.5, 2.0
"""A level is told from the mean over so long; where there is none at all, over longer: a head that swings by percents
all the time has no other. Own choices."""


def commands_without_channel(signals: Signals, level_s: float = FLAT_S) -> tuple[Command, ...]:
    """Return what must have been asked, judged from head speed and duty; percent is the share of the top speed.

    Valid: plateaus of `level_s` or longer, 1.5 s at the end of the log; the time of a stop is exact only with a duty
    channel.
    """
    speed = signals.speed_rpm
    if speed is None:
        return _quiet(signals)
    top = percentile(sparse(speed), 99)
    if signals.duty is not None:
        driven = _driven(signals.time_s, signals.duty, signals.samples(STILL_S))
        return _levels(signals, speed, top, driven, level_s) if len(driven) <= MOST_COMMANDS else _quiet(signals)
    off = motor_off(signals)
    edges = _plateaus(signals, speed, top, level_s, off) if top > 200.0 else []
    if not edges and top > 200.0:
        edges = _plateaus(signals, speed, top, level_s, off, look_s=SWINGS_S)
    if not edges or len(edges) > MOST_COMMANDS:
        return _quiet(signals)
    offs = _off_spans(signals, off)
    found: list[Command] = []
    now_s, now_percent = signals.start_s, 0.0
    for k, (start_s, end_s, percent) in enumerate(edges):
        if percent != now_percent:
            begin = _began(signals, speed, now_s, start_s, offs) if now_percent == 0.0 else max(start_s - 1.0, now_s)
            found.append(_command(now_s, begin, now_percent))
            now_s, now_percent = begin, percent
        until_s = edges[k + 1][0] if k + 1 < len(edges) else signals.end_s
        level_rpm = percent * top / 100.0
        stop = next((_cut(signals, speed, a, level_rpm) for a, _ in offs if start_s < a < until_s), None)
        stop = _fell(signals, speed, end_s, level_rpm) if stop is None else stop
        if stop is not None:
            found.append(_command(now_s, stop, now_percent))
            now_s, now_percent = stop, 0.0
    found.append(_command(now_s, signals.end_s, now_percent))
    return tuple(c for c in found if c.end_s > c.start_s)


def _quiet(signals: Signals) -> tuple[Command, ...]:
    return (_command(signals.start_s, signals.end_s, 0.0),)


def _driven(stamps: Series, duty: Series, still: int) -> list[tuple[float, float]]:
    """Return (start, stop) of each time the motor drove; the start is where the duty began to rise.

    A slow ramp after a short rest makes most of what lies before it: there the duty last stood still over `still` rows.
    """
    found: list[tuple[float, float]] = []
    earlier = 0
    for begin, stop in true_runs(duty > DRIVING_DUTY):
        if found and stamps[begin] - found[-1][1] < SAME_RUN_S:
            found[-1] = (found[-1][0], float(stamps[min(stop, stamps.size - 1)]))
            earlier = stop
            continue
        base = median(duty[earlier : begin + 1])
        low = rows_where(duty[earlier : begin + 1] <= min(base, 0.5 * DRIVING_DUTY) + 0.012)
        first = earlier + int(low[-1]) if low.size else begin
        calm = rows_where(duty[earlier + still : begin + 1] - duty[earlier : max(begin + 1 - still, earlier)] <= RISES)
        first = min(first, earlier + still + int(calm[-1])) if calm.size else first
        found.append((float(stamps[first]), float(stamps[min(stop, stamps.size - 1)])))
        earlier = stop
    return found


def _levels(
    signals: Signals, speed: Series, top: float, driven: list[tuple[float, float]], level_s: float
) -> tuple[Command, ...]:
    """Return the commands of a log with duty: off between the driven times, a new level at each new plateau."""
    found: list[Command] = []
    now_s = signals.start_s
    plateaus = _plateaus(signals, speed, top, level_s) if top > 200.0 else []
    for begin_s, stop_s in driven:
        found.append(_command(now_s, begin_s, 0.0))
        now_s = begin_s
        inside = [(a, p) for a, b, p in plateaus if begin_s <= 0.5 * (a + b) <= stop_s]
        percent = inside[0][1] if inside else 100.0
        for start_s, level in inside[1:]:
            if level != percent:
                found.append(_command(now_s, max(start_s - 1.0, now_s), percent))
                now_s, percent = max(start_s - 1.0, now_s), level
        found.append(_command(now_s, stop_s, percent))
        now_s = stop_s
    found.append(_command(now_s, signals.end_s, 0.0))
    return tuple(c for c in found if c.end_s > c.start_s)


def _command(start_s: float, end_s: float, percent: float) -> Command:
    return Command(start_s=start_s, arrive_s=start_s, end_s=end_s, percent=percent)


def motor_off(signals: Signals) -> NDArray[np.bool_] | None:
    """Return in which rows a turning head is not driven, without a duty; None where nothing shows it.

    The motor turns at less than half of the head, or falls behind it, or the current is next to nothing beside that of
    running and the motor, where it was logged, falls behind.
    Shapes: -> (n,).
    """
    head = signals.speed_rpm
    if head is None or signals.duty is not None:
        return None
    turns = head > TURNS_RPM
    little = _little_current(signals, turns)
    if signals.motor_rpm is None or not signals.speed_is_head:
        return little
    motor = signals.motor_rpm / signals.motor_share
    return np.asarray(turns & ((motor < 0.5 * head) | _falls_behind(signals, motor, head, turns, little)))


def _little_current(signals: Signals, turns: NDArray[np.bool_]) -> NDArray[np.bool_] | None:
    if signals.current_a is None or not turns.any():
        return None
    some = sparse(signals.current_a[turns])
    calm = averaged(signals.current_a, signals.samples(0.5))
    return np.asarray(turns & (calm < OFF_SHARE * percentile(some, 95.0)))


def _falls_behind(
    signals: Signals, motor: Series, head: Series, turns: NDArray[np.bool_], little: NDArray[np.bool_] | None
) -> NDArray[np.bool_]:
    """Return the rows of each time in which the motor ran down behind the head, by its own losses alone.

    A governed motor keeps its speed while the head overruns it; one that is off falls by FALLS_SHARE and more. With a
    current it has been off for as long as next to nothing was drawn, also while head and motor slow down together.
    """
    behind = turns & (motor < (1.0 - BEHIND_SHARE) * head - 2.0 * signals.speed_step_rpm)
    found = np.zeros(head.size, dtype=bool)
    for first, stop in true_runs(behind if little is None else little):
        slip = rows_where(behind[first:stop])
        if slip.size < 2:
            continue
        at, last = first + int(slip[0]), first + int(slip[-1])
        if motor[last] < (1.0 - FALLS_SHARE) * motor[at]:
            found[first:stop] = True
    return found


def _off_spans(signals: Signals, off: NDArray[np.bool_] | None) -> list[tuple[float, float]]:
    """Return (begin, end) of each time the motor was off under a turning head, of OFF_S or more."""
    if off is None:
        return []
    stamps, last = signals.time_s, signals.time_s.size - 1
    spans = [(float(stamps[first]), float(stamps[min(stop, last)])) for first, stop in true_runs(off)]
    return [(begin, end) for begin, end in spans if end - begin >= OFF_S]


def _plateaus(
    signals: Signals,
    speed: Series,
    top: float,
    level_s: float,
    off: NDArray[np.bool_] | None = None,
    *,
    look_s: float = LOOK_S,
) -> list[tuple[float, float, float]]:
    """Return (start, end, percent of the top speed) of the stretches where a driven head stands still.

    A head that swings stands still in the mean over `look_s`, where that holds several swings.
    """
    look = signals.samples(look_s)
    if speed.size <= 2 * look + 2:
        return []
    calm = averaged(speed, look)
    rate = (calm[look:] - calm[:-look]) / np.maximum(signals.time_s[look:] - signals.time_s[:-look], 1e-6)
    flat = (np.abs(rate) < FLAT_SHARE_PER_S * top) & (calm[look:] > 0.3 * top)
    if signals.duty is not None:
        flat &= signals.duty[look:] > DRIVING_DUTY
    if off is not None:
        flat &= ~off[look:]
    found: list[tuple[float, float, float]] = []
    for begin, stop in true_runs(flat):
        first, last = begin, stop - 1 + look
        needed_s = min(CUT_FLAT_S, level_s) if last == speed.size - 1 else level_s
        if signals.time_s[last] - signals.time_s[first] < needed_s:
            continue
        level = median(speed[first : last + 1]) / top * 100.0
        same = [p for _, _, p in found if abs(p - level) < 3.0]
        found.append((float(signals.time_s[first]), float(signals.time_s[last]), same[0] if same else level))
    return found


def _began(signals: Signals, speed: Series, after_s: float, before_s: float, offs: list[tuple[float, float]]) -> float:
    """Return when the motor began to bring the head to a plateau, s: where it last stood, else where it was last off.

    A head that comes up from rest is driven, however little current its first turns take.
    """
    part = signals.within(after_s, before_s)
    still = rows_where(speed[part] < 30.0)
    if still.size:
        return float(signals.time_s[part.start + int(still[-1])])
    return max([after_s, *(end_s for begin_s, end_s in offs if after_s - SAME_RUN_S <= begin_s and end_s <= before_s)])


def _cut(signals: Signals, speed: Series, off_s: float, level_rpm: float) -> float:
    """Return when the motor was cut, s: a motor side without a current is seen to fall behind its head only later."""
    if signals.current_a is not None:
        return off_s
    part = signals.within(off_s - BEHIND_LATE_S, off_s)
    held = rows_where(speed[part] > HELD_SHARE * level_rpm)
    return float(signals.time_s[part.start + int(held[-1])]) if held.size else off_s


def _fell(signals: Signals, speed: Series, after_s: float, level_rpm: float) -> float | None:
    """Return when the head left a plateau to fall below half of it, s; None when it went elsewhere."""
    begin = signals.index(after_s)
    rest = speed[begin:]
    low = rows_where(rest < 0.5 * level_rpm)
    high = rows_where(rest > 1.02 * level_rpm)
    if not low.size or (high.size and high[0] < low[0]):
        return None
    held = rows_where(rest[: int(low[0])] > HELD_SHARE * level_rpm)
    return float(signals.time_s[begin + (int(held[-1]) if held.size else 0)])
