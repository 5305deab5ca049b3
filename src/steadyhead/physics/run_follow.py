"""Follows a recorded throttle channel with the run logic: what the motor should have done in every row."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.kernel import kernel
from steadyhead.physics.run_state import GOVERNED, NONE_S, QUICK, SOFT, RunRules, RunState, advance

FEW_S = 0.02
"""Longest step of the logic between two rows."""
LONGEST_GAP_S = 2.0
"""A gap in the record longer than this is not followed on; the channel in it is not known."""
LONG_S = 1e6
HALF = 0.5

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@kernel
def governed_long() -> RunState:
    """State of a motor that has been governed for long, times in s.

    Valid: a record that begins with the motor running.
    Source: definition.
    """
    return RunState(GOVERNED, LONG_S, 0.0, 0.0, LONG_S, NONE_S, 0)


@kernel
def follow(
    rules: RunRules,
    state: RunState,
    time_s: Floats,
    channel_percent: Floats,
    governed: Flags,
    turning: Flags,
    run: NDArray[np.int8],
) -> None:
    """Write into `run` what the logic does in every row, percent and s.

    The rotor's part is the record's: in which rows the head was governed, in which it turned. Where the record comes to
    be governed and the logic is not running, the logic is set to governed, so that one slip is told once.
    Shapes: time_s, channel_percent, governed, turning, run (n,).
    Valid: time increasing; the first row is `state`.
    Source: `run_state.advance`.
    """
    run[0] = state.run
    for k in range(1, time_s.size):
        span_s = min(time_s[k] - time_s[k - 1], LONGEST_GAP_S)
        steps = max(1, int(span_s / FEW_S + 0.5))
        motor = 1.0 if governed[k] else HALF
        head = HALF if turning[k] else 0.0
        for _ in range(steps):
            state = advance(rules, state, channel_percent[k], motor, head, span_s / steps)
        run[k] = state.run
        if governed[k] and not governed[k - 1] and state.run not in (SOFT, QUICK, GOVERNED):
            state = governed_long()
