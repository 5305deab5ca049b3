"""Takes back passes of the worst of a flight where its channel was not there, or stood still, in the hard loads."""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.events import FULL_DUTY
from steadyhead.judge.holes import Holes
from steadyhead.judge.loads import CLIMB_S, HARD_CURRENT, SMOOTH_S, averaged
from steadyhead.judge.measured import Measured
from steadyhead.judge.parts import true_runs
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import Signals, sparse
from steadyhead.judge.stood_still import missing_spans, still_spans
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.verdict import Outcome, Verdict

Flags = NDArray[np.bool_]
HARDER = 0.1
"""Loads that a pilot repeats differ by so much of what they are above plain running; own choice."""
LEAST_DUTY = 0.05
"""Below it a duty stands still by itself, as it does from FULL_DUTY on."""
COUNTED_MAH = 2.0
"""A counter in whole mAh may be off by one at either end."""
HALF = 0.5


class Channel(NamedTuple):
    """A channel: its names in a trace, of which the first there counts, its cleaned values, and how a load moves it."""

    names: tuple[str, ...]
    field: str
    sign: float
    said: str


CURRENT = Channel(("pack_current_a",), "current_a", 1.0, "current")
COLLECTIVE = Channel(("collective_deg", "collective_percent"), "collective_deg", 1.0, "collective")
DUTY = Channel(("duty",), "duty", 1.0, "duty")
PACK = Channel(("pack_voltage_v",), "voltage_v", -1.0, "pack voltage")
CELL = Channel(("lowest_cell_v",), "lowest_cell_v", -1.0, "lowest cell")
SPEED = Channel(("head_speed_rpm", "motor_side_speed_rpm"), "speed_rpm", -1.0, "speed")
RESTS = {
    "esc_current": (CURRENT, (COLLECTIVE, DUTY, PACK, CELL)),
    "cell_voltage": (CELL, (PACK, CURRENT, COLLECTIVE, DUTY)),
    "duty_margin": (DUTY, (CURRENT, COLLECTIVE, PACK)),
    "climb_droop": (SPEED, (CURRENT, COLLECTIVE, DUTY, PACK)),
}
"""The channel of each worst figure, and what else tells how hard a load was, the surest first; own choice."""
WHILE_BROUGHT_BACK = ("esc_current", "cell_voltage")
"""What a motor that is brought back may make worse, too."""


def unless_unseen(checks: tuple[Verdict, ...], found: Measured, trace: Trace) -> tuple[Verdict, ...]:
    """Return the checks, less the passes of a worst figure whose channel may not show the hardest load.

    What is hidden for as long as a climb-out takes a pass away where another channel shows a harder load there than
    all that was seen, or where no other channel shows anything; so does a value that stands still at its extreme.
    Valid: a log that sensors wrote; a simulated trace has no holes.
    """
    if not found.signals.sensed:
        return checks
    return tuple(_judged(check, found, trace) for check in checks)


def _judged(check: Verdict, found: Measured, trace: Trace) -> Verdict:
    if check.verdict is not Outcome.PASS or check.check not in RESTS:
        return check
    channel, witnesses = RESTS[check.check]
    if channel is CELL and found.signals.lowest_cell_v is None:
        channel, witnesses = PACK, witnesses[1:]
    values = _raw(trace, channel)
    if values is None:
        return check
    missing = missing_spans(trace.time_s, values, _own_s(found.signals, channel))
    missing = missing[missing[:, 1] - missing[:, 0] >= CLIMB_S]
    still = _still(trace.time_s, values, channel)
    hidden = np.concatenate((missing, still))
    if not hidden.size:
        return check
    running = _running(found)
    at = None if channel is SPEED else _stands_at_its_end(trace.time_s, values, channel, hidden, running)
    if at is not None:
        end = "greatest" if channel.sign > 0.0 else "least"
        why = f"{_span(at)} the {channel.said} stands still at, or is missing behind, its {end} value"
        return check.but(why, needs=(f"a log that shows how far the {channel.said} went",))
    span = _worst_hidden(check, found, trace, running, hidden, channel, witnesses)
    if span is None:
        return check
    why = f"{_span(span)} the {channel.said} is missing or stands still, and the hardest load may have come there"
    return check.but(why, needs=(f"a log with the {channel.said} in every hard load",))


def _worst_hidden(
    check: Verdict,
    found: Measured,
    trace: Trace,
    running: Flags,
    hidden: Holes,
    channel: Channel,
    witnesses: tuple[Channel, ...],
) -> tuple[float, float] | None:
    """Return where a load may have been harder than all that was seen; None where nothing says so."""
    time_s, signals = trace.time_s, found.signals
    hidden = hidden[hidden[:, 1] - hidden[:, 0] >= CLIMB_S]
    least_s = _shortest_load_s(found)
    gaps = hidden[_lost_rows(time_s, hidden) & (hidden[:, 1] - hidden[:, 0] >= least_s)]
    for begin_s, end_s in gaps.tolist():
        if running[int(time_s.searchsorted(begin_s))] and _may_be_hard(signals, begin_s, end_s):
            return begin_s, end_s
    left = _rows(time_s, hidden) & running
    shown = _in_climbs(found, time_s) if check.check == "climb_droop" else running
    for witness in witnesses if left.any() else ():
        raw, known = _raw(trace, witness), getattr(signals, witness.field)
        if raw is None or known is None or witness is channel:
            continue
        lost = np.concatenate((missing_spans(time_s, raw, _own_s(signals, witness)), _still(time_s, raw, witness)))
        alive = ~_rows(time_s, lost[lost[:, 1] - lost[:, 0] >= CLIMB_S])
        load = averaged(witness.sign * known, signals.samples(SMOOTH_S))
        seen = load[shown & ~left & alive]
        told = left & alive
        if told.any():
            base = median(sparse(load[running]))
            least = base + (1.0 + HARDER) * max(float(seen.max(initial=base)) - base, 0.0)
            worst = int(np.where(told, load, -np.inf).argmax())
            if load[worst] > least:
                return _around(hidden, float(time_s[worst]))
        left = left & ~alive
    for first, stop in true_runs(left):
        if time_s[stop - 1] - time_s[first] >= least_s:
            return _around(hidden, float(time_s[first]))
    return _brought_back(found, hidden) if check.check in WHILE_BROUGHT_BACK else None


