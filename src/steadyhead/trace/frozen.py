"""A sensor that freezes: one and the same value, row after row, while everything about it moves."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.impossible import BOUNDS, Flags, level_of
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.side_by_side import side_by_side
from steadyhead.trace.trace import Series

WATCHED = ("head_speed_rpm", "motor_side_speed_rpm", "pack_voltage_v", "pack_current_a")
SPEEDS = ("head_speed_rpm", "motor_side_speed_rpm")
FEWEST_LEVELS = 5
"""A sensor whose noise covers fewer steps stands still by itself; own choice."""
WITNESSES = (*WATCHED, "duty", "collective_deg", "collective_percent")
SHORTEST_S = 1.0
FEWEST_ROWS = 10
"""What stands still for less than a second, or ten rows, may do so by itself."""
NEAR_S = 3.0
HELD_S = 0.25
HELD_ROWS = 3
LIVELY = 0.4
"""Share of the rows of the whole log, rests and all, in which a channel must change to bear witness; own choice."""
CHANCE = 1e-6
RESTLESS = 0.6
"""Share of the rows near by in which the value changes: a quiet or coarse sensor does not, and is believed."""
TURNS_BACK = 0.1
"""Share of the steps that turn back, from which they are a sensor's own noise; common practice, no source."""
MOVES_SHARE = 0.02
"""A witness moves when it runs over this share of its own level meanwhile; common practice, no source."""
TURNS_SHARE = 0.05
NONE: Mapping[str, tuple[Series, Flags]] = MappingProxyType({})


Stills = Mapping[str, tuple[Series, Flags]]
"""Channels with what `_still` says of them, so that it is worked out once."""


def stills_of(channels: Mapping[str, Series], size: int) -> Stills:
    """Return for each watched channel which rows repeat the one before."""
    names = [name for name in WATCHED if name in channels]
    found = side_by_side(lambda name: _still(channels[name]), names, size)
    return {name: (channels[name], still) for name, still in zip(names, found, strict=True)}


def _known_still(stills: Stills, name: str, values: Series) -> Flags:
    series, still = stills.get(name, (None, None))
    return still if still is not None and series is values else _still(values)


def frozen(name: str, channels: Mapping[str, Series], time_s: Series, stills: Stills = NONE) -> Flags | None:
    """Return which samples of a channel are frozen; None when there are none.

    A run of equal values of a second or more is a frozen sensor when the value changed at most rows before and after
    it, or a speed leaps out of it, and another channel moved meanwhile. A steady value that nothing contradicts is
    believed. A speed that stands still for a quarter of a second or more, where by chance it never does, is frozen too.

    Shapes: channels (n,), time_s (n,) -> (n,)
    Valid: the sensor shows its own noise; one that is averaged or coarse cannot be told from a frozen one.
    """
    values = channels[name]
    if name not in WATCHED or values.size < 3 * FEWEST_ROWS:
        return None
    rows, size = None, values.size
    if not np.isfinite(np.add.reduce(values)):  # an empty cell within a run does not end it
        rows = np.flatnonzero(np.isfinite(values))
        values, time_s = values[rows], time_s[rows]
    if values.size < 3 * FEWEST_ROWS:
        return None
    still = _known_still(stills, name, values)
    spans = _runs(still)
    runs = _long(spans, time_s)
    brief = _long(spans, time_s, rows=HELD_ROWS, seconds=HELD_S) if name in SPEEDS and _lively(still) else []
    if not runs and not brief:
        return None
    level = level_of(values)
    flags = np.zeros(size, np.bool_)
    for first, last in brief:
        turns = abs(values[first]) > TURNS_SHARE * level and time_s[last] - time_s[first] < NEAR_S
        if turns and _never_by_chance(values, still, time_s, first, last):
            flags[slice(first + 1, last + 1) if rows is None else rows[first + 1 : last + 1]] = True
    for first, last in runs:
        turns = abs(values[first]) > TURNS_SHARE * level
        if (
            turns
            and (restless(values, time_s, first, last) or _released(name, values, time_s, last, level))
            and _contradicted(name, channels, *_ends(rows, first, last))
        ):
            flags[slice(first + 1, last + 1) if rows is None else rows[first + 1 : last + 1]] = True
    return flags if flags.any() else None


def held_rows(channels: Mapping[str, Series], time_s: Series, stills: Stills = NONE) -> Flags | None:
    """Return which rows only repeat what the row before had measured, in every channel; None when there are none.

    A logger that loses its sensors for a moment writes the last row again. Speed, voltage and current that stand still
    together, where they seldom do near by, are no measurement.
    Equation: q ^ n < 1e-6, q the share of still rows in the 3 s before or after, n the rows of the run.

    Shapes: channels (n,), time_s (n,) -> (n,)
    Valid: two of those channels or more, each changing at most rows; runs of a quarter of a second to three seconds.
    """
    watched = [_known_still(stills, name, channels[name]) for name in WATCHED if name in channels]
    lively = [still for still in watched if _lively(still)]
    if len(lively) < 2:
        return None
    still = np.logical_and.reduce(lively)
    flags = np.zeros(time_s.size, np.bool_)
    for first, last in _long(_runs(still), time_s, rows=HELD_ROWS, seconds=HELD_S):
        before = still[int(time_s.searchsorted(time_s[first] - NEAR_S)) : first]
        after = still[last : int(time_s.searchsorted(time_s[last] + NEAR_S))]
        if min(before.size, after.size) <= FEWEST_ROWS or time_s[last] - time_s[first] > NEAR_S:
            continue
        share = max((float(side.sum()) + 1.0) / (side.size + 2.0) for side in (before, after))
        if share ** (last - first) < CHANCE:
            flags[first + 1 : last + 1] = True
    return flags if flags.any() else None


