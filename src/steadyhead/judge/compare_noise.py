"""Whether a noisier speed sensor alone makes a change between two sides, though the head ran alike."""

from math import sqrt

from steadyhead.judge.compare_figures import NOISE, ROWS
from steadyhead.judge.compare_result import Change, Condition

RANGE = 3.5
"""Half the range of a few thousand noisy rows, and a single peak among them, in standard deviations: normal quantiles,
ndtri(1 - 1 / 4000) = 3.5."""
LINE = 2.8
"""Strongest of some sixty lines of white noise within a quarter of a hertz either way, in standard deviations times
root seconds: root 2 of its effective value, twice the mean of one (root of ln 60)."""
BY_RANGE = ("steady_band_percent", "undershoot_percent", "overshoot_percent")
BY_TIME = ("load_recovery_s", "unload_recovery_s", "bail_out_s")
"""Noise takes a head out of its band again; for how long, no figure of noise says."""
SOFT_START, OF_A_START = "soft_start_s", 0.1
"""A soft start ends where the speed has come to its set speed, which it nears ever more slowly: noise ends it sooner or
later, by no more than this share of it (own choice)."""


def made_by_noise(change: Change, conditions: tuple[Condition, ...]) -> bool:
    """Whether the noise of the speed that one side has more of makes as much of a change as was seen, or more.

    Equation: |change| at its least, by its interval, <= 3.5 dn of a range or peak, 2.8 dn root(dt) of a line, dn the
    difference of both standard deviations, the change in the direction of the noise; a recovery may be any longer,
    a soft start a tenth shorter or longer.
    """
    known = {one.condition: one for one in conditions}
    noise, rows = known[NOISE], known[ROWS]
    if not noise.differs or noise.before is None or noise.after is None or change.change is None:
        return False
    low, high = change.change_interval or (change.change, change.change)
    least = min(abs(low), abs(high)) if low * high > 0.0 else 0.0
    if change.figure == SOFT_START:
        return least <= OF_A_START * abs(change.before or 0.0)
    more = noise.after - noise.before
    if more * change.change <= 0.0:
        return False
    if change.figure in BY_TIME:
        return True
    if change.figure in BY_RANGE:
        return least <= RANGE * abs(more)
    row_s = max(rows.before or 0.0, rows.after or 0.0)
    return change.figure == "hunting_percent" and least <= LINE * sqrt(row_s) * abs(more)
