"""Whether duty or current swing as a hunting governor makes them, where the speed sensor may be too slow to show it."""

from math import pi
from typing import NamedTuple

from steadyhead.judge.hunting import BY_CHANCE, Swing, swings
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import mean
from steadyhead.trace.trace import Series

REGULAR = 0.5
SEEN_BELOW_HZ = 1.0
"""A slower swing comes through most speed sensors, and gusts make the duty swing as slowly; own choice."""
FACTOR_ON_INERTIA = 1.5
"""The least inertia is this much below the one known: what turns with the rotor is estimated; own choice."""


class Elsewhere(NamedTuple):
    """A regular swing of another channel, and how far the head may swing with it, percent of the set speed."""

    channel: str
    frequency_hz: float
    swing_percent: float
    head_percent: float


def swings_elsewhere(found: Measured, numbers: Owner) -> Elsewhere | None:
    """Return the swing of duty or current that may move the head most; None where neither swings beyond noise.

    Equations: duty d: dn/n <= dd/d, since a motor without load or inertia follows its voltage; current i, without a
    duty channel: dn/n = V di / (J w^2 2 pi f), the energy that the rotor takes up and gives back within half a period.
    Valid: plain running; a swing that repeats itself; the rotor's inertia known or typical.
    Source: energy of rotation, any mechanics textbook.
    """
    signals = found.signals
    channel = "duty" if signals.duty is not None else "current"
    values = signals.duty if signals.duty is not None else signals.current_a
    if values is None or not found.windows or not signals.sensed:
        return None
    parts = found.window_parts
    levels = [max(mean(values[part]), 0.0) for part in parts]
    seen = []
    for window, part, level, line in zip(
        found.windows, parts, levels, swings(signals.time_s, values, parts, levels), strict=True
    ):
        if (
            line is None
            or line.frequency_hz < SEEN_BELOW_HZ
            or (line.regular or 0.0) < REGULAR
            or line.chance >= BY_CHANCE
        ):
            continue
        head = line.amplitude_percent
        if channel == "current":
            head = _by_energy(line, level, signals.voltage_v, part, window.set_rpm, numbers)
        seen.append(Elsewhere(channel, line.frequency_hz, line.amplitude_percent, head))
    return max(seen, key=lambda one: one.head_percent, default=None)


def _by_energy(
    line: Swing, level_a: float, voltage_v: Series | None, part: slice, set_rpm: float, numbers: Owner
) -> float:
    if numbers.inertia_kg_m2 is None:
        return 0.0
    volts = mean(voltage_v[part]) if voltage_v is not None else 3.8 * numbers.cells
    power_w = volts * level_a * line.amplitude_percent / 100.0
    energy_j = numbers.inertia_kg_m2 / FACTOR_ON_INERTIA * (set_rpm * pi / 30.0) ** 2
    return 100.0 * power_w / (energy_j * 2.0 * pi * line.frequency_hz)
