"""Finds the stretches of plain running and measures how still the head is in them."""

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, log, sqrt

import numpy as np

from steadyhead.judge.governing import speed_band_percent
from steadyhead.judge.hunting import Swing, swings
from steadyhead.judge.loads import Load, averaged
from steadyhead.judge.parts import part_least, part_means, part_most, true_runs
from steadyhead.judge.pieces import median
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals, sparse
from steadyhead.judge.transient import row_noise
from steadyhead.trace.trace import Series

SETTLE_S = 3.0
AFTER_LOAD_S = 4.0
LEAVING_S = 2.0
"""A slowed channel takes the head along for so long before the motor is cut, or another mode is there; own choice."""
SHORTEST_S = 3.0
FEWEST_ROWS = 8
LONGEST_S = 15.0
BLOCK_S = 0.5
AFTER_MOVE_S = 1.5
BAND_SHARE = 0.01
"""A head further off than the usual band has not settled yet; common practice, no source."""
SMOOTH_S = 0.3
CALM_DEG = 1.2
CALM_CURRENT = 0.2
CALM_LEAST_SHARE = 0.2
CALM_DUTY = 0.02
HOVER_PITCH_DEG = 1.0
STEP_SHARE = 0.005
LONGEST_HOLE_S = 0.6
EDGES = ("throttle_percent", "duty", "head_speed_rpm", "motor_side_speed_rpm")
"""Channels that show when the motor was cut."""
WIDE_PERCENT = 0.5
"""In a wider band the noise is read from the rows, too: between rows that are not even the spectrum's floor sinks."""
REGULAR = 0.5
"""A swing that repeats itself is none of the noise, however few rows show it."""
NOISE_SCATTER = 0.5
"""Standard deviations by which half the range of noise may lie above the usual one, one time in twenty."""


@dataclass(frozen=True, kw_only=True)
class Calm:
    """One window of plain running, measured. Band half widths in percent of the set speed."""

    start_s: float
    end_s: float
    percent: float | None
    set_rpm: float
    mean_rpm: float
    half_width: float
    """Without the most that sensor noise adds: the extremes of a slow movement and of the noise add up."""
    half_width_raw: float
    line: Swing | None
    hover: bool | None
    """Whether the rotor carried the machine; None where nothing tells."""


@dataclass(frozen=True, kw_only=True)
class Span:
    """A stretch of plain running that waits to be measured."""

    governed: Stretch
    set_rpm: float
    start_s: float
    end_s: float


def calm_spans(signals: Signals, governed: Stretch, hard: tuple[Load, ...]) -> tuple[Span, ...]:
    """Return the stretches of plain running in one governed stretch, at most 15 s each.

    Plain: 3 s after any change of set speed, clear of hard loads, load nearly constant.
    """
    if governed.set_rpm is None or governed.ramping:
        return ()
    start_s = _settled_s(signals, max(governed.start_s + SETTLE_S, governed.ready_s + 1.0), governed.set_rpm)
    # A switch logged more seldom than the speed is seen after the head has begun to slow down, and a speed logged more
    # seldom than the switch is bridged from before it to after it.
    late_s = signals.interval_s + max(signals.own_s.get(name, 0.0) for name in EDGES)
    found = []
    # Without a throttle channel the end of a level is dated by the head, which had left it by then.
    stays = signals.throttle is None or governed.end_s - LEAVING_S - start_s >= 2.0 * SHORTEST_S
    for begin, end in _gaps(start_s, governed.end_s - (max(late_s, LEAVING_S) if stays else late_s), hard):
        for a, b in _calm_parts(signals, begin, end, governed.set_rpm):
            for first, last in _cut(a, b):
                found.append(Span(governed=governed, set_rpm=governed.set_rpm, start_s=first, end_s=last))
    return tuple(found)


def calm_windows(signals: Signals, spans: Sequence[Span]) -> tuple[Calm, ...]:
    """Return the windows of plain running, measured; a span with a gap or too few rows is left out."""
    speed = signals.speed_rpm
    if speed is None:
        return ()
    parts = signals.parts(spans)
    whole = _whole(signals, parts)
    spans, parts = [spans[k] for k in whole], [parts[k] for k in whole]
    lines = swings(signals.time_s, speed, parts, [span.set_rpm for span in spans])
    mean = part_means(speed, parts)
    least, most = part_least(speed, parts), part_most(speed, parts)
    percent, height, pitch = (
        None if values is None else part_means(values, parts)
        for values in (signals.throttle, signals.height_m, signals.collective_deg)
    )
    found = []
    for k, span in enumerate(spans):
        raw = speed_band_percent(float(least[k]), float(most[k]), span.set_rpm) / 2.0
        if raw == 0.0 and not _could_show(speed, span.set_rpm):
            continue
        line = lines[k]
        rows = parts[k].stop - parts[k].start
        most_noise = _usual_half_range(rows) + NOISE_SCATTER
        noise = 0.0 if line is None else line.noise_percent * most_noise
        if raw - noise > WIDE_PERCENT and (line is None or (line.regular or 0.0) < REGULAR):
            noise = max(noise, 100.0 * row_noise(speed[parts[k]]) / span.set_rpm * most_noise)
        above = None if height is None else float(height[k]) - signals.ground_m
        found.append(
            Calm(
                start_s=span.start_s,
                end_s=span.end_s,
                percent=None if percent is None else float(percent[k]),
                set_rpm=span.set_rpm,
                mean_rpm=float(mean[k]),
                half_width=max(raw - noise, 0.0),
                half_width_raw=raw,
                line=line,
                hover=_hovers(span.governed, above, None if pitch is None else float(pitch[k])),
            )
        )
    return tuple(found)


