"""A charge counter that begins anew within one log is counted on; one that drops out and comes back is no new count."""

from collections.abc import Sequence

import numpy as np

from steadyhead.judge.pieces import median
from steadyhead.trace.trace import Series

FALLS_MAH = 20.0
"""A count that falls by less trembles: no pack is so small that it matters; own choice."""
ANEW_SHARE = 0.1
"""A count that begins anew starts below this share of where it stood; own choice."""
BACK_SHARE = 0.9
"""A count that leaps back to this share of where it stood had only dropped out; own choice."""
LEAP_MAH_PER_S = 100.0
"""No pack of a machine up to class 800 gives more for seconds: 360 A; own choice."""
LEVEL_ROWS = 5
SAMPLES, SAMPLED_SHARE = 20_000, 0.25
"""Between two rows of the sample of a long log the new count has risen a little; own choice."""
LASTS_S = 3.0
"""A fault of a counter is over within this time, or it begins anew; own choice."""


def counted_on(time_s: Series, values: Series) -> tuple[Series, tuple[float, ...]]:
    """Return a charge count without new beginnings, and when it began anew, s; else the values as they are.

    What was counted before a new beginning is added to all that comes after it. A drop-out is taken out (NaN).

    Shapes: time_s (n,), values (n,) -> (n,).
    Valid: values may be missing anywhere; a count from zero on, never one that counts down.
    """
    if _only_rises(values):
        return values, ()
    rows = np.flatnonzero(np.isfinite(values))
    known, stamps = values[rows], time_s[rows]
    falls = np.flatnonzero(np.diff(known) < -FALLS_MAH)
    if not falls.size:
        return values, ()
    answer, begins, gone_until = values.copy(), [], -1
    for fall in falls.tolist():
        stood = _stood(known, stamps, fall)
        if fall < gone_until or not _falls_to_nothing(known, stamps, fall, stood):
            continue
        back = _leaps_back(known, stamps, fall, stood)
        if back is not None:
            answer[rows[fall + 1 : back]] = np.nan
            gone_until = back
            continue
        answer[rows[fall + 1 :]] += stood
        begins.append(float(stamps[fall + 1]))
    return answer, tuple(begins)


def words(begins_s: Sequence[float]) -> tuple[str, ...]:
    """Return a sentence for a count that began anew; none where it never did."""
    if not begins_s:
        return ()
    times = ", ".join(f"{at_s:.0f} s" for at_s in begins_s[:3])
    more = f" and {len(begins_s) - 3} times more" if len(begins_s) > 3 else ""
    return (f"the charge counter begins again at {times}{more}: what it had counted before is added",)


def _only_rises(values: Series) -> bool:
    """Whether an even sample of a whole column shows no fall: a count that began anew stays low for long."""
    some = values[:: max(1, values.size // SAMPLES)]
    return bool(np.isfinite(some).all() and (np.diff(some) > -SAMPLED_SHARE * FALLS_MAH).all())


def _stood(known: Series, stamps: Series, fall: int) -> float:
    """Return where the count stood before a fall: its last value, unless that is higher than any pack can make it."""
    first = max(0, fall - LEVEL_ROWS + 1)
    level = median(known[first : fall + 1])
    most = level + FALLS_MAH + LEAP_MAH_PER_S * float(stamps[fall] - stamps[first])
    return float(known[fall]) if known[fall] <= most else level


def _falls_to_nothing(known: Series, stamps: Series, fall: int, stood: float) -> bool:
    """Whether the count is near zero after a fall, and stays low as long as it lasts to tell."""
    after = known[fall + 1 : int(stamps.searchsorted(stamps[fall + 1] + LASTS_S, side="right"))]
    return bool(stood >= FALLS_MAH and after[0] <= ANEW_SHARE * stood and median(after) <= 0.5 * stood)


def _leaps_back(known: Series, stamps: Series, fall: int, stood: float) -> int | None:
    """Return the row in which the count is back where it stood, quicker than a pack can give; None when it never is."""
    later, steps_s = known[fall + 1 :], np.diff(stamps[fall + 1 :])
    leaps = np.diff(later) > FALLS_MAH + LEAP_MAH_PER_S * steps_s
    back = np.flatnonzero(leaps & (later[1:] >= BACK_SHARE * stood) & (later[:-1] < 0.5 * stood))
    return fall + 2 + int(back[0]) if back.size else None
