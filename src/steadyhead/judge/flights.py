"""Parts a log into its flights, from rest to rest, and gives each its own figures."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeVar

import numpy as np

from steadyhead.judge.charge_left import Use, pack_changed
from steadyhead.judge.checks_drive import use_of
from steadyhead.judge.duty import duty_of
from steadyhead.judge.heat import heat
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pack_figures import pack_figures
from steadyhead.judge.pack_swap import STARTS, Swap
from steadyhead.judge.parts import part_means
from steadyhead.judge.result import FlightFigures
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import Signals, Spanned
from steadyhead.machine.description import Machine
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.verdict import Outcome, Verdict, worst

Item = TypeVar("Item")
REST_BEFORE_S = 10.0
"""A flight takes the rest before its start with it, so that its rest voltage is seen."""
UNSEEN_STOP_S = 60.0
"""A motor sensor does not see the head stop: after a minute of coasting it stands; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Flight:
    """One flight of a log: its span, and what was measured in it alone."""

    start_s: float
    end_s: float
    found: Measured
    swap: Swap | None = None
    """The change of pack that was seen before it."""


def flights(found: Measured) -> tuple[Flight, ...]:
    """Return the flights of a log in order; one, when the motor started from rest only once, or never.

    A flight ends 10 s before the next start from rest, or in the middle of a shorter rest; where another pack shows in
    the voltage before that start, there.
    """
    signals = found.signals
    cuts = {
        swap.at_s if swap is not None and swap.sure else _cut_s(before, spool): swap
        for before, spool in pairwise(found.stretches)
        if spool.kind in STARTS
        for swap in [found.swap_before(spool)]
        if (swap is not None and swap.sure) or _begins(before)
    }
    first = next((k for k, s in enumerate(found.stretches) if s.kind in DRIVEN), None)
    if first is not None:
        driven_from_s = found.stretches[first].start_s
        cuts = {cut: swap for cut, swap in cuts.items() if cut > driven_from_s}
    if not cuts:
        return (Flight(start_s=signals.start_s, end_s=signals.end_s, found=found),)
    edges = [signals.start_s, *cuts, signals.end_s]
    return tuple(Flight(start_s=a, end_s=b, found=_within(found, a, b), swap=cuts.get(a)) for a, b in pairwise(edges))


def _begins(before: Stretch) -> bool:
    return before.kind in ("rest", "stopped") or (
        before.kind == "coast" and before.end_s - before.start_s >= UNSEEN_STOP_S
    )


def _cut_s(before: Stretch, spool: Stretch) -> float:
    return max(spool.start_s - REST_BEFORE_S, 0.5 * (before.start_s + before.end_s))


def _start(span: Spanned) -> float:
    return span.start_s


def _end(span: Spanned) -> float:
    return span.end_s


def _within(found: Measured, start_s: float, end_s: float) -> Measured:
    """Return what was measured between two times, on the rows between them."""
    rows = found.signals.within(start_s, end_s)
    signals = _signals_of(found.signals, rows)

    def begin(items: Sequence[Item], when: Callable[[Item], float]) -> slice:
        return slice(bisect_left(items, start_s, key=when), bisect_left(items, end_s, key=when))

    def touch(spans: Sequence[Spanned]) -> slice:
        first = bisect_right(spans, start_s, key=_end)
        return slice(first, bisect_left(spans, end_s, key=_start))

    asked, swings = touch(found.asked), begin(found.swings_at_s, float)
    stretches = tuple(_clipped(s, start_s, end_s) for s in found.stretches[touch(found.stretches)])
    flown = [s.airborne for s in stretches if s.kind in ("governed", "autorotation", "quick_spool")]
    first = next((s for s in stretches if s.kind in DRIVEN), None)
    rests_until_s = first.start_s if first is not None and first.kind in STARTS else signals.start_s
    steps = found.pack.energy_steps_wh
    return replace(
        found,
        signals=signals,
        asked=found.asked[asked],
        run=found.run[asked],
        stretches=stretches,
        events=found.events[begin(found.events, _start)],
        windows=found.windows[begin(found.windows, _start)],
        peaks=found.peaks[begin(found.peaks, lambda peak: peak.at_s)],
        restarts=found.restarts[begin(found.restarts, lambda restart: restart.figures.start_s)],
        holds=found.holds[begin(found.holds, lambda hold: hold.at_s)],
        swings_under_load=found.swings_under_load[swings],
        swings_at_s=found.swings_at_s[swings],
        elsewhere=found.elsewhere[begin(found.elsewhere, lambda swing: swing.start_s)],
        left_out=found.left_out[begin(found.left_out, lambda part: part.start_s)],
        pack=pack_figures(signals, rests_until_s, None if steps is None else steps[rows.start : rows.stop - 1]),
        flown=True if any(flown) else (False if flown and all(a is False for a in flown) else None),
    )


