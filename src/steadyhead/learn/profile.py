"""How far a number can be moved before the logs speak against it, all the others fitted again at every step."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from steadyhead.learn.fit import Fitted, one_thread
from steadyhead.learn.unknowns import NINETY
from steadyhead.trace.trace import Series

WORTH = 0.2
"""The profile's end is taken where it lies this share of the linear half width away from the linear end; own choice."""
TRIES = 8
STEPS = 5
CLOSE = 0.02
"""An end is found when what it costs is within this share of what it should."""
FARTHEST = 3.0
"""An end is looked for out to so many linear half widths, then said to lie there."""
Left = Callable[[Series], Series]


class Ends(NamedTuple):
    """How far the 90 % interval reaches below and above, in what is fitted; whether the profile moved an end."""

    below: float
    above: float
    moved: bool


def ends(fitted: Fitted, name: str) -> Ends:
    """Return the interval of a number by profile likelihood where it differs from the linear one, else the linear one.

    sum of squares(number held at the end, all else fitted) - least sum of squares = 1.6449^2
    Valid: weights of the last round. The others are fitted by steps with the slopes at the answer, or with fresh ones
    where that makes an end nearer than the linear one; an end that is not found so is left linear.
    Source: profile likelihood, D. M. Bates, D. G. Watts, Nonlinear Regression Analysis, 1988, chapter 6 (from memory).
    """
    half = fitted.half(name)
    with one_thread():
        sides = [_checked(fitted, fitted.at(name), half, sign) for sign in (-1.0, 1.0)]
    kept = [half if reach is None or abs(reach - half) <= WORTH * half else reach for reach in sides]
    return Ends(below=kept[0], above=kept[1], moved=kept != [half, half])


def _checked(fitted: Fitted, place: int, half: float, sign: float) -> float | None:
    """Return how far the profile reaches; steps that fit the others badly can only make it look nearer."""
    reach = _reach(fitted, place, half, sign, fresh=False)
    near = reach is None or reach < (1.0 - WORTH) * half
    return _reach(fitted, place, half, sign, fresh=True) if near else reach


def _reach(fitted: Fitted, place: int, half: float, sign: float, *, fresh: bool) -> float | None:
    """Return how far the profile reaches on one side; None where it is not found."""
    unknown = fitted.unknowns[place]
    room = unknown.high - fitted.fitted[place] if sign > 0.0 else fitted.fitted[place] - unknown.low
    least = float(np.sum(fitted.left(fitted.fitted) ** 2))
    target, far = NINETY**2, half
    low, high = 0.0, min(FARTHEST * half, float(room))
    for _ in range(TRIES):
        cost = _cost(fitted, place, sign * min(far, high), fresh=fresh) - least
        if not np.isfinite(cost):
            return None
        if abs(cost - target) <= CLOSE * target:
            return far
        if cost < target:
            if far >= high:
                return high
            low = far
        else:
            high = far
        # The cost grows with the square of the way where the problem is linear.
        guess = far * float(np.sqrt(target / cost)) if cost > 0.0 else 2.0 * far
        far = guess if low < guess < high else 0.5 * (low + high) if np.isfinite(high) else guess
        far = min(far, high)
    return None


def _cost(fitted: Fitted, place: int, moved: float, *, fresh: bool) -> float:
    """Return the least sum of squares with one number moved from its answer and held there."""
    low, high = (np.array([getattr(u, end) for u in fitted.unknowns]) for end in ("low", "high"))
    others = np.delete(np.arange(fitted.fitted.size), place)
    start = fitted.fitted + fitted.covariance[:, place] / fitted.covariance[place, place] * moved
    now = np.clip(start, low, high)
    solve = np.linalg.pinv(fitted.slopes_here[:, others])
    left = fitted.left(now)
    best = float(left @ left)
    for _ in range(STEPS):
        solve = np.linalg.pinv(fitted.slopes(now)[:, others]) if fresh else solve
        trial = now.copy()
        trial[others] -= solve @ left
        trial = np.clip(trial, low, high)
        left_there = fitted.left(trial)
        cost = float(left_there @ left_there)
        if cost >= best:
            break
        gained, best, now, left = best - cost, cost, trial, left_there
        if gained < CLOSE * CLOSE:
            break
    return best
