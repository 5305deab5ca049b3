"""How hot controller, motor and pack became in a flight, and how fast they still warmed at its end."""

import numpy as np

from steadyhead.judge.pieces import line, median, percentile
from steadyhead.judge.result import Heat
from steadyhead.judge.segments import DRIVEN, Stretch
from steadyhead.judge.signals import all_finite, sparse
from steadyhead.trace.trace import Series, Trace

PARTS = (
    ("controller", "controller_temperature_c"),
    ("motor", "motor_temperature_c"),
    ("pack", "pack_temperature_c"),
)
LAST_S = 60.0
SHORTEST_S = 20.0
BEGIN_S = 3.0
SENSOR_STEP_C = 1.0
"""Most loggers write whole degrees: a rise over the last minute is not known better than one step over it."""


def heat(trace: Trace, stretches: tuple[Stretch, ...], start_s: float, end_s: float) -> tuple[Heat, ...]:
    """Return the temperatures of one flight, for each part that was logged.

    Valid: stretches of that flight in order of time; a sensor on the case says little of the winding within.
    """
    driven = [s for s in stretches if s.kind in DRIVEN and s.start_s >= start_s and s.start_s < end_s]
    found = []
    for part, channel in PARTS:
        values = trace.get(channel)
        if values is None:
            continue
        one = _heat(part, trace.time_s, values, (start_s, end_s), driven[-1].end_s if driven else None)
        if one is not None:
            found.append(one)
    return tuple(found)


def _heat(
    part: str, time_s: Series, values: Series, span_s: tuple[float, float], driven_until_s: float | None
) -> Heat | None:
    rows = slice(*time_s.searchsorted(span_s))
    known, stamps = values[rows], time_s[rows]
    if not all_finite(known):
        there = np.isfinite(known)
        known, stamps = known[there], stamps[there]
    if not known.size:
        return None
    rise = None if driven_until_s is None else _end_rise(stamps, known, driven_until_s)
    return Heat(
        part=part,
        start_c=median(known[: max(1, int(stamps.searchsorted(stamps[0] + BEGIN_S)))]),
        hottest_c=percentile(sparse(known), 99.9) if known.size > 1000 else float(known.max()),
        end_rise_c_per_min=None if rise is None else rise[0],
        end_rise_c_per_min_interval=None if rise is None else (rise[0] - rise[1], rise[0] + rise[1]),
    )


def _end_rise(time_s: Series, values: Series, until_s: float) -> tuple[float, float] | None:
    """Return the rise over the last minute of driven running and its doubt, °C/min."""
    rows = slice(*time_s.searchsorted((until_s - LAST_S, until_s)))
    stamps, known = time_s[rows], values[rows]
    if stamps.size < 8 or stamps[-1] - stamps[0] < SHORTEST_S:
        return None
    slope, _ = line(stamps, known)
    span = float(stamps[-1] - stamps[0])
    return 60.0 * slope, 60.0 * SENSOR_STEP_C / span
