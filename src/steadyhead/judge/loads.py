"""Finds the hard loads in governed running: climb-outs and pitch pumps, from collective or, without it, current."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from steadyhead.judge.parts import rows_where, true_runs
from steadyhead.judge.pieces import median, percentile, percentile_in_order
from steadyhead.judge.segments import Stretch
from steadyhead.judge.signals import Signals, sparse
from steadyhead.trace.trace import Series

BRIDGE_S = 1.2
"""Highs nearer together than this are one manoeuvre."""
CLIMB_S = 0.9
"""A high shorter than this is a correction, not a climb-out."""
LEAST_PITCH_DEG = 3.0
SMOOTH_S = 0.5
EDGE_S = 0.3
CALM_S = 15.0
RISE_S = 1.0
MUCH_LARGER = 2.5
HALF_SWINGS = 4
HALF_PUMP_S = 0.45
LOW_SHARE = 0.4
"""A low counts as one of the pumping from this share of the deepest on: pilots pump unevenly; own choice."""
FULL_PUMP_SHARE = 0.95
PUMPED_BEFORE = 2.9
"""Noise exceeds so many times its median one time in twenty; more than that is pumping before: normal quantiles."""
HARD_CURRENT = 0.6
"""LEAST_PITCH_DEG more than in hover lifts 1.6 to 1.9 times as much and takes this share more power or yet more, where
half of the power in hover is profile power: blade elements and momentum, own estimate."""
CLEAR_CURRENT, CLEAR_OF_TOP = 0.8, 0.75
"""Shares of plain running, or of the greatest excess where that is less, from which a current is high: clear of the
ripple of a hunting loop; own choice."""
ALIKE_SHARE = 0.7
"""Highs within this share of the highest are full pumps; a smaller one is a correction; own choice."""
MOST_LOADS = 4000


@dataclass(frozen=True, kw_only=True)
class Load:
    """One hard load: a single long high is a climb, several in a row are pumps."""

    kind: str
    start_s: float
    end_s: float


def loads(signals: Signals, governed: Stretch) -> tuple[Load, ...]:
    """Return the hard loads of one governed stretch, once settled; none without collective and current.

    A high is what exceeds the level of plain running by 40 % of the greatest excess seen (25 % for current, which
    falls within a climb as the machine gains speed). Pumps alternate: a high, a low below plain running, a high.
    Current is first averaged over half a second, so that a hunting loop is not taken for loads.
    """
    part = signals.within(governed.ready_s, governed.end_s)
    if part.stop - part.start < 8:
        return ()
    load = _load_signal(signals, part)
    if load is None:
        return ()
    excess, smooth, high = load
    return _found(signals.time_s[part], excess, smooth, high)


def _load_signal(signals: Signals, part: slice) -> tuple[Series, Series, float] | None:
    """Return the excess over plain running, the same smoothed, and what counts as high; None without a high."""
    pitch = signals.collective_deg
    if pitch is not None:
        ordered = np.sort(sparse(pitch[part]))
        base = percentile_in_order(ordered, 50.0)
        top = _top(ordered) - base
        excess = pitch[part] - base
        return None if top < LEAST_PITCH_DEG else (excess, excess, max(0.4 * top, LEAST_PITCH_DEG))
    if signals.current_a is None:
        return None
    base = median(sparse(signals.current_a[part]))
    excess = signals.current_a[part] - base
    smooth = averaged(excess, signals.samples(SMOOTH_S))
    top, least = _top(np.sort(sparse(smooth))), max(HARD_CURRENT * base, 3.0)
    high = max(0.25 * top, min(CLEAR_CURRENT * base, CLEAR_OF_TOP * top), 3.0)
    return None if top < least else (excess, smooth, high)


def _top(ordered: Series) -> float:
    """Return the greatest value, of a long record less its one in a thousand."""
    return percentile_in_order(ordered, 99.9) if ordered.size > 1000 else float(ordered[-1])


def averaged(values: Series, count: int) -> Series:
    """Return the running mean over `count` samples, centred, the ends padded with their own value.

    Shapes: values (n,) -> (n,).
    """
    count = min(count | 1, values.size - 1 | 1)
    if count <= 1:
        return values
    half = count // 2
    total = np.empty(values.size + 2 * half + 1)
    total[0] = 0.0
    total[1 : half + 1] = values[0]
    total[half + 1 : -half] = values
    total[-half:] = values[-1]
    np.cumsum(total, out=total)
    means = total[count:] - total[:-count]
    means /= count
    return means


def _found(stamps: Series, excess: Series, smooth: Series, high: float) -> tuple[Load, ...]:
    highs = true_runs(smooth > high)
    found: list[Load] = []
    k = 0
    while k < len(highs) and len(found) < MOST_LOADS:
        last = k
        while last + 1 < len(highs) and stamps[highs[last + 1][0]] - stamps[highs[last][1] - 1] < BRIDGE_S:
            last += 1
        load = _one(stamps, (excess, smooth), (highs[k][0], highs[last][1] - 1), high)
        if load is not None:
            found.append(load)
        k = last + 1
    return tuple(found)


def _one(stamps: Series, signal: tuple[Series, Series], span: tuple[int, int], high: float) -> Load | None:
    """Return one load with its edges read from the unsmoothed signal."""
    excess, smooth = signal
    reach = int(stamps.searchsorted(stamps[span[0]] - 0.5))
    near = excess[reach : int(stamps.searchsorted(stamps[span[1]] + 0.5)) + 1]
    over = rows_where(near > high)
    if not over.size:
        return None
    first, last = reach + int(over[0]), reach + int(over[-1])
    if smooth is excess:
        is_pump = alternates(excess[first : last + 1], high)
    else:
        swings = excess - smooth
        begin = int(stamps.searchsorted(stamps[first] - CALM_S))
        calm = np.abs(swings[begin : max(first - 5, begin + 1)])
        inner = stamps.searchsorted((stamps[first] + EDGE_S, stamps[last] - EDGE_S))
        within = slice(int(inner[0]), int(inner[1]) + 1)
        outside = min(percentile(calm, 95), PUMPED_BEFORE * median(calm))
        is_pump = ripples(swings[within], excess[first : last + 1], outside, high)
    if not is_pump:
        whole = excess[first : last + 1]
        last = first + int(rows_where(whole > 0.8 * median(whole[whole > high]))[-1])
    if is_pump:
        last = first + _last_pump(stamps[first : last + 1], excess[first : last + 1], high, smooth is excess)
    top = float(excess[first : last + 1].max())
    back = int(stamps.searchsorted(stamps[first] - RISE_S))
    low = float(excess[back:first].min()) if first > back else 0.0
    quiet = rows_where(excess[back:first] < max(0.15 * top, low + 0.15 * (top - low)))
    begin = back + int(quiet[-1]) + 1 if quiet.size else first
    half = 0.5 * float(stamps[min(begin + 1, stamps.size - 1)] - stamps[begin])
    start_s, end_s = float(stamps[begin]) - half, float(stamps[last]) + half
    if not is_pump and end_s - start_s < CLIMB_S:
        return None
    return Load(kind="pump" if is_pump else "climb", start_s=start_s, end_s=end_s)


def _last_pump(stamps: Series, excess: Series, high: float, is_pitch: bool) -> int:
    """Return the last sample of the pumping itself: the sink after it is caught with one more, softer high."""
    end = excess.size - 1
    if not is_pitch:
        return int(stamps.searchsorted(stamps[-1] - HALF_PUMP_S))
    low = rows_where(excess < LOW_SHARE * float(excess.min()))
    if not low.size or low[-1] >= end:
        return end
    before, after = excess[: low[-1]], excess[low[-1] + 1 :]
    tops = [float(before[a:b].max()) for a, b in true_runs(before > high)]
    full = after > FULL_PUMP_SHARE * min(top for top in tops if top >= ALIKE_SHARE * max(tops))
    is_another_pump = int(full.sum()) >= 0.4 * int((after > high).sum())
    return end if is_another_pump else int(low[-1])


def alternates(excess: Series, high: float) -> bool:
    """Whether a collective goes up and down like pitch pumps: below plain running between two highs."""
    highs = true_runs(excess > high)
    return any(float(excess[down:up].min()) < 0.0 for (_, down), (up, _) in pairwise(highs))


def ripples(swings: Series, excess: Series, outside_percent95: float, high: float) -> bool:
    """Whether a current goes up and down like pitch pumps: much more than in plain running, and either four half
    swings or more, or back to plain running between two highs.

    A hunting loop makes the current swing in plain running too, so that does not count.
    """
    if swings.size < 4 or percentile(np.abs(swings), 95) < MUCH_LARGER * outside_percent95:
        return False
    signs = np.sign(swings[np.abs(swings) > 0.35 * high])
    low = rows_where(excess < 0.5 * high)
    returns = bool(low.size) and bool((excess[: low[0]] > high).any()) and bool((excess[low[0] :] > high).any())
    return returns or int(np.count_nonzero(np.diff(signs))) >= HALF_SWINGS
