"""The head speeds that were held in a recording, and the flight mode that each is."""

from dataclasses import dataclass, replace

import numpy as np

from steadyhead.judge.parts import true_runs
from steadyhead.judge.result import Segment
from steadyhead.judge.speed_heard import speed_interval
from steadyhead.machine.tables.channel import FlightMode
from steadyhead.trace.heard import CLOCK_SHARE
from steadyhead.trace.heard_start import FEWEST_FRAMES
from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.trace import Series

AFTER_CHANGE_S = 1.5
BEFORE_CHANGE_S = 0.5
"""What is left out of a governed segment at its ends: the speed still moves there."""
NEAR_SET_SHARE = 0.04
"""Wide enough for a head that hunts, narrow enough to leave out the way to another speed."""
SAME_SPEED_SHARE = 0.01
NEAR_MODE_SHARE = 0.2
NEAREST_SHARE = 0.25
"""Of several flight modes a speed is the nearest where that is at most so far off as a share of the next; own choice.
"""
LEFT_SHARE, LEFT_S = 0.05, 1.0
"""A head that is heard so far off its speed has left it, one that stays away so long is not brought back by its
governor, as under a load; own choice."""
UNHEARD_S = 2.0
"""In so long a silence a head may be let fall and brought back unheard: a bail-out takes 1 to 3 s (common practice)."""
HEARD_SHARE = 0.5
"""A speed is held where it is heard in more than half of the time; own choice."""
LONGEST_GAP_S = 0.5
PIECE_S = 3.0
PIECE_SHARE = 0.8
"""Of a segment that is heard less a piece without longer gaps is taken, as long and as well heard as a reading that is
taken live needs; own choices."""
DIGITS = 9
"""Decimals of a percent beyond which a number is what the way through SI left on it."""
DRIFT_SHARE = 0.02
"""A head that ends so far from where it began falls or rises, it is not held; own choice."""


@dataclass(frozen=True, kw_only=True)
class SpeedHeard:
    """One head speed that was held, and the flight mode that it is."""

    start_s: float
    end_s: float
    head_speed_rpm: float
    head_speed_rpm_interval: tuple[float, float]
    mode: str | None
    """None where no flight mode of the machine file is near, or several are."""
    channel_percent: float | None
    """Channel value of that flight mode, from the machine file."""
    parts_open: tuple[int, ...] = ()
    """2 where half as much, 3 where a third would sound alike: no reading is taken from it."""


@dataclass(frozen=True, kw_only=True)
class _Part:
    time_s: Series
    speed_rpm: Series


def held_speeds(
    segments: tuple[Segment, ...], time_s: Series, speed_rpm: Series, modes: tuple[FlightMode, ...]
) -> tuple[SpeedHeard, ...]:
    """Return the set speeds that were held, joined where they are alike, each with its flight mode.

    Equation: mean over what was heard within 4 % of the set speed of each governed segment, without its first 1.5 s
    and last 0.5 s; half width of the 90 % interval: 1.645 standard deviations over the root of the seconds, at least
    the doubt of the clock.
    Shapes: time_s (n,), speed_rpm (n,), NaN where nothing was heard
    """
    parts: list[_Part] = []
    for segment in segments:
        if segment.kind != "governed" or segment.set_rpm is None:
            continue
        start_s, end_s = segment.start_s + AFTER_CHANGE_S, segment.end_s - BEFORE_CHANGE_S
        inside = (time_s >= start_s) & (time_s <= end_s) & np.isfinite(speed_rpm)
        heard = _Part(time_s=time_s[inside], speed_rpm=speed_rpm[inside])
        for part in _held_parts(heard, segment.set_rpm, end_s - start_s):
            joined = _joined(parts[-1], part, _Part(time_s=time_s, speed_rpm=speed_rpm)) if parts else None
            parts = [*parts[:-1], joined] if joined is not None else [*parts, part]
    return named([_speed_of(part) for part in parts], modes)