def _whole(signals: Signals, parts: Sequence[slice]) -> list[int]:
    """Return the numbers of the parts that have rows enough and no long hole in the speed."""
    longest_s = max(LONGEST_HOLE_S, 8.0 * signals.interval_s)
    holes = signals.holes[signals.holes[:, 1] - signals.holes[:, 0] > longest_s]
    begins, ends = holes[:, 0].tolist(), holes[:, 1].tolist()
    stamps = signals.time_s
    return [
        k
        for k, part in enumerate(parts)
        if part.stop - part.start >= FEWEST_ROWS
        and bisect_right(ends, stamps[part.start]) == bisect_left(begins, stamps[part.stop - 1])
    ]


def _gaps(start_s: float, end_s: float, hard: tuple[Load, ...]) -> list[tuple[float, float]]:
    parts, begin = [], start_s
    for load in hard:
        parts.append((begin, load.start_s - BLOCK_S))
        begin = max(begin, load.end_s + AFTER_LOAD_S)
    parts.append((begin, end_s))
    return [(a, b) for a, b in parts if b - a >= SHORTEST_S]


def _cut(start_s: float, end_s: float) -> list[tuple[float, float]]:
    count = max(1, ceil((end_s - start_s) / LONGEST_S))
    length = (end_s - start_s) / count
    edges = [start_s + k * length for k in range(count)]
    return list(itertools.pairwise([*edges, end_s]))


def _calm_parts(signals: Signals, start_s: float, end_s: float, set_rpm: float) -> list[tuple[float, float]]:
    """Return the parts in which the load stays near the usual one, with time to settle after each move."""
    part = signals.within(start_s, end_s)
    plain = _plain_load(signals, part)
    if plain is None or part.stop - part.start < 4:
        return [(start_s, end_s)]
    load, absolute, share = plain
    stamps = signals.time_s[part]
    calm = [(0, load.size)]
    if float(load.max() - load.min()) > absolute:
        load = averaged(load, signals.samples(SMOOTH_S))
        usual = median(sparse(load))
        calm = true_runs(np.abs(load - usual) <= absolute + share * abs(usual))
    spans = [(float(stamps[a]), float(stamps[b - 1])) for a, b in calm]
    found = [
        (_settled_s(signals, a + AFTER_MOVE_S, set_rpm) if a > stamps[0] else a, b - SMOOTH_S if b < stamps[-1] else b)
        for a, b in spans
    ]
    found = [(a, b) for a, b in found if b - a >= SHORTEST_S]
    if share > 0.0 and sum(b - a for a, b in found) < CALM_LEAST_SHARE * (end_s - start_s):
        # A hunting loop moves the current all the time: then the current cannot pick the calm parts.
        return [(start_s, end_s)]
    return found


def _settled_s(signals: Signals, from_s: float, set_rpm: float) -> float:
    """Return a time from which the head is taken as settled, or a little later where it is outside its band then."""
    row, speed = signals.index(from_s), signals.speed_rpm
    if speed is None or row >= speed.size or abs(float(speed[row]) - set_rpm) <= BAND_SHARE * set_rpm:
        return from_s
    return from_s + AFTER_LOAD_S - AFTER_MOVE_S


def _plain_load(signals: Signals, part: slice) -> tuple[Series, float, float] | None:
    """Return the channel that shows the load best, and how far its mean may move: absolute and as a share."""
    if signals.collective_deg is not None:
        return signals.collective_deg[part], CALM_DEG, 0.0
    if signals.current_a is not None:
        return signals.current_a[part], 0.5, CALM_CURRENT
    if signals.duty is not None:
        return signals.duty[part], CALM_DUTY, 0.0
    return None


def _could_show(speed: Series, set_rpm: float) -> bool:
    """Whether a reading that does not move at all could have moved: its smallest step anywhere is 0.5 % or finer."""
    steps = np.abs(np.diff(speed))
    moved = steps[steps > 0.0]
    return bool(moved.size) and float(moved.min()) <= STEP_SHARE * set_rpm


def _usual_half_range(count: int) -> float:
    """Return how many standard deviations half the range of `count` Gaussian values usually is (1-2 %)."""
    return sqrt(2.0 * log(max(count, 3))) - 0.35


def _hovers(governed: Stretch, above_ground_m: float | None, pitch_deg: float | None) -> bool | None:
    if governed.airborne is False:
        return False
    if above_ground_m is not None and above_ground_m > 1.0:
        return True
    return pitch_deg > HOVER_PITCH_DEG if pitch_deg is not None else governed.airborne