def _brought_back(found: Measured, hidden: Holes) -> tuple[float, float] | None:
    """Return what hides most of a quick start; None where none is hidden."""
    for spool in found.stretches:
        length_s = spool.end_s - spool.start_s
        shared_s = np.minimum(hidden[:, 1], spool.end_s) - np.maximum(hidden[:, 0], spool.start_s)
        if spool.kind == "quick_spool" and shared_s.max(initial=0.0) > HALF * length_s:
            begin_s, end_s = hidden[int(shared_s.argmax())].tolist()
            return begin_s, end_s
    return None


def _running(found: Measured) -> Flags:
    """Return the rows of settled governed running that may be flight."""
    signals = found.signals
    rows = np.zeros(signals.time_s.size, np.bool_)
    for governed in found.governed:
        if governed.airborne is not False:
            rows[signals.within(governed.ready_s, governed.end_s)] = True
    return rows


def _in_climbs(found: Measured, time_s: Series) -> Flags:
    climbs = [(event.start_s, event.end_s) for event in found.events if event.droop_percent is not None]
    return _rows(time_s, np.array(climbs).reshape(-1, 2))


def _raw(trace: Trace, channel: Channel) -> Series | None:
    return next((values for name in channel.names if (values := trace.get(name)) is not None), None)


def _own_s(signals: Signals, channel: Channel) -> float:
    return max(signals.interval_s, *(signals.own_s.get(name, 0.0) for name in channel.names))


def _still(time_s: Series, values: Series, channel: Channel) -> Holes:
    """Return where a channel stands still; a duty at either end of its way does so by itself."""
    spans = still_spans(time_s, values)
    if channel is not DUTY or not spans.size:
        return spans
    at = values[time_s.searchsorted(spans[:, 0])]
    return spans[(at < FULL_DUTY) & (at > LEAST_DUTY)]


def _stands_at_its_end(
    time_s: Series, values: Series, channel: Channel, hidden: Holes, running: Flags
) -> tuple[float, float] | None:
    """Return what is hidden behind the worst value that a channel takes while a hard load may come; None without it.

    A sensor, or a log, that comes to the end of its scale does so; a lone hole seldom begins there by chance.
    """
    there = running & np.isfinite(values)
    if not hidden.size or not there.any():
        return None
    end = float((channel.sign * values[there]).max())
    edges = np.minimum(time_s.searchsorted(hidden), time_s.size - 1)
    worst = (running[edges] & (channel.sign * values[edges] >= end)).any(axis=1)
    return None if not worst.any() else tuple(hidden[int(worst.argmax())].tolist())


def _rows(time_s: Series, spans: Holes) -> Flags:
    """Return which rows lie within spans. Shapes: time_s (n,), spans (m, 2) -> (n,)."""
    edges = np.zeros(time_s.size + 1, np.int64)
    np.add.at(edges, time_s.searchsorted(spans[:, 0], side="right"), 1)
    np.add.at(edges, np.maximum(time_s.searchsorted(spans[:, 1]), time_s.searchsorted(spans[:, 0], side="right")), -1)
    return np.cumsum(edges[:-1]) > 0


def _lost_rows(time_s: Series, spans: Holes) -> Flags:
    """Return which spans hold no row at all. Shapes: time_s (n,), spans (m, 2) -> (m,)."""
    return np.asarray(time_s.searchsorted(spans[:, 1]) <= time_s.searchsorted(spans[:, 0], side="right"))


def _shortest_load_s(found: Measured) -> float:
    """Return the length of the shortest hard load that the log shows: where nothing tells, a shorter hole hides none.

    A pilot's loads are alike in length; own choice.
    """
    return max(CLIMB_S, min((event.end_s - event.start_s for event in found.events), default=CLIMB_S))


def _may_be_hard(signals: Signals, begin_s: float, end_s: float) -> bool:
    """Whether a hard load may lie between two rows: what the charge counter took there is the mean current.

    Equation: i = dq / dt, beside (1 + HARD_CURRENT) of the usual current.
    """
    if signals.charge_mah is None or signals.current_a is None:
        return True
    before, after = signals.index(begin_s), signals.index(end_s)
    counted = float(signals.charge_mah[after] - signals.charge_mah[before]) + COUNTED_MAH
    usual = median(sparse(signals.current_a[_driven_rows(signals)]))
    return 3.6 * counted / (end_s - begin_s) > (1.0 + HARD_CURRENT) * usual


def _driven_rows(signals: Signals) -> Flags:
    current = signals.current_a
    return np.zeros(0, np.bool_) if current is None else current > 0.2 * float(current.max())


def _around(spans: Holes, at_s: float) -> tuple[float, float]:
    row = int(np.flatnonzero((spans[:, 0] <= at_s) & (spans[:, 1] >= at_s))[0])
    return float(spans[row, 0]), float(spans[row, 1])


def _span(span: Iterable[float]) -> str:
    begin_s, end_s = span
    return f"from {begin_s:.1f} to {end_s:.1f} s"
