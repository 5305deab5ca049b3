"""Where in a recording the head leaves its speed: that is no governed running, and no held speed runs through it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from steadyhead.judge.parts import true_runs
from steadyhead.judge.result import Segment
from steadyhead.trace.trace import Series

FALLS_SHARE = 0.1
"""No load takes a governed head so far below its speed; common practice (droop within 4 %), no source."""
FALLS_S = 0.5
"""A fall lasts at least so long; a slip of the ear is shorter. Own choice."""
TOLD = (
    "from {:.1f} to {:.1f} s the head left its speed, down to {:.0f} rpm, and came back: the motor may have been off, "
    "or the set speed changed; that part is not judged, and without the throttle channel no restart is"
)


def less_falls(
    segments: Sequence[Segment], time_s: Series, speed_rpm: Series, silent: Sequence[tuple[float, float]] = ()
) -> tuple[tuple[Segment, ...], tuple[str, ...]]:
    """Return the segments of a recording, what of governed running was a fall and a return told as unknown; warnings.

    `silent` holds (start, end) of each time the motor was silent under blades that sounded: it may be off there, too.

    Valid: a fall from a set speed and back to one; a change from one set speed to another stays governed.
    Shapes: time_s (n,), speed_rpm (n,), NaN where nothing was heard
    """
    found: list[Segment] = []
    words: list[str] = []
    for number, one in enumerate(segments):
        level = _level(segments, number)
        falls = [] if level is None else _merged([*_falls(one, time_s, speed_rpm, level), *_inside(one, silent)])
        if not falls:
            found.append(one)
            continue
        parts = [_passage(one)] if one.set_rpm is None else _split(one, falls, time_s, speed_rpm)
        for part in parts:
            heard = speed_rpm[(time_s >= part.start_s) & (time_s <= part.end_s) & np.isfinite(speed_rpm)]
            if part.kind == "unknown" and heard.size and level and heard.min() < (1.0 - FALLS_SHARE) * level:
                words.append(TOLD.format(part.start_s, part.end_s, float(heard.min())))
        found.extend(parts)
    return tuple(found), tuple(words)


def _level(segments: Sequence[Segment], number: int) -> float | None:
    """Return the speed below which a governed segment must not fall, rpm: its own, or the lower of its neighbours'."""
    one = segments[number]
    if one.kind != "governed":
        return None
    if one.set_rpm is not None:
        return one.set_rpm
    beside = [other.set_rpm for other in segments[max(0, number - 1) : number + 2] if other.kind == "governed"]
    known = [rpm for rpm in beside if rpm is not None]
    return min(known) if len(known) == 2 else None


def _falls(one: Segment, time_s: Series, speed_rpm: Series, level_rpm: float) -> list[tuple[float, float]]:
    """Return (start, end) of each time the head is heard far below a level within a segment, and comes back."""
    at = np.flatnonzero((time_s >= one.start_s) & (time_s <= one.end_s) & np.isfinite(speed_rpm))
    low = speed_rpm[at] < (1.0 - FALLS_SHARE) * level_rpm
    falls = []
    for begin, stop in true_runs(low):
        ends = begin == 0 or stop >= at.size
        start_s, end_s = float(time_s[at[max(begin - 1, 0)]]), float(time_s[at[min(stop, at.size - 1)]])
        if end_s - start_s >= FALLS_S and (one.set_rpm is None or not ends):
            falls.append((start_s, end_s))
    return falls


def _inside(one: Segment, spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what of some spans lies within a segment, for FALLS_S or more."""
    cut = [(max(start_s, one.start_s), min(end_s, one.end_s)) for start_s, end_s in spans]
    return [(start_s, end_s) for start_s, end_s in cut if end_s - start_s >= FALLS_S]


def _merged(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return spans in the order of time, those that touch as one."""
    out: list[tuple[float, float]] = []
    for start_s, end_s in sorted(spans):
        if out and start_s <= out[-1][1]:
            out[-1] = (out[-1][0], max(end_s, out[-1][1]))
        else:
            out.append((start_s, end_s))
    return out


def _passage(one: Segment) -> Segment:
    """Return a segment between two set speeds, in which the head fell below both, as unknown."""
    return Segment(kind="unknown", start_s=one.start_s, end_s=one.end_s, mean_rpm=one.mean_rpm)


def _split(one: Segment, falls: list[tuple[float, float]], time_s: Series, speed_rpm: Series) -> list[Segment]:
    """Return a governed segment in pieces: what is measured over all of it belongs to none of them."""
    pieces, at_s = [], one.start_s
    for start_s, end_s in falls:
        pieces.append(Segment(kind="governed", start_s=at_s, end_s=start_s, set_rpm=one.set_rpm))
        pieces.append(Segment(kind="unknown", start_s=start_s, end_s=end_s))
        at_s = end_s
    pieces.append(Segment(kind="governed", start_s=at_s, end_s=one.end_s, set_rpm=one.set_rpm))
    return [replace(piece, mean_rpm=_mean(piece, time_s, speed_rpm)) for piece in pieces if piece.end_s > piece.start_s]


def _mean(piece: Segment, time_s: Series, speed_rpm: Series) -> float | None:
    heard = speed_rpm[(time_s >= piece.start_s) & (time_s <= piece.end_s) & np.isfinite(speed_rpm)]
    return float(heard.mean()) if heard.size else None
