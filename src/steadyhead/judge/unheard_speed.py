"""How fast a head may have turned where no rotor was heard: as fast as it can gain speed, and lose it again."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.holes import HOLE_S
from steadyhead.judge.left_speed import FALLS_SHARE
from steadyhead.judge.result import Segment
from steadyhead.trace.sound_tracker import FASTEST_PER_S
from steadyhead.trace.trace import Series

LONG_S = 1.0
"""An unheard part of governed running that is so long is told by itself; own choice."""
TOLD = "from {:.1f} to {:.1f} s no rotor was heard: how fast it turned there is not known"


class Unheard(NamedTuple):
    """A time in which no rotor was heard, and the speed that the head may have reached in it."""

    start_s: float
    end_s: float
    reach_rpm: float

    @property
    def said(self) -> str:
        """What to tell of it."""
        return TOLD.format(self.start_s, self.end_s)


def unheard(
    time_s: Series, speed_rpm: Series, claimed: NDArray[np.bool_], segments: Iterable[Segment]
) -> tuple[Unheard, ...]:
    """Return where a running head was not heard for HOLE_S or more, the ends of the recording among them.

    Equation: reach = (n1 + n2 + r T) / 2, r = FASTEST_PER_S times the highest speed heard: up from n1 and down to n2
    in T; at an end of the recording, where nothing asks for a way back, reach = n + r T.
    Shapes: time_s, speed_rpm, claimed (n,)
    Valid: a shorter gap shows no more than the windows of sound, which reach over it; where the head was heard running
    down on both sides of a gap, or before the end, it is taken to have been let run down, not to have been driven.
    """
    sets = [one.set_rpm for one in segments if one.set_rpm is not None]
    if not sets or not claimed.any():
        return ()
    runs_rpm = (1.0 - FALLS_SHARE) * min(sets)
    heard_s, rpm = time_s[claimed], speed_rpm[claimed]
    rate = FASTEST_PER_S * float(rpm.max())
    found = []
    if heard_s[0] - time_s[0] > HOLE_S and rpm[0] >= runs_rpm:
        found.append(Unheard(float(time_s[0]), float(heard_s[0]), float(rpm[0] + rate * (heard_s[0] - time_s[0]))))
    for k in np.flatnonzero(np.diff(heard_s) > HOLE_S).tolist():
        if max(rpm[k], rpm[k + 1]) >= runs_rpm:
            reach = 0.5 * (rpm[k] + rpm[k + 1] + rate * (heard_s[k + 1] - heard_s[k]))
            found.append(Unheard(float(heard_s[k]), float(heard_s[k + 1]), float(reach)))
    if time_s[-1] - heard_s[-1] > HOLE_S and rpm[-1] >= runs_rpm:
        found.append(Unheard(float(heard_s[-1]), float(time_s[-1]), float(rpm[-1] + rate * (time_s[-1] - heard_s[-1]))))
    return tuple(found)


def long_unheard(holes: Iterable[Unheard], segments: Sequence[Segment]) -> tuple[str, ...]:
    """Return in words what was not heard of governed running for LONG_S or more."""
    governed = [one for one in segments if one.kind == "governed"]
    return tuple(
        hole.said
        for hole in holes
        if any(min(hole.end_s, one.end_s) - max(hole.start_s, one.start_s) >= LONG_S for one in governed)
    )
