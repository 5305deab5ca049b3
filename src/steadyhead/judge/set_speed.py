"""Which head speed the governor was asked to hold, inferred from the plateaus at each channel position."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.commands import Command, positions, same_position
from steadyhead.judge.motor_state import REACHED_SHARE
from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import SAMPLES_FOR_STATISTICS, Signals, sparse
from steadyhead.trace.trace import Series

FULL_DUTY = 0.97
NEAR_SHARE = 0.08
"""Wide enough to hold both ends of a hunting head: half of a hunt has its own densest band away from the middle."""
HIGHEST_LOSS = 1.2
LOWEST_SHARE = 0.3
"""A head that turns at less than that of its fastest set speed idles or is jerked, it is not governed; own choice."""
HELD_S = 1.0
"""A plateau shorter than this shows no set speed."""
OWN_LEVEL_S = 5.0
"""A run of the motor that stayed so long at one speed tells its own set speed: bail-outs arrive sooner; own choice."""


def set_speeds(
    signals: Signals, asked: tuple[Command, ...], run: tuple[bool, ...], modes: tuple[tuple[float, float], ...] = ()
) -> tuple[float | None, ...]:
    """Return the set speed of each command, rpm; None for one that does not run or never reached a plateau.

    Equation: the median of the head speed within 8 % of the densest plateau at that channel position, in each run of
    the motor by itself: one position may hold another speed in another flight. Runs that agree are taken together; one
    too short to tell takes the speed of the nearest that tells. Samples at full duty are left out where enough others
    remain, because there the governor has lost its say. Where none remain, or no plateau, the flight mode of the
    machine file with that channel value is taken: `modes` holds (percent, rpm).
    """
    answers: list[float | None] = [None for _ in asked]
    if signals.speed_rpm is None:
        return tuple(answers)
    for group in positions(asked):
        running = [k for k in group if run[k]]
        if not running:
            continue
        speed, ruled = _plateau_of(signals, signals.speed_rpm, [asked[k] for k in running])
        mode = next((rpm for percent, rpm in modes if same_position(percent, asked[running[0]].percent)), None)
        if mode is not None and (speed is None or (not ruled and speed < mode < HIGHEST_LOSS * speed)):
            speed = mode
        for numbers, level in _levels_of(signals, signals.speed_rpm, asked, _runs(running, run), speed):
            for k in numbers:
                answers[k] = level
    least = LOWEST_SHARE * max((rpm for rpm in answers if rpm is not None), default=0.0)
    return tuple(None if rpm is None or rpm < least else rpm for rpm in answers)


def _runs(running: list[int], run: tuple[bool, ...]) -> list[list[int]]:
    """Return the commands of each run of the motor, from its start until it is asked to stop."""
    runs = [[running[0]]]
    for before, k in pairwise(running):
        if all(run[before:k]):
            runs[-1].append(k)
        else:
            runs.append([k])
    return runs


def _levels_of(
    signals: Signals, speed: Series, asked: tuple[Command, ...], runs: list[list[int]], pooled: float | None
) -> list[tuple[list[int], float | None]]:
    """Return the level of each run at one position, rpm, with its commands.

    `pooled` is the level of all of them together, which every run takes that agrees with it, or has no level to ask.
    """
    if len(runs) == 1 or pooled is None:
        return [(numbers, pooled) for numbers in runs]
    own = [_own_level(signals, speed, [asked[k] for k in numbers]) for numbers in runs]
    known: list[tuple[float, float]] = []
    for numbers, level in zip(runs, own, strict=True):
        if level is not None:
            alike = next((rpm for rpm in (pooled, *(rpm for _, rpm in known)) if _agree(rpm, level)), level)
            known.append((asked[numbers[0]].arrive_s, alike))
    answers: list[tuple[list[int], float | None]] = []
    for numbers in runs:
        at_s = asked[numbers[0]].arrive_s
        nearest = min(known, key=lambda one: abs(one[0] - at_s), default=(at_s, pooled))
        answers.append((numbers, nearest[1]))
    return answers


def _agree(one_rpm: float, other_rpm: float) -> bool:
    return abs(one_rpm - other_rpm) <= REACHED_SHARE * one_rpm


def _own_level(signals: Signals, speed: Series, alike: list[Command]) -> float | None:
    """Return the level of one run of the motor, rpm; None where it was too short, or the governor without its say."""
    level, ruled = _plateau_of(signals, speed, alike, OWN_LEVEL_S)
    return level if ruled or signals.duty is None else None


def _plateau_of(
    signals: Signals, speed: Series, alike: list[Command], held_s: float = HELD_S
) -> tuple[float | None, bool]:
    """Return the plateau of some commands, held for `held_s` or longer, and whether the governor still ruled there."""
    parts = [signals.within(c.arrive_s + 0.5, c.end_s - 2.0 * signals.interval_s) for c in alike]
    parts = [p for p in parts if p.stop > p.start]
    if not parts:
        return None, False
    if signals.duty is not None:
        step = max(1, sum(p.stop - p.start for p in parts) // SAMPLES_FOR_STATISTICS)
        rows = np.concatenate([_free_rows(signals.duty, p, step) for p in parts])
        in_control = _dwells(speed[rows], signals.samples(max(2.0 * HELD_S, held_s)) / step)
        if in_control is not None:
            return in_control, True
    return plateau(np.concatenate([speed[p] for p in parts]), signals.samples(held_s)), signals.duty is None


def _free_rows(duty: Series, part: slice, step: int) -> NDArray[np.int64]:
    """Return each `step`-th row of a part, where the governor has its say: neither at full duty nor off."""
    values = duty[part.start : part.stop : step]
    free = (values < FULL_DUTY) & (values > 0.05)
    rows: NDArray[np.int64] = rows_where(free) * step + part.start
    return rows


def plateau(speed_rpm: Series, fewest: int) -> float | None:
    """Return the speed at which a record dwells longest, rpm, or None when it dwells nowhere.

    Equation: median of the samples within 8 % of the densest 2 % wide band, centred three times.
    Shapes: speed_rpm (n,) -> scalar.
    """
    values = sparse(speed_rpm[np.isfinite(speed_rpm)])
    return _dwells(values, fewest * values.size / max(speed_rpm.size, 1))


def _dwells(some_rpm: Series, enough: float) -> float | None:
    values, fewest = np.sort(some_rpm), max(3, int(enough))
    values = values[values > max(50.0, 0.2 * float(values[-1]))] if values.size else values
    if values.size < fewest:
        return None
    counts = np.searchsorted(values, values * 1.02, side="right") - np.arange(values.size)
    densest = int(np.argmax(counts))
    if counts[densest] < fewest:
        return None
    middle = median(values[densest : densest + int(counts[densest])])
    for _ in range(3):
        middle = median(values[np.abs(values - middle) <= NEAR_SHARE * middle])
    return middle
