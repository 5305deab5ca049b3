"""Making time go forward: gaps, repeated stamps, doubled rows, clocks that jump; each is counted and said."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.quick_look import look_at
from steadyhead.trace.trace import Series
from steadyhead.words.errors import InputError

Rows = NDArray[np.int64]
_DAY_S = 86400.0
_CLOCK_SET_S = 3600.0
"""A step this long is a clock being set, not a flight that went on: no pack lasts an hour between two rows."""
SEAM_S = 5.0
"""A clock that goes back by less stutters; one that goes back further may be that of another run; own choice."""
_COARSE = 0.2
"""Above this share of repeated stamps the clock is coarse and nothing is wrong."""
_EVEN_WITHIN, _EVEN_SHARE = 0.5, 0.99
"""Rows that were only written in another order stand, sorted, as evenly as a logger writes them; own choice."""
_MEET_AT_A_BLOCK = 3
"""A block that is put elsewhere meets other rows at both of its ends, and those that it left meet each other."""
_MOST_STUTTERS, _STRETCH_SHARE = 3, 0.01
"""So many steps back are moved whatever they add; more may make the log longer by this share; own choice."""
_BACKWARD_LIMIT = 0.02
_FOLLOW_PHASE, _FOLLOW_LENGTH = 0.15, 0.005
_FOLLOW_ROWS = 300_000
"""Above this many rows a trembling clock is not followed row by row: only long gaps are counted."""


@dataclass(kw_only=True)
class _Work:
    """What is known of the time while it is put right."""

    time: Series
    row: Rows
    first_row: int = 0
    warnings: list[str] = field(default_factory=list)
    history: list[str] = field(default_factory=list)
    seams: list[int] = field(default_factory=list)
    in_order: bool = True


@dataclass(frozen=True, kw_only=True)
class Timeline:
    """Time that goes forward, and the rows of the file it belongs to.

    Shapes: time_s (m,), strictly increasing from 0; row (m,), indices into the rows of the file, m <= n.
    """

    time_s: Series
    row: Rows
    warnings: tuple[str, ...]
    history: tuple[str, ...]
    seams_s: tuple[float, ...] = ()
    """Times of the rows from which on the clock began anew or was set."""
    in_order: bool = True
    """Whether the rows stand as in the file; else they were sorted by their times."""


def timeline_of(
    name: str,
    seconds: Series,
    *,
    time_of_day: bool,
    count_s: float,
    doubled: Callable[[Rows], NDArray[np.bool_]],
    first_row: int = 0,
) -> Timeline:
    """Return a strictly increasing time for the rows that have one.

    `doubled` says for given row numbers whether the row equals the one before it; `count_s` is one count of the clock;
    `first_row` of the file is where the seconds begin.

    Shapes: seconds (n,), NaN where no time could be read.
    Raises: InputError when fewer than two rows have a time, or it does not move, or runs backwards too often.
    """
    look = look_at(seconds) if seconds.size > 2 else None
    if look is not None and look.fall > 0.0 and look.rise <= 1.5 * _period_by_sample(seconds):
        return Timeline(
            time_s=seconds - seconds[0] if seconds[0] else seconds, row=np.arange(seconds.size), warnings=(), history=()
        )
    there = np.isfinite(seconds)
    work = _Work(time=seconds[there], row=np.flatnonzero(there), first_row=first_row)
    if work.time.size < seconds.size:
        work.warnings.append(f"{seconds.size - work.time.size} rows have no readable time: left out")
    if work.time.size < 2:
        raise InputError(name, read=f"{work.time.size} rows with a time", right="two rows or more")
    if np.ptp(work.time) == 0.0:
        raise InputError(name, read=f"{work.time.size} rows, and time does not move", right="a time that goes forward")
    steps = np.diff(work.time)
    if bool((steps < 0).any()) or bool((steps > _CLOCK_SET_S).any()):
        _unwrap(work, time_of_day, count_s)
        _sort_blocks(work, even_share=1.0)
        _drop_strays(work)
        _sort_blocks(work, even_share=_EVEN_SHARE)
    _drop_doubled(work, doubled)
    _mend_jumps(name, work)
    _spread_repeats(work)
    _count_gaps(work)
    time_s = work.time - work.time[0]
    if time_s.size < 2 or not bool((np.diff(time_s) > 0).all()):
        raise InputError(name, read="a time column that cannot be put in order", right="a time that goes forward")
    return Timeline(
        time_s=time_s,
        row=work.row,
        warnings=tuple(work.warnings),
        history=tuple(work.history),
        seams_s=tuple(float(time_s[row]) for row in sorted(work.seams)),
        in_order=work.in_order,
    )


def period_of(time: Series) -> float:
    """Return the usual step of a time that mostly goes forward, s."""
    steps = np.diff(time)
    forward = steps[steps > 0]
    middle = float(np.median(forward)) if forward.size else 0.0
    near = forward[np.abs(forward - middle) < 0.75 * middle]
    return float(near.mean()) if near.size else middle


def _period_by_sample(time: Series) -> float:
    """Return the usual step by 64 stretches spread over the whole, s."""
    starts = np.linspace(0, max(0, time.size - 257), 64).astype(np.int64)
    steps = np.concatenate([np.diff(time[start : start + 257]) for start in starts])
    return float(np.median(steps))


def _unwrap(work: _Work, time_of_day: bool, count_s: float) -> None:
    """Undo midnight, and counters that begin again at a power of two."""
    steps = np.diff(work.time)
    usual = float(np.median(steps))
    rounds = [_DAY_S, _DAY_S / 2] if time_of_day else [2.0**bits * count_s for bits in (16, 31, 32)]
    for turn in rounds:
        back = np.flatnonzero(np.abs(steps + turn - usual) < 0.01 * turn)
        if back.size and (turn > 20 * abs(usual)):
            shift = np.zeros(work.time.size)
            shift[back + 1] = turn
            work.time = work.time + np.cumsum(shift)
            what = "passes midnight or noon" if time_of_day else "counter begins again"
            work.history.append(
                f"the clock {what} after data row {work.first_row + work.row[back[0]] + 1}: {turn:g} s added"
            )
            return


def _drop_strays(work: _Work) -> None:
    """Leave out single rows whose stamp stands out of line between two neighbours that follow each other."""
    t = work.time
    if t.size < 4:
        return
    limit = 5 * max(period_of(t), 0.0)
    around = t[2:] - t[:-2]
    stray = (around >= 0) & (around <= limit) & ((t[1:-1] < t[:-2]) | (t[1:-1] > t[2:] + limit))
    at = np.flatnonzero(stray) + 1
    # a lone row before or behind all others, which may be one of sums or of greatest values
    first = [0] if t[0] > t[1] and bool((np.diff(t[1:4]) >= 0).all()) else []
    last = [t.size - 1] if t[-1] < t[-2] and bool((np.diff(t[-4:-1]) >= 0).all()) else []
    at = np.unique(np.concatenate((at, first, last))).astype(np.int64)
    if at.size:
        work.time, work.row = np.delete(t, at), np.delete(work.row, at)
        work.warnings.append(f"{at.size} rows have a time out of line with their neighbours: left out")


def _sort_blocks(work: _Work, even_share: float) -> None:
    """Put rows in the order of their times where that, and only that, makes an even clock: they were written in blocks.

    `even_share` of the steps at the places where blocks meet must then be even.

    Valid: no two rows share a time that did not before, and each step back makes three places or fewer where rows meet
    anew, as a block that is put elsewhere does; rows of two runs, or of a clock that was set back, mingle one by one.
    """
    steps = np.diff(work.time)
    back = np.flatnonzero(steps < 0)
    if not back.size:
        return
    order = np.argsort(work.time, kind="stable")
    after = np.diff(work.time[order])
    period = period_of(work.time[order])
    joints = after[np.diff(order) != 1]  # where rows meet that did not stand beside each other
    even = float((np.abs(joints - period) <= _EVEN_WITHIN * period).mean())
    repeats = int((after == 0).sum()) > int((steps == 0).sum())
    mingle = joints.size > _MEET_AT_A_BLOCK * (back.size + 1)
    if even < even_share or repeats or mingle or float(joints.max()) >= SEAM_S:
        return
    first = work.first_row + int(work.row[back[0]]) + 1
    work.warnings.append(
        f"rows stand in another order than their times, {back.size} times, the first after data row {first}: "
        "put in the order of their times, which makes an even clock"
    )
    work.time, work.row, work.in_order = work.time[order], work.row[order], False


def _drop_doubled(work: _Work, doubled: Callable[[Rows], NDArray[np.bool_]]) -> None:
    same = np.flatnonzero(np.diff(work.time) == 0) + 1
    if not same.size or same.size > _COARSE * work.time.size:
        return
    twice = same[doubled(work.row[same])]
    if twice.size:
        work.warnings.append(f"{twice.size} rows are written twice")
        work.history.append(f"left out {twice.size} rows equal to the row before, time included")
        work.time, work.row = np.delete(work.time, twice), np.delete(work.row, twice)


def _mend_jumps(name: str, work: _Work) -> None:
    """Let time go on where a clock jumps back or was set: later rows are moved, none is dropped."""
    steps = np.diff(work.time)
    back = np.flatnonzero(steps < 0)
    ahead = np.flatnonzero(steps > _CLOCK_SET_S)
    if back.size > max(3.0, _BACKWARD_LIMIT * work.time.size):
        raise InputError(name, read=f"a time that runs backwards {back.size} times", right="a time that goes forward")
    period = period_of(work.time)
    _refuse_a_stretch(name, work, steps[back], int(back[0]) if back.size else 0, period)
    for at, word in [(at, "runs backwards") for at in back] + [(at, "jumps ahead") for at in ahead]:
        work.warnings.append(
            f"time {word} after data row {work.first_row + work.row[at] + 1} (by {abs(period - steps[at]):.4g} s): "
            "the rows after it are kept and moved, so that time goes on"
        )
        work.time[at + 1 :] += period - steps[at]
        if abs(steps[at]) >= SEAM_S:
            work.seams.append(int(at) + 1)


def _refuse_a_stretch(name: str, work: _Work, back_s: Series, first: int, period: float) -> None:
    """Refuse a time that goes back again and again by less than another run does: moving it would stretch the log."""
    stutters = back_s[back_s > -SEAM_S]
    added_s = float((period - stutters).sum())
    lasts_s = float(np.ptp(work.time))
    if stutters.size <= _MOST_STUTTERS or added_s <= _STRETCH_SHARE * lasts_s:
        return
    raise InputError(
        name,
        read=f"a time that goes back {stutters.size} times, the first after data row "
        f"{work.first_row + int(work.row[first]) + 1}, by {added_s:.3g} s of {lasts_s:.4g} s in all, "
        "and no order of the rows makes it even",
        right="a time that goes forward",
    )


def _spread_repeats(work: _Work) -> None:
    """Place rows that share a stamp evenly up to the next stamp, at most one usual step apart."""
    t = work.time
    starts = np.flatnonzero(np.diff(t, prepend=-np.inf) > 0)
    repeats = t.size - starts.size
    if not repeats:
        return
    sizes = np.diff(np.append(starts, t.size))
    period = period_of(t[starts])
    room = np.append(np.diff(t[starts]), period)
    coarse = repeats > _COARSE * t.size
    step = room / sizes if coarse else np.minimum(room / sizes, period)
    group = np.repeat(np.arange(starts.size), sizes)
    work.time = t[starts][group] + (np.arange(t.size) - starts[group]) * step[group]
    if coarse:
        work.history.append(f"the clock moves in steps of {period:.4g} s: rows spread evenly inside each step")
    else:
        work.warnings.append(f"{repeats} time stamps repeat the one before")
        work.history.append("rows with a repeated stamp placed between it and the next stamp")


def _count_gaps(work: _Work) -> None:
    """Count the rows that are missing, on a clock that may tremble."""
    period = period_of(work.time)
    steps = np.diff(work.time) / period
    tremble = float(np.quantile(np.abs(steps[steps < 1.75] - 1.0), 0.95)) if bool((steps < 1.75).any()) else 1.0
    long = np.flatnonzero(steps > 1.5)
    if not long.size:
        return
    if tremble < 0.25:
        missing = int((np.round(steps[long]) - 1).sum())
    elif tremble < 0.75 and work.time.size <= _FOLLOW_ROWS:
        missing = _missing_on_a_trembling_clock(work.time / period)
    else:
        holes = int((steps > 5.0).sum())
        if holes:
            work.warnings.append(f"{holes} gaps in time are longer than five usual steps of {period:.3g} s")
        return
    if missing:
        work.warnings.append(f"{missing} rows are missing (gaps in time)")


def _missing_on_a_trembling_clock(ticks: Series) -> int:
    """Count the rows missing where stamps tremble about an even beat: follow the beat, row by row.

    Shapes: ticks (n,), time over the usual step
    Valid: a tremble up to 0.4 of a step; the beat may drift slowly.
    """
    beat, length, missing = float(ticks[0]), 1.0, 0
    for tick in ticks[1:].tolist():
        beats = max(1, round((tick - beat) / length))
        beat += beats * length
        off = tick - beat
        beat += _FOLLOW_PHASE * off
        length = min(1.1, max(0.9, length + _FOLLOW_LENGTH * off / beats))
        missing += beats - 1
    return missing
