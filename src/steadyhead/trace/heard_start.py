"""The foot of a start: a rise is followed down below what is claimed, and drawn on to rest from there."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.sound_spectrum import HOP_S
from steadyhead.trace.sound_tracker import Floats

FEWEST_FRAMES = 20
FROM_REST_SHARE = 0.5
RISE_S = 1.0
FOLLOWED_SHARE = 0.3
"""A rise that is claimed only above FROM_REST_SHARE must be followed so far down: a head that idles unheard in noise
would rise as one from rest does; own choice."""
LEAST_RATE_SHARE = 0.015
"""A rise slower than this share of the highest speed a second is none of a soft start: one of 33 s that begins at half
of its mean rate; own choice."""
BRIDGED_S = 0.4
"""A gap in what was heard is bridged up to this length; a longer one is a gap in the trace."""
OFF_SHARE = 0.03
"""What is followed lies so near the line through the next second; own choice."""
TURNS_S, TURNS_NEAR_SHARE = 0.2, 0.2
"""A speed above that line for so long, and so near the foot of the rise as a head that falls fast comes in BRIDGED_S,
tells that the head turned before the rise; own choices."""


class Foot(NamedTuple):
    """Where a rise began by a straight line, when it was first heard, s, and how fast it rose then, rpm/s."""

    start_s: float
    heard_s: float
    rate_rpm_s: float


def rise_drawn(time_s: Floats, claimed_rpm: Floats, path_rpm: Floats) -> tuple[Floats, Foot | None]:
    """Return what is claimed with the rise from rest that leads into it, and the foot of that; None without one.

    Shapes: as `rise_followed`
    """
    followed, turned_before = rise_followed(time_s, claimed_rpm, path_rpm)
    foot = None if turned_before else from_rest(time_s, followed)
    if foot is None:
        return claimed_rpm, None
    if from_rest(time_s, claimed_rpm) is None:
        seen = followed[np.isfinite(followed)]
        if seen[0] > FOLLOWED_SHARE * np.quantile(seen, 0.95):
            return claimed_rpm, None
    return followed, foot


def rise_followed(time_s: Floats, claimed_rpm: Floats, path_rpm: Floats) -> tuple[Floats, bool]:
    """Return what is claimed with the rise that leads into it, and whether the head turned before that rise.

    Slow lines are few and faint, and more evidence is asked of them; but which multiple of a speed is the true one, the
    claimed end of a rise tells for all of it, as long as each frame goes on where the next ones came from.
    Equation: from the first claimed frame backwards, each frame of the likeliest course within OFF_SHARE of the
    straight line through the RISE_S after it.
    Shapes: (n,), claimed NaN where nothing is, path NaN where nothing was followed -> (n,)
    Valid: one rise at the beginning of what is claimed.
    """
    speed = claimed_rpm.copy()
    at = np.flatnonzero(np.isfinite(speed))
    if not at.size:
        return speed, False
    first, number, above = int(at[0]), int(at[0]) - 1, 0
    while number >= 0 and time_s[first] - time_s[number] <= BRIDGED_S:
        line = _line(time_s, speed, first, float(time_s[number]))
        off = path_rpm[number] - line
        if abs(off) <= OFF_SHARE * line:
            speed[number], first, above = path_rpm[number], number, 0
        elif off > 0.0 and abs(path_rpm[number] / speed[first] - 1.0) <= TURNS_NEAR_SHARE:
            above += 1
        number -= 1
    return speed, above * HOP_S >= TURNS_S


def _line(time_s: Floats, speed_rpm: Floats, first: int, at_s: float) -> float:
    """Return the straight line through the second from a frame on, drawn back to a time, rpm."""
    after = slice(first, first + round(RISE_S / HOP_S))
    there: NDArray[np.bool_] = np.isfinite(speed_rpm[after])
    since_s, rpm = time_s[after][there] - at_s, speed_rpm[after][there]
    away_s = since_s - since_s.mean()
    slope = float(away_s @ rpm) / max(float(away_s @ away_s), 1e-9)
    return float(rpm.mean() - slope * since_s.mean())


def from_rest(time_s: Floats, speed_rpm: Floats) -> Foot | None:
    """Return the foot of a rise that is first heard under way, taken as a start from rest; None where none is heard.

    Equation: a straight line through the first second that is heard, down to zero.
    Valid: a soft start, whose speed rises evenly.
    """
    at = np.flatnonzero(np.isfinite(speed_rpm))
    if at.size < FEWEST_FRAMES:
        return None
    first = at[time_s[at] < time_s[at[0]] + RISE_S]
    top = float(np.quantile(speed_rpm[at], 0.95))
    if first.size < FEWEST_FRAMES or speed_rpm[first[0]] > FROM_REST_SHARE * top:
        return None
    rate, level = np.polyfit(time_s[first], speed_rpm[first], 1)
    if rate * RISE_S < LEAST_RATE_SHARE * top:
        return None
    return Foot(float(-level / rate), float(time_s[first[0]]), float(rate))