def _held_parts(part: _Part, set_rpm: float, span_s: float) -> list[_Part]:
    """Return where a segment's speed is held: all of it, or what lies between the times in which the head may leave it.

    Where neither is heard well enough, its longest part without a gap.
    """
    pieces = _between_leaves(part, set_rpm)
    if len(pieces) <= 1:
        whole = _near(part, set_rpm)
        found = [whole] if whole is not None and HOP_S * whole.time_s.size > HEARD_SHARE * span_s else []
    else:
        near = [one for one in (_near(piece, set_rpm) for piece in pieces) if one is not None]
        found = [one for one in near if _span_s(one) >= PIECE_S and _mostly_heard(one, HEARD_SHARE)]
    if found:
        return found
    held = [_near(cut, set_rpm) for piece in pieces for cut in _at_gaps(piece)]
    long = [one for one in held if one is not None and _span_s(one) >= PIECE_S and _mostly_heard(one, PIECE_SHARE)]
    return sorted(long, key=lambda one: -one.time_s.size)[:1]


def _between_leaves(part: _Part, set_rpm: float) -> list[_Part]:
    """Return a part cut where the head is heard away from its speed for LEFT_S, or is not heard for UNHEARD_S."""
    away = np.abs(part.speed_rpm / set_rpm - 1.0) > LEFT_SHARE
    keep = np.ones(away.size, bool)
    for begin, stop in true_runs(away):
        if part.time_s[stop - 1] - part.time_s[begin] >= LEFT_S:
            keep[begin:stop] = False
    kept = np.flatnonzero(keep)
    if not kept.size:
        return []
    apart = (np.diff(kept) > 1) | (np.diff(part.time_s[kept]) > UNHEARD_S)
    pieces = np.split(kept, np.flatnonzero(apart) + 1)
    found = [_Part(time_s=part.time_s[piece], speed_rpm=part.speed_rpm[piece]) for piece in pieces]
    return [piece for piece in found if piece.time_s.size >= FEWEST_FRAMES]


def _at_gaps(part: _Part) -> list[_Part]:
    cuts = np.flatnonzero(np.diff(part.time_s) > LONGEST_GAP_S) + 1
    pieces = zip(np.split(part.time_s, cuts), np.split(part.speed_rpm, cuts), strict=True)
    return [_Part(time_s=time_s, speed_rpm=speed_rpm) for time_s, speed_rpm in pieces]


def _near(part: _Part, set_rpm: float) -> _Part | None:
    """Return what of a part lies near the set speed; None where that is not most of it, or falls or rises."""
    near = np.abs(part.speed_rpm / set_rpm - 1.0) < NEAR_SET_SHARE
    found = _Part(time_s=part.time_s[near], speed_rpm=part.speed_rpm[near])
    if found.time_s.size < FEWEST_FRAMES or near.mean() <= HEARD_SHARE:
        return None
    third = found.speed_rpm.size // 3
    drift = float(found.speed_rpm[-third:].mean() - found.speed_rpm[:third].mean())
    return found if abs(drift) < DRIFT_SHARE * set_rpm else None


def _mostly_heard(part: _Part, share: float) -> bool:
    return HOP_S * part.time_s.size > share * _span_s(part)


def _span_s(part: _Part) -> float:
    return float(part.time_s[-1] - part.time_s[0]) + HOP_S


def _joined(one: _Part, other: _Part, whole: _Part) -> _Part | None:
    """Return two parts as one where they are alike and the head is heard to stay between them; None elsewhere."""
    mean = float(one.speed_rpm.mean())
    if abs(other.speed_rpm.mean() / mean - 1.0) >= SAME_SPEED_SHARE or _left_between(one, other, whole, mean):
        return None
    both = _Part(
        time_s=np.concatenate((one.time_s, other.time_s)), speed_rpm=np.concatenate((one.speed_rpm, other.speed_rpm))
    )
    return both if _mostly_heard(both, HEARD_SHARE) else None


