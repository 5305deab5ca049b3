"""Gathers the figures of each segment and each steady window into the result."""

from bisect import bisect_left
from collections.abc import Sequence
from math import isfinite
from typing import TypeVar

import numpy as np

from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import part_means
from steadyhead.judge.pieces import mean
from steadyhead.judge.result import LoadEvent, Segment, SteadyWindow
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.steady import Calm
from steadyhead.trace.trace import Series

Timed = TypeVar("Timed", LoadEvent, Calm)


def segment_figures(found: Measured) -> tuple[Segment, ...]:
    """Return the segments of a log with every figure that the log can give."""
    stretches = found.stretches
    each = zip(
        stretches,
        found.signals.parts(stretches),
        _inside(found.events, stretches),
        _inside(found.windows, stretches),
        _energy(found.signals, stretches, found.pack.energy_steps_wh),
        strict=True,
    )
    return tuple(_segment(found, *one) for one in each)


def _inside(items: tuple[Timed, ...], stretches: tuple[Stretch, ...]) -> list[tuple[Timed, ...]]:
    """Return for each stretch the items that begin in it."""
    starts = [item.start_s for item in items]
    return [items[bisect_left(starts, s.start_s) : bisect_left(starts, s.end_s)] for s in stretches]


def _segment(
    found: Measured,
    stretch: Stretch,
    part: slice,
    events: tuple[LoadEvent, ...],
    windows: tuple[Calm, ...],
    energy_wh: float | None,
) -> Segment:
    signals = found.signals
    governed = stretch.kind == "governed"
    hunt = max((w for w in windows if w.line), key=lambda w: w.line.amplitude_percent if w.line else 0.0, default=None)
    return Segment(
        kind=stretch.kind,
        start_s=stretch.start_s,
        end_s=stretch.end_s,
        set_rpm=stretch.set_rpm if stretch.kind in ("governed", "soft_spool", "quick_spool") else None,
        mean_rpm=_mean_speed(found, stretch, part),
        droop_percent=_most([e.droop_percent for e in events]),
        steady_band_percent=_most([w.half_width_raw for w in windows]),
        overshoot_percent=_most([e.overshoot_percent for e in events]),
        undershoot_percent=_most([e.undershoot_percent for e in events]),
        recovery_s=_recovery(events),
        hunting_hz=hunt.line.frequency_hz if hunt and hunt.line else None,
        hunting_percent=hunt.line.amplitude_percent if hunt and hunt.line else None,
        duty_mean=_of(signals.duty, part) if governed else None,
        duty_max=_of(signals.duty, part, np.maximum),
        pack_voltage_min_v=_of(signals.voltage_v, part, np.minimum),
        pack_current_max_a=_of(signals.current_a, part, np.maximum),
        energy_wh=energy_wh,
        airborne=False if stretch.kind in ("rest", "stopped") else stretch.airborne,
    )


def _energy(signals: Signals, stretches: tuple[Stretch, ...], steps: Series | None) -> Sequence[float | None]:
    """Return the energy out of the pack in each stretch, Wh."""
    if steps is None:
        return [None] * len(stretches)
    first = signals.indices([s.start_s for s in stretches])
    last = signals.indices([s.end_s for s in stretches])
    return [float(np.add.reduce(steps[a:b])) for a, b in zip(first, last, strict=True)]


def _mean_speed(found: Measured, stretch: Stretch, part: slice) -> float | None:
    """Return the mean head speed, rpm; None where only an undriven motor was measured."""
    if not found.signals.speed_is_head and stretch.kind in ("autorotation", "coast", "stopped"):
        return None
    return _of(found.signals.speed_rpm, part)


def _recovery(events: tuple[LoadEvent, ...]) -> float | None:
    if any(e.recovered is False for e in events):
        return None
    return _most([t for e in events for t in (e.load_recovery_s, e.unload_recovery_s)])


def steady_figures(found: Measured) -> tuple[SteadyWindow, ...]:
    """Return the steady windows of a log."""
    signals = found.signals
    parts = found.window_parts
    duty, volts, amperes = (
        [None] * len(parts) if values is None else [float(v) for v in part_means(values, parts)]
        for values in (signals.duty, signals.voltage_v, signals.current_a)
    )
    return tuple(
        SteadyWindow(
            start_s=calm.start_s,
            end_s=calm.end_s,
            set_rpm=calm.set_rpm,
            mean_rpm=calm.mean_rpm,
            channel_percent=calm.percent,
            band_half_width_percent=calm.half_width_raw,
            hunting_hz=calm.line.frequency_hz if calm.line else None,
            hunting_percent=calm.line.amplitude_percent if calm.line else None,
            duty_mean=duty[k],
            pack_voltage_mean_v=volts[k],
            pack_current_mean_a=amperes[k],
            hunting_regular=calm.line.regular if calm.line else None,
            hunting_chance=calm.line.chance if calm.line else None,
            hover=calm.hover,
        )
        for k, calm in enumerate(found.windows)
    )


def _of(values: Series | None, part: slice, pick: np.ufunc | None = None) -> float | None:
    """Return the mean of a part, or its greatest or least value."""
    if values is None or part.stop <= part.start:
        return None
    picked = mean(values[part]) if pick is None else float(pick.reduce(values[part]))
    return picked if isfinite(picked) else None


def _most(values: list[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    return max(known) if known else None
