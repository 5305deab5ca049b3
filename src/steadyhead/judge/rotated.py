"""Logs that a logger parted within a flight: one goes on where the other ends, or repeats its last rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import PurePath

import numpy as np

from steadyhead.judge.levels import SPEEDS, level_before, level_from, turns_on
from steadyhead.judge.one_flight import as_one
from steadyhead.judge.result import FlightFigures, Judgement
from steadyhead.trace.trace import Trace

TELLING = (*SPEEDS, "pack_voltage_v", "pack_current_a")
LAST_OF_BOTH = (*TELLING, "duty", "throttle_percent")
"""Channels that mean the same in every file of a logger; a height may count from its own begin."""
FEWEST_ROWS, SAME_ROWS_SHARE = 20, 0.95
"""So many rows that are alike in every channel are no chance; a few may have been taken for faulty; own choice."""
LOOK_S = 0.5
SAME_PACK_SHARE = 0.02
"""The voltage of a pack that flies on differs by less, that of a fresh one by more; own choice."""
WH_PER_J = 1.0 / 3600.0


@dataclass(frozen=True, kw_only=True)
class Seam:
    """What two logs that follow each other share: rows, their energy, and a flight that goes on."""

    runs_on: bool
    twice_s: float
    twice_wh: float


@dataclass(frozen=True, kw_only=True)
class Parted:
    """What logs that belong together count twice: a seam for each pair, and a sentence for each that is one."""

    seams: tuple[Seam, ...]
    words: tuple[str, ...]

    @property
    def energy_wh(self) -> float:
        """Energy that stands in two logs, Wh."""
        return sum(seam.twice_wh for seam in self.seams)


def parted(logs: Sequence[Judgement]) -> Parted:
    """Return what is counted twice where a log repeats the end of the one before it, or goes on from there.

    Valid: logs in the order in which they were made.
    """
    seams, words = [], []
    for before, after in pairwise(logs):
        names = PurePath(after.log).name, PurePath(before.log).name
        rows = repeated_rows(before.trace, after.trace)
        twice_s = float(after.trace.time_s[rows - 1] - after.trace.time_s[0]) if rows else 0.0
        if rows:
            words.append(f"{names[0]} begins with the last {twice_s:.0f} s of {names[1]}: its energy there counts once")
        runs_on = _goes_on(before.trace, after.trace, rows)
        if runs_on:
            words.append(f"{names[0]} goes on where {names[1]} ends: one flight, judged in two parts")
        twice_wh = _energy_wh(after.trace, rows) if rows else 0.0
        seams.append(Seam(runs_on=runs_on, twice_s=twice_s, twice_wh=twice_wh))
    return Parted(seams=tuple(seams), words=tuple(words))


def whole_flights(logs: Sequence[Judgement], seams: Sequence[Seam]) -> tuple[FlightFigures, ...]:
    """Return the flights of logs in their order, one that goes on from a log into the next as one.

    Shapes: one seam fewer than logs.
    """
    flights: list[FlightFigures] = []
    for number, log in enumerate(logs):
        own = list(log.flights)
        seam = seams[number - 1] if number else None
        if seam is not None and seam.runs_on and flights and own:
            flights[-1] = as_one(flights[-1], own.pop(0), seam.twice_s, seam.twice_wh)
        flights.extend(own)
    return tuple(flights)


def repeated_rows(before: Trace, after: Trace) -> int:
    """Return how many of the first rows of a log are the last of another; 0 where none are, or too few to tell."""
    names = [name for name in LAST_OF_BOTH if before.has(name) and after.has(name)]
    if not any(name in TELLING for name in names):
        return 0
    least = min(before.time_s.size, after.time_s.size)
    first = next((row for row in range(min(least, FEWEST_ROWS)) if all(_known(after, names, row))), None)
    if first is None:
        return 0
    alike = np.ones(before.time_s.size, np.bool_)
    for name in names:
        alike &= before.channels[name] == after.channels[name][first]
    for begin in (np.flatnonzero(alike) - first).tolist():
        rows = before.time_s.size - begin
        if begin >= 0 and FEWEST_ROWS <= rows <= after.time_s.size and _same(before, after, names, begin, rows):
            return rows
    return 0


def _known(trace: Trace, names: Sequence[str], row: int) -> list[bool]:
    return [bool(np.isfinite(trace.channels[name][row])) for name in names]


def _same(before: Trace, after: Trace, names: Sequence[str], begin: int, rows: int) -> bool:
    moved = False
    for name in names:
        one, other = before.channels[name][begin:], after.channels[name][:rows]
        if float(((one == other) | (np.isnan(one) & np.isnan(other))).mean()) < SAME_ROWS_SHARE:
            return False
        moved = moved or (name in TELLING and np.unique(one[np.isfinite(one)]).size > FEWEST_ROWS // 2)
    return moved


def _goes_on(before: Trace, after: Trace, rows: int) -> bool:
    """Whether a turning head turns on from the end of one log into the next, past the rows that it repeats."""
    if rows >= after.time_s.size:
        return False
    speed = next((name for name in SPEEDS if before.has(name) and after.has(name)), None)
    if speed is None:
        return False
    if not turns_on(*_over(before, after, speed, rows)):
        return False
    volts = _over(before, after, "pack_voltage_v", rows)
    return bool(rows) or abs(volts[1] - volts[0]) <= SAME_PACK_SHARE * volts[0]


def _over(before: Trace, after: Trace, name: str, rows: int) -> tuple[float, float]:
    """Return the level of a channel at the end of one log, and in the next past the rows that it repeats."""
    return level_before(before, name, before.time_s.size, LOOK_S), level_from(after, name, rows, LOOK_S)


def _energy_wh(trace: Trace, rows: int) -> float:
    volts, amperes = trace.get("pack_voltage_v"), trace.get("pack_current_a")
    if volts is None or amperes is None:
        return 0.0
    watts = np.nan_to_num(volts[:rows] * amperes[:rows])
    return float(np.sum(0.5 * (watts[1:] + watts[:-1]) * np.diff(trace.time_s[:rows]))) * WH_PER_J