def _clipped(stretch: Stretch, start_s: float, end_s: float) -> Stretch:
    if start_s <= stretch.start_s and stretch.end_s <= end_s:
        return stretch
    return replace(stretch, start_s=max(stretch.start_s, start_s), end_s=min(stretch.end_s, end_s))


def _signals_of(signals: Signals, rows: slice) -> Signals:
    def cut(values: Series | None) -> Series | None:
        return None if values is None else values[rows]

    return replace(
        signals,
        time_s=signals.time_s[rows],
        speed_rpm=cut(signals.speed_rpm),
        motor_rpm=cut(signals.motor_rpm),
        throttle=cut(signals.throttle),
        duty=cut(signals.duty),
        current_a=cut(signals.current_a),
        voltage_v=cut(signals.voltage_v),
        lowest_cell_v=cut(signals.lowest_cell_v),
        height_m=cut(signals.height_m),
        climb_m_s=cut(signals.climb_m_s),
        collective_deg=cut(signals.collective_deg),
        charge_mah=cut(signals.charge_mah),
    )


def trace_within(trace: Trace, flight: Flight) -> Trace:
    """Return the rows of a trace that belong to one flight, on the time of the whole."""
    rows = slice(*trace.time_s.searchsorted((flight.start_s - 1e-9, flight.end_s + 1e-9)))
    return replace(
        trace, time_s=trace.time_s[rows], channels={name: values[rows] for name, values in trace.channels.items()}
    )


def flight_figures(
    number: int,
    flight: Flight,
    before: Flight | None,
    checks: tuple[Verdict, ...],
    machine: Machine,
    numbers: Owner,
    trace: Trace,
) -> FlightFigures:
    """Return the figures of one flight; `checks` are its own."""
    found = flight.found
    signals, pack = found.signals, found.pack
    driven_s = sum(s.end_s - s.start_s for s in found.stretches if s.kind in DRIVEN)
    duty = duty_of(signals, machine)
    events, windows = found.events, found.windows
    hover = [part for window, part in zip(windows, found.window_parts, strict=True) if window.hover]
    low, high = pack.resistance_ohm_low, pack.resistance_ohm_high
    changed = None if before is None else _other_pack(flight, use_of(before.found, numbers), numbers)
    return FlightFigures(
        number=number,
        start_s=flight.start_s,
        end_s=flight.end_s,
        flown=found.flown,
        pack_changed=changed,
        driven_s=driven_s,
        energy_wh=pack.energy_wh,
        power_w=None if pack.energy_wh is None or driven_s <= 0.0 else pack.energy_wh * 3600.0 / driven_s,
        charge_used_mah=pack.charge_mah,
        charge_by_current_mah=pack.charge_by_current_mah,
        pack_resistance_mohm=None if pack.resistance_ohm is None else 1000.0 * pack.resistance_ohm,
        pack_resistance_mohm_interval=None if low is None or high is None else (1000.0 * low, 1000.0 * high),
        rest_voltage_v=pack.rest_voltage_v,
        pack_voltage_min_v=_of(signals.voltage_v, np.minimum),
        lowest_cell_v=_of(signals.lowest_cell_v, np.minimum),
        pack_current_max_a=_of(signals.current_a, np.maximum),
        duty_max=None if duty is None else _of(duty.values, np.maximum),
        hover_duty=None if duty is None or not hover else float(part_means(duty.values, hover).mean()),
        steady_band_percent=_most([w.half_width_raw for w in windows]),
        climb_droop_percent=_most([e.droop_percent for e in events]),
        recovery_s=_most([t for e in events for t in (e.load_recovery_s, e.unload_recovery_s)]),
        hunting_percent=_most([w.line.amplitude_percent for w in windows if w.line]),
        heat=heat(trace, found.stretches, flight.start_s, flight.end_s),
        verdict=worst(check.verdict for check in checks),
        failed=tuple(check.check for check in checks if check.verdict is Outcome.FAIL),
        not_known=tuple(check.check for check in checks if check.verdict is Outcome.UNKNOWN),
    )


def _other_pack(flight: Flight, before: Use, numbers: Owner) -> bool | None:
    """Whether a flight was flown on another pack than the one before it; None where nothing tells."""
    if flight.swap is not None and flight.swap.sure:
        return True
    changed = pack_changed(before, flight.found.pack.rest_voltage_v, numbers)
    return changed if flight.swap is None else (changed or None)


def _of(values: Series | None, pick: np.ufunc) -> float | None:
    return None if values is None or not values.size else float(pick.reduce(values))


def _most(values: list[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    return max(known) if known else None
