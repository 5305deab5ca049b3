"""What a log says of the pack: energy, charge, resistance from load steps, lowest cell, charge left."""

from dataclasses import dataclass

import numpy as np

from steadyhead.judge.parts import AT_ONCE
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.signals import Signals, sparse
from steadyhead.trace.trace import Series

LAG_S = 0.5
"""A load step is read over half a second: slower than the sensors, quicker than the pack's slow part."""
MEAN_S = 0.2
SETTLED_S = 2.0
"""Means over so long hide nothing behind the lag of a current sensor; own choice."""
PARTS_OF_MEAN = 4
SYSTEMATIC_SHARE = 0.05
"""Slow part of the pack seen within the lag, and sensors of different speed; own estimate."""
FEWEST_STEPS = 8
MOST_SAMPLES = 200_000
ROWS_OF_WITNESS = 40_000
"""Enough rows of a long log for a charge that is only held against a counter; own choice."""


@dataclass(frozen=True, kw_only=True)
class PackFigures:
    """Figures of the pack over the whole log; None where the log cannot tell."""

    energy_wh: float | None
    energy_steps_wh: Series | None
    """Energy out of the pack from each row to the next."""
    charge_mah: float | None
    resistance_ohm: float | None
    resistance_ohm_low: float | None
    resistance_ohm_high: float | None
    rest_voltage_v: float | None
    """Voltage before the motor first ran."""
    charge_is_counted: bool
    """Whether the log has its own charge counter; else the current was added up."""
    charge_by_current_mah: float | None = None
    """What the current adds up to beside a counter."""


def pack_figures(signals: Signals, first_start_s: float, steps: Series | None = None) -> PackFigures:
    """Return energy, charge, resistance and rest voltage of the pack.

    `steps` is the energy from row to row where it is known already.

    Equation: energy = integral of u i dt, charge = integral of i dt, both by trapezoids.
    Valid: gaps in the log are bridged by straight lines.
    """
    low = high = resistance = None
    steps = energy_steps_wh(signals) if steps is None else steps
    if signals.voltage_v is not None and signals.current_a is not None:
        found = resistance_from_steps(signals.time_s, signals.voltage_v, signals.current_a, signals.interval_s)
        if found is not None:
            resistance, low, high = found
    counted = signals.charge_mah
    made = _charge_mah(signals, every_row=counted is None)
    charge = made if counted is None else float(np.max(counted) - counted[0])
    rest = None
    if signals.voltage_v is not None:
        part = signals.within(max(first_start_s - 5.0, signals.start_s), first_start_s - 0.1)
        if part.stop - part.start >= 3:
            rest = median(signals.voltage_v[part])
    return PackFigures(
        energy_wh=None if steps is None else float(steps.sum()),
        energy_steps_wh=steps,
        charge_mah=charge,
        resistance_ohm=resistance,
        resistance_ohm_low=low,
        resistance_ohm_high=high,
        rest_voltage_v=rest,
        charge_is_counted=counted is not None,
        charge_by_current_mah=None if counted is None else made,
    )