def _left_between(one: _Part, other: _Part, whole: _Part, level_rpm: float) -> bool:
    """Whether the head is heard away from its speed between two parts, or is not heard there for a while."""
    at = (whole.time_s >= one.time_s[-1]) & (whole.time_s <= other.time_s[0]) & np.isfinite(whole.speed_rpm)
    heard_s, speed = whole.time_s[at], whole.speed_rpm[at]
    gap = np.diff(np.concatenate(([one.time_s[-1]], heard_s, [other.time_s[0]])))
    away = np.abs(speed / level_rpm - 1.0) > LEFT_SHARE
    return bool(away.any() or gap.max() > UNHEARD_S)


def _speed_of(part: _Part) -> SpeedHeard:
    mean = float(part.speed_rpm.mean())
    seconds = max(HOP_S * part.speed_rpm.size, 1.0)
    spread = max(1.645 * float(part.speed_rpm.std()) / seconds**0.5, CLOCK_SHARE * mean)
    return SpeedHeard(
        start_s=float(part.time_s[0]),
        end_s=float(part.time_s[-1]),
        head_speed_rpm=mean,
        head_speed_rpm_interval=(mean - spread, mean + spread),
        mode=None,
        channel_percent=None,
    )


def named(found: list[SpeedHeard], modes: tuple[FlightMode, ...]) -> tuple[SpeedHeard, ...]:
    """Give each speed its flight mode: in order where there are as many of both, else the one that is clearly nearest.

    A flight mode that two speeds would share is given to neither.
    """
    levels = _levels(found)
    ranked = sorted(modes, key=lambda mode: mode.head_speed.number)
    own: list[FlightMode | None] = []
    for number, level in enumerate(levels):
        near = ranked[number] if len(levels) == len(ranked) else _nearest(level, ranked)
        own.append(near if near is not None and _off(near, level) < NEAR_MODE_SHARE else None)
    own = [mode if mode is not None and own.count(mode) == 1 else None for mode in own]
    return tuple(_of_mode(speed, own[_level_of(speed, levels)]) for speed in found)


def moved_speeds(
    found: tuple[SpeedHeard, ...], moves_m_s: float, modes: tuple[FlightMode, ...]
) -> tuple[SpeedHeard, ...]:
    """Return held speeds with the shift of a machine that may have come or gone in their intervals.

    A flight mode stays where no other lies within the interval, too.
    """
    if not moves_m_s:
        return found
    out = []
    for one in found:
        low, high = speed_interval(one.head_speed_rpm_interval, moves_m_s)
        others = [m for m in modes if m.name != one.mode and low <= m.head_speed.number <= high]
        wide = replace(one, head_speed_rpm_interval=(low, high))
        out.append(replace(wide, mode=None, channel_percent=None) if others else wide)
    return tuple(out)


def _nearest(rpm: float, modes: list[FlightMode]) -> FlightMode | None:
    """Return the flight mode that is clearly nearer than the next; None where none is."""
    ranked = sorted(modes, key=lambda mode: _off(mode, rpm))
    if len(ranked) > 1 and _off(ranked[0], rpm) > NEAREST_SHARE * _off(ranked[1], rpm):
        return None
    return ranked[0] if ranked else None


def _off(mode: FlightMode, rpm: float) -> float:
    return abs(mode.head_speed.number / rpm - 1.0)


def _levels(found: list[SpeedHeard]) -> list[float]:
    """Return the different speeds, lowest first: those that differ by more than SAME_SPEED_SHARE."""
    levels: list[float] = []
    for rpm in sorted(speed.head_speed_rpm for speed in found):
        if not levels or rpm > levels[-1] * (1.0 + SAME_SPEED_SHARE):
            levels.append(rpm)
    return levels


def _level_of(speed: SpeedHeard, levels: list[float]) -> int:
    return min(range(len(levels)), key=lambda k: abs(levels[k] - speed.head_speed_rpm))


def _of_mode(speed: SpeedHeard, mode: FlightMode | None) -> SpeedHeard:
    if mode is None:
        return speed
    flat = mode.channel if mode.channel_low is None else None
    return replace(speed, mode=mode.name, channel_percent=None if flat is None else round(100.0 * flat.si, DIGITS))
