"""Where the next move of the collective begins after a load: what the head does from there on belongs to that move."""

import numpy as np

from steadyhead.judge.parts import rows_where, true_runs
from steadyhead.judge.signals import Signals
from steadyhead.trace.trace import Series

BACK_S = 0.3
"""A head that stays in its band for so long was back from the load; as for a bail-out; own choice."""
BEFORE_S, SINCE_S = 1.0, 0.2
"""A move of the collective shows in the speed within a second; own choice."""
MOVED_DEG = 2.0
"""A collective that moves by so much within a second is a new load; own choice."""


def until_next_move(signals: Signals, part: slice, speed: Series, centre: float, half_band: float) -> slice:
    """Return the rows after a load up to where a head that was back leaves its band again with the collective.

    Shapes: speed (n,), part of its rows.
    Valid: all rows where no collective was logged, or where the head was not back for BACK_S before it left again.
    """
    pitch = signals.collective_deg
    if pitch is None or part.stop - part.start < 3:
        return part
    time_s = signals.time_s[part]
    outside = np.abs(speed[part] - centre) > half_band
    for first, stop in true_runs(~outside):
        if stop >= outside.size or time_s[stop - 1] - time_s[first] < BACK_S:
            continue
        near = signals.within(float(time_s[stop]) - BEFORE_S, float(time_s[stop]) + SINCE_S)
        moves = rows_where(np.abs(pitch[near] - pitch[near][0]) >= MOVED_DEG)
        # The load's own end is a move, too: it must have come after the head was back, not before.
        if moves.size and signals.time_s[near.start + int(moves[0])] > time_s[first]:
            return slice(part.start, part.start + stop)
    return part