def _charge_mah(signals: Signals, *, every_row: bool) -> float | None:
    """Return what the current adds up to, mAh; None without one."""
    current = signals.current_a
    if current is None:
        return None
    every = 1 if every_row else max(1, current.size // ROWS_OF_WITNESS)
    steps_s = signals.steps_s if every == 1 else np.diff(signals.time_s[::every])
    return _integral(current[::every], steps_s) / 3.6


def energy_steps_wh(signals: Signals) -> Series | None:
    """Return the energy out of the pack from each sample to the next, Wh; None without voltage and current.

    Shapes: -> (n - 1,).
    """
    if signals.voltage_v is None or signals.current_a is None:
        return None
    steps = np.empty(signals.steps_s.size)
    for begin in range(0, steps.size, AT_ONCE):
        rows = slice(begin, begin + AT_ONCE + 1)
        power = signals.voltage_v[rows] * signals.current_a[rows]
        block = np.add(power[1:], power[:-1], out=steps[begin : begin + AT_ONCE])
        block *= signals.steps_s[begin : begin + AT_ONCE]
        block *= 0.5 / 3600.0
    return steps


def _integral(values: Series, steps_s: Series) -> float:
    areas = values[1:] + values[:-1]
    areas *= steps_s
    return 0.5 * float(areas.sum())


def resistance_from_steps(
    time_s: Series, voltage_v: Series, current_a: Series, interval_s: float
) -> tuple[float, float, float] | None:
    """Return the pack resistance and its 90 % interval, ohm, from load steps; None when the load hardly changed.

    A pack gives way the more the longer a load lasts. Where long steps show less than short ones, the current sensor
    smooths what the voltage shows, and short swings make the resistance too large: the low end reaches to what long
    steps leave.
    Shapes: time_s (n,), voltage_v (n,), current_a (n,) -> three scalars.
    Valid: sees the part of the resistance that acts within half a second and a few percent of the slow part.
    """
    if time_s.size > MOST_SAMPLES:
        time_s, voltage_v, current_a = time_s[:MOST_SAMPLES], voltage_v[:MOST_SAMPLES], current_a[:MOST_SAMPLES]
    short = _slope(time_s, (voltage_v, current_a), interval_s, MEAN_S)
    if short is None:
        return None
    slope, doubt = short
    low, settled = slope - doubt, _slope(time_s, (voltage_v, current_a), interval_s, SETTLED_S)
    if settled is not None and settled[0] < slope:
        low = min(low, settled[0] - settled[1])
    return slope, low, slope + doubt


def _slope(
    time_s: Series, channels: tuple[Series, Series], interval_s: float, mean_s: float
) -> tuple[float, float] | None:
    """Return the resistance from steps between two means and its 90 % doubt, ohm; None with too few steps.

    Equation: slope of dU against dI over half a second, least squares through the origin on the steps above a
    quarter of the greatest one and above 1 A; each end of the step is a mean over `mean_s`, moved on by a quarter.
    Shapes: time_s (n,), channels two (n,) -> two scalars.
    """
    mean_rows = max(1, round(mean_s / interval_s))
    lag_rows = max(1, round(LAG_S / interval_s)) + mean_rows
    block = max(1, mean_rows // PARTS_OF_MEAN)
    count, lag = round(mean_rows / block), round(lag_rows / block)
    if time_s.size < block * (lag + count) + FEWEST_STEPS:
        return None
    u, i = (_means(x, block, count) for x in channels)
    du, di = u[lag:] - u[:-lag], i[lag:] - i[:-lag]
    whole_s = time_s[block * (lag + count) - 1 :: block] - time_s[: 1 - block * (lag + count) : block]
    least = max(0.25 * percentile(np.abs(sparse(di)), 99.8), 1.0)
    longest_s = 3.0 * LAG_S + MEAN_S + 2.0 * (mean_s - MEAN_S) + 2.0 * interval_s
    use = (np.abs(di) >= least) & (whole_s <= longest_s)
    rows = block * int(use.sum())
    if rows < FEWEST_STEPS:
        return None
    x, y = di[use], -du[use]
    slope = float((x * y).sum() / (x * x).sum())
    independent = max(rows / (lag_rows + mean_rows), 1.0)
    error = float(np.sqrt(np.mean((y - slope * x) ** 2) / (np.mean(x**2) * independent)))
    return slope, 1.645 * error + SYSTEMATIC_SHARE * abs(slope)


def _means(values: Series, block: int, count: int) -> Series:
    """Return the means of `count` neighbouring blocks of `block` rows, one from each block on."""
    rows = values.size // block * block
    blocks = sum(values[k:rows:block] for k in range(1, block)) + values[:rows:block]
    last = blocks.size - count + 1
    return np.asarray(sum(blocks[k : last + k] for k in range(count)) / (block * count))
