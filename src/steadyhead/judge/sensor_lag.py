"""How long the speed sensor smooths, read where the motor is cut: the head slows at once, the log shows it later."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from steadyhead.judge.parts import rows_where
from steadyhead.judge.pieces import deviation, mean
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals
from steadyhead.judge.transient import row_noise
from steadyhead.trace.trace import Series

GRID_S = np.array([0.004, 0.015, 0.03, 0.045, 0.065, 0.09, 0.12, 0.16, 0.21, 0.28, 0.37, 0.49, 0.65])
"""Lags tried; no speed sensor smooths over more than the longest; common practice, no source."""
BEFORE_S, AFTER_S = 0.6, 1.4
LOWEST_SHARE = 0.6
"""Down to this share of its speed a head that coasts is read on its way; own choice."""
FELL_SHARE = 0.97
"""A head that did not slow below this share shows no lag."""
FEWEST_BEFORE, FEWEST_AFTER = 4, 6
LEVEL_SHARE = 0.006
"""A head whose speed moved by this share just before the cut was not level; own choice."""
LEAST_NOISE = 0.0005
MISFIT = 0.005
"""What leaves more than this of the speed, root mean square, does not tell: pitch moved, or rows stuck."""
CHI_SQUARE_90 = 2.7055
"""90 % of one degree of freedom: 1.645 squared."""
SEARCH_S = (0.6, 2.5)
OFF_SHARE = 0.35
"""A duty, or a current, below this share of what it was has been cut; own choice."""
STEP_SHARE = 0.015
"""A motor alone may drop by about this as its drive train unwinds; own choice."""
CURRENT_LAG_S = 0.06
"""A current sensor smooths over about as long; common practice, no source."""
LONGEST_WAIT_S = 1.5
"""Without duty and current only the channel shows the cut, and the controller may wait as long; own choice."""
ROUNDED_S = 0.01
MOST_CUTS = 4
MOST_ROWS = 50
"""Rows that tell a lag to a step of the grid; more of them cost time."""
SHORTEST_OFF_S = 0.6


class Lag(NamedTuple):
    """The first-order lag of the logged speed, s, with the ends of its 90 % doubt, and the cut at which it was read."""

    lag_s: float
    low_s: float
    high_s: float
    at_s: float


class Edge(NamedTuple):
    """When the motor was cut, and by how much earlier or later it may have been, s."""

    at_s: float
    early_s: float
    late_s: float


def sensor_lag(signals: Signals, stretches: Sequence[Stretch]) -> Lag | None:
    """Return the lag of the speed sensor from the last cuts of the motor in a log; None where none shows it.

    Cuts on the ground are asked first: in the air the pilot moves the pitch.
    Valid: a delay of the logger counts as lag; a motor-side speed tells it worse, since the motor alone may drop.
    """
    speed = signals.speed_rpm
    if speed is None or not signals.sensed:
        return None
    cuts = [(a, b.kind) for a, b in pairwise(stretches) if a.kind == "governed" and _is_off(b)]
    for kind in ("coast", "autorotation"):
        found = [_at_cut(signals, speed, cut) for cut, after in cuts[-MOST_CUTS:] if after == kind]
        told = [lag for lag in found if lag is not None]
        if told:
            return min(told, key=lambda lag: lag.high_s - lag.low_s)
    return None


def _is_off(stretch: Stretch) -> bool:
    return stretch.kind in ("coast", "autorotation") and stretch.end_s - stretch.start_s > SHORTEST_OFF_S


def _at_cut(signals: Signals, speed: Series, governed: Stretch) -> Lag | None:
    edge = _cut(signals, governed)
    if edge is None or signals.hidden_s(edge.at_s - BEFORE_S, edge.at_s + AFTER_S) > 0.0:
        return None
    part = signals.within(max(edge.at_s - BEFORE_S, governed.ready_s), edge.at_s + AFTER_S)
    t, y = signals.time_s[part] - edge.at_s, speed[part]
    if any(signals.own_s.get(name) for name in ("head_speed_rpm", "motor_side_speed_rpm")):
        fresh = np.concatenate(([True], y[1:] != y[:-1]))
        t, y = t[fresh], y[fresh]
    first = int(np.count_nonzero(t < -edge.early_s))
    if first < FEWEST_BEFORE:
        return None
    y = y / mean(y[:first])
    slow = rows_where(y < LOWEST_SHARE)
    stop = int(slow[0]) if slow.size else y.size
    moved = abs(mean(y[: first // 2]) - mean(y[first // 2 : first]))
    if stop - first < FEWEST_AFTER or y[stop - 1] > FELL_SHARE or moved > LEVEL_SHARE:
        return None
    t, y = t[:stop], y[:stop]
    noise = max(row_noise(y), deviation(y[:first]), LEAST_NOISE)
    step = -(-stop // MOST_ROWS)
    t, y = t[::step], y[::step]
    errors = errors_behind(t, y, may_drop=not signals.speed_is_head)
    best = int(errors.argmin())
    if errors[best] > max(2.0 * noise, MISFIT) ** 2 * y.size:
        return None
    near = rows_where(errors <= errors[best] + CHI_SQUARE_90 * max(noise**2, float(errors[best]) / y.size))
    low, high = GRID_S[max(int(near[0]) - 1, 0)], GRID_S[min(int(near[-1]) + 1, GRID_S.size - 1)]
    return Lag(
        lag_s=float(GRID_S[best]),
        low_s=max(float(low) - edge.late_s - ROUNDED_S, 0.0),
        high_s=float(high) + edge.early_s + ROUNDED_S,
        at_s=edge.at_s,
    )


def errors_behind(time_s: Series, share: Series, *, may_drop: bool) -> Series:
    """Return the sum of squares that a parabola from the cut on leaves behind each lag of the grid.

    Equation: x = 1 - a t + b t^2 from the cut on; behind a lag T: t becomes s = t - T g, t^2 becomes t^2 - 2 T s, with
    g = 1 - exp(-t / T); where it may drop, c g is taken off, too, c doubted by STEP_SHARE. Least squares in a, b, c.
    Shapes: time_s from the cut on (n,), share of the speed before (n,) -> (lags,).
    Source: first-order lag of a ramp and a parabola, any textbook of control.
    """
    late = np.maximum(time_s, 0.0)[None, :]
    lag = GRID_S[:, None]
    gone = -np.expm1(-late / lag)
    ramp = late - lag * gone
    bend = late * late - 2.0 * lag * ramp
    rest = np.broadcast_to(share - 1.0, ramp.shape)
    if may_drop:
        drop = (gone, 1.0 / ((gone * gone).sum(axis=1) + LEAST_NOISE**2 / STEP_SHARE**2))
        ramp, bend, rest = (_without(part, *drop) for part in (ramp, bend, rest))
    rest = _without(rest, ramp, 1.0 / (ramp * ramp).sum(axis=1))
    bend = _without(bend, ramp, 1.0 / (ramp * ramp).sum(axis=1))
    rest = _without(rest, bend, 1.0 / (bend * bend).sum(axis=1))
    return np.asarray((rest * rest).sum(axis=1))


def _without(values: Series, part: Series, over_square: Series) -> Series:
    """Return the values less what of them lies along a part, row by row."""
    return np.asarray(values - ((values * part).sum(axis=1) * over_square)[:, None] * part)


def _cut(signals: Signals, governed: Stretch) -> Edge | None:
    """Return when the motor was cut: by the duty, else the current, else the channel."""
    for name, values, behind_s in (("duty", signals.duty, 0.0), ("pack_current_a", signals.current_a, CURRENT_LAG_S)):
        if values is None:
            continue
        base = signals.within(governed.end_s - 2.0, governed.end_s - SEARCH_S[0])
        part = signals.within(governed.end_s - SEARCH_S[0], governed.end_s + SEARCH_S[1])
        if base.stop <= base.start:
            return None
        off = rows_where(values[part] < OFF_SHARE * mean(values[base]))
        if off.size and off[0] > 0:
            k = part.start + int(off[0])
            before_s, at_s = float(signals.time_s[k - 1]), float(signals.time_s[k])
            half_s = 0.5 * (at_s - before_s)
            return Edge(before_s + half_s, half_s + signals.own_s.get(name, 0.0) + behind_s, half_s)
    return Edge(governed.end_s, signals.interval_s, LONGEST_WAIT_S)
