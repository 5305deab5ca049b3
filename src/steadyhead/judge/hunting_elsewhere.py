"""Whether duty or current swing as a hunting governor makes them, where the speed sensor may be too slow to show it."""

from collections.abc import Sequence
from math import inf, pi, sqrt
from typing import NamedTuple

from steadyhead.judge.hunting import BY_CHANCE, Swing, swings
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import deviation, mean
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import Calm
from steadyhead.judge.transient import row_noise
from steadyhead.trace.trace import Series

REGULAR = 0.5
SEEN_BELOW_HZ = 1.0
"""A slower swing comes through most speed sensors, and gusts make the duty swing as slowly; own choice."""
FACTOR_ON_INERTIA = 1.5
"""The least inertia is this much below the one known: what turns with the rotor is estimated; own choice."""
CELL_V = 3.8
"""A cell in the middle of its charge, where no voltage was logged; common practice, no source."""
SLOW_ROWS_S, RESTLESS_PERCENT = 0.04, 4.0
"""A duty that moves by that share of itself, in rows no quicker, may swing faster than they show; noise of a speed
sensor moves it by one or two; own choice."""
ALIASED_ROWS_S = 0.15
"""Rows in which a swing of 3 to 5 Hz, as governors make it, may look like one of any lower frequency; own choice."""
MOVES_PERCENT = 8.0
"""What is flown in a hover moves the duty by half as much; a loop that swings the head by half a percent at 3 Hz moves
it by about as much: dd/d = 2 pi f T dn/n, T of a second for motor and rotor together; own choice."""
LARGEST_LINE = 2.5
"""A line under a Hann window is at most root 2 times root 8/3, 2.31, times the deviation of the window; a little more,
since the window is read on another grid."""


class Elsewhere(NamedTuple):
    """A regular swing of another channel, and how far the head may swing with it, percent of the set speed."""

    start_s: float
    channel: str
    frequency_hz: float | None
    """None where the rows are too slow to tell: the channel leaps from row to row."""
    swing_percent: float
    head_percent: float


def swings_elsewhere(signals: Signals, windows: Sequence[Calm], numbers: Owner) -> tuple[Elsewhere, ...]:
    """Return the swings of duty or current that may move the head by more than the owner's limit for hunting.

    Equations: duty d: dn/n <= dd/d, since a motor without load or inertia follows its voltage; current i, without a
    duty channel: dn/n = V di / (J w^2 2 pi f), the energy that the rotor takes up and gives back within half a period.
    Valid: plain running; a swing that repeats itself; without the rotor's inertia a current may move the head by any
    amount. A duty that leaps from row to row in slow rows counts, too; so does one that moves as much, at whatever
    pace, in rows too few or too slow for its line. A window whose channel hardly moves is not looked into:
    LARGEST_LINE says how strong a line it can hold.
    Source: energy of rotation, any mechanics textbook.
    """
    channel = "duty" if signals.duty is not None else "current"
    values = signals.duty if signals.duty is not None else signals.current_a
    if values is None or not windows or not signals.sensed:
        return ()
    each = []
    for window, part in zip(windows, signals.parts(windows), strict=True):
        level = max(mean(values[part]), 0.0)
        reach = 1.0 if channel == "duty" else _head_over_current(level, signals.voltage_v, part, window, numbers)
        moved = 100.0 * deviation(values[part]) / level if level > 0.0 else 0.0
        if LARGEST_LINE * moved * reach / (1.0 if channel == "duty" else SEEN_BELOW_HZ) > numbers.hunting_percent:
            each.append((window, part, level, reach, moved))
    lines = swings(signals.time_s, values, [one[1] for one in each], [one[2] for one in each])
    seen = []
    for (window, part, level, reach, moved), line in zip(each, lines, strict=True):
        if line is None or not _hunts(line):
            restless = _restless_percent(values[part], level, line) if channel == "duty" else 0.0
            if channel == "duty" and (line is None or signals.interval_s >= ALIASED_ROWS_S):
                restless = max(restless, sqrt(2.0) * moved if sqrt(2.0) * moved >= MOVES_PERCENT else 0.0)
            if signals.interval_s >= SLOW_ROWS_S and restless >= RESTLESS_PERCENT:
                seen.append(Elsewhere(window.start_s, channel, None, restless, restless))
            continue
        head = line.amplitude_percent * reach / (1.0 if channel == "duty" else line.frequency_hz)
        if head > numbers.hunting_percent:
            seen.append(Elsewhere(window.start_s, channel, line.frequency_hz, line.amplitude_percent, head))
    return tuple(seen)


def _restless_percent(values: Series, level: float, line: Swing | None) -> float:
    """Return by how much a channel leaps from row to row or swings at all: in slow rows a quick swing may look slow."""
    return max(100.0 * row_noise(values) / level, 0.0 if line is None else line.amplitude_percent)


def _hunts(line: Swing) -> bool:
    return line.frequency_hz >= SEEN_BELOW_HZ and (line.regular or 0.0) >= REGULAR and line.chance < BY_CHANCE


def _head_over_current(level_a: float, voltage_v: Series | None, part: slice, window: Calm, numbers: Owner) -> float:
    """Return the swing of the head over that of the current, each as a share of itself, times the frequency, Hz."""
    if numbers.inertia_kg_m2 is None:
        return inf
    volts = mean(voltage_v[part]) if voltage_v is not None else CELL_V * numbers.cells
    energy_j = numbers.inertia_kg_m2 / FACTOR_ON_INERTIA * (window.set_rpm * pi / 30.0) ** 2
    return volts * level_a / (energy_j * 2.0 * pi)