def _still(values: Series) -> NDArray[np.bool_]:
    """Return for each row but the first whether it repeats the one before."""
    return np.asarray(values[1:] == values[:-1])


def _lively(still: NDArray[np.bool_]) -> bool:
    return still.size >= FEWEST_ROWS and still.size - int(np.count_nonzero(still)) >= LIVELY * (still.size + 1)


def _runs(still: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return first and last row of each run of equal values of HELD_ROWS or more.

    Shapes: still (n,) -> (2, m).
    """
    edges = np.flatnonzero(still[1:] != still[:-1]) + 1
    starts = edges[0::2] if not still[0] else np.concatenate(([0], edges[1::2]))
    stops = edges[1::2] if not still[0] else edges[0::2]
    stops = np.concatenate((stops, [still.size])) if stops.size < starts.size else stops
    enough = np.flatnonzero(stops - starts >= HELD_ROWS)
    return np.stack((starts[enough], stops[enough]))


def long_stills(still: NDArray[np.bool_], time_s: Series) -> list[tuple[int, int]]:
    """Return first and last row of each run of equal values of a second, and of ten rows, or more.

    Shapes: still (n,), time_s (n + 1,) -> m pairs.
    """
    return _long(_runs(still), time_s)


def _long(
    runs: NDArray[np.int64], time_s: Series, *, rows: int = FEWEST_ROWS, seconds: float = SHORTEST_S
) -> list[tuple[int, int]]:
    """Return the runs that are long enough."""
    starts, stops = runs[:, runs[1] - runs[0] >= rows]
    long = time_s[stops] - time_s[starts] >= seconds
    return list(zip(starts[long].tolist(), stops[long].tolist(), strict=True))


def restless(values: Series, time_s: Series, first: int, last: int) -> bool:
    """Whether the value changed at most rows on both sides, where the log shows both, and went to and fro."""
    before = values[int(time_s.searchsorted(time_s[first] - NEAR_S)) : first + 1]
    after = values[last : int(time_s.searchsorted(time_s[last] + NEAR_S))]
    sides = [np.diff(side) for side in (before, after) if side.size > FEWEST_ROWS]
    return bool(sides) and all(shows_its_noise(steps) for steps in sides)


def _released(name: str, values: Series, time_s: Series, last: int, level: float) -> bool:
    """Whether a run of equal speeds ends with a leap that no rotor makes: its sensor came back to life."""
    if name not in SPEEDS or last + 1 >= values.size:
        return False
    bound, took_s = BOUNDS[name], float(time_s[last + 1] - time_s[last])
    least = max(bound.jump_share, min(bound.rate_per_s * took_s, bound.rate_most))
    return abs(float(values[last + 1] - values[last])) > least * level


def _ends(rows: NDArray[np.int64] | None, first: int, last: int) -> tuple[int, int]:
    return (first, last) if rows is None else (int(rows[first]), int(rows[last]))


def _never_by_chance(values: Series, still: NDArray[np.bool_], time_s: Series, first: int, last: int) -> bool:
    """Whether a run of equal values is longer than any that the noise about it makes.

    Equation: q ^ n < 1e-6, q the larger share of still rows in the 3 s before and after, n the rows of the run.
    Valid: values that go to and fro over more than a few steps; a coarse one that stands between two is believed.
    """
    begin, end = (int(time_s.searchsorted(t)) for t in (time_s[first] - NEAR_S, time_s[last] + NEAR_S))
    sides = [slice(begin, first), slice(last + 1, end)]
    if min(side.stop - side.start for side in sides) <= FEWEST_ROWS:
        return False
    share = max((float(np.count_nonzero(still[side])) + 1.0) / (side.stop - side.start + 2.0) for side in sides)
    if share ** (last - first) >= CHANCE:
        return False
    return all(
        np.unique(values[side]).size >= FEWEST_LEVELS and shows_its_noise(np.diff(values[side])) for side in sides
    )


def shows_its_noise(steps: Series) -> bool:
    """Whether most steps change the value and some turn back: a speed that only rises and then holds is no noise."""
    moved = steps[np.isfinite(steps) & (steps != 0.0)]
    turns = int(np.count_nonzero(np.sign(moved[1:]) != np.sign(moved[:-1])))
    return bool(moved.size >= RESTLESS * steps.size and turns >= TURNS_BACK * moved.size)


def _contradicted(name: str, channels: Mapping[str, Series], first: int, last: int) -> bool:
    """Whether another channel moved while this one stood still."""
    for other in WITNESSES:
        if other == name or other not in channels:
            continue
        part = channels[other][first : last + 1]
        part = part[np.isfinite(part)]
        size = float(np.abs(sample_of(channels[other])).max(initial=0.0))
        if part.size >= FEWEST_ROWS and float(np.ptp(part)) > MOVES_SHARE * size > 0.0:
            return True
    return False
