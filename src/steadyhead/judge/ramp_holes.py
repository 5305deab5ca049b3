"""How much of the time of a start lies in holes in which the ramp itself does not show that it passed."""

from steadyhead.judge.pieces import line
from steadyhead.judge.signals import Signals

BESIDE_S = 1.0
"""The rate of a ramp is read over so long on either side of a hole; own choice."""
FEWEST_ROWS = 4


def untold_s(signals: Signals, start_s: float, end_s: float) -> tuple[float, float]:
    """Return by how much a start may have been shorter, and longer, than its time for the holes within it, s.

    Equation: of each hole, t - dn / r, and t at most: from its length t, the speed dn gained over it, and the rate r of
    the ramp beside it. Where rows are lost the head goes on meanwhile; where the clock was set ahead it does not.
    Valid: holes away from the foot and the end of the ramp.
    """
    if signals.speed_rpm is None:
        return 0.0, 0.0
    inside = [(float(a), float(b)) for a, b in signals.holes if start_s < a and b < end_s]
    untold = [_untold_s(signals, begin_s, stop_s) for begin_s, stop_s in inside]
    return sum(max(each, 0.0) for each in untold), sum(max(-each, 0.0) for each in untold)


def _untold_s(signals: Signals, begin_s: float, stop_s: float) -> float:
    lasts_s = stop_s - begin_s
    rates = [
        rate
        for span in ((begin_s - BESIDE_S, begin_s), (stop_s, stop_s + BESIDE_S))
        if (rate := _rate_rpm_s(signals, *span)) is not None and rate > 0.0
    ]
    if signals.speed_rpm is None or not rates:
        return lasts_s
    rate_rpm_s = sum(rates) / len(rates)
    gained_rpm = float(signals.speed_rpm[signals.index(stop_s)] - signals.speed_rpm[signals.index(begin_s)])
    return max(min(lasts_s - gained_rpm / rate_rpm_s, lasts_s), -lasts_s)


def _rate_rpm_s(signals: Signals, start_s: float, end_s: float) -> float | None:
    part = signals.within(start_s, end_s)
    if signals.speed_rpm is None or part.stop - part.start < FEWEST_ROWS:
        return None
    return line(signals.time_s[part] - start_s, signals.speed_rpm[part])[0]
