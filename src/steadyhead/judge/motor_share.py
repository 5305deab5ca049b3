"""Motor side over head while the motor turns it: a constant share below one is a wrong gear ratio, not the bearing."""

import numpy as np

from steadyhead.judge.driving import DRIVING_DUTY
from steadyhead.judge.pieces import median
from steadyhead.trace.trace import Series

SAMPLES = 20_000
LEVEL_PERCENT, TURNS_SHARE = 95.0, 0.5
"""A head below half of its level ramps up or runs down; own choice."""
WITH_IT_SHARE = 0.3
"""A motor slower than that is off, or idles under a head that runs free; own choice."""
SAME_SHARE, MOST = 0.015, 0.7
"""Two sensors of one shaft agree within 1.5 % in most rows; a bearing that runs free keeps no ratio; own choice."""
OFF_SHARE = 0.02
"""Steady readings of head and motor differ by less; own choice."""
FEWEST = 50


def motor_share(head_rpm: Series | None, motor_rpm: Series | None, duty: Series | None) -> float:
    """Return the share of the head speed at which the motor side turns with it; 1 where nothing speaks against it.

    A motor that drives cannot turn slower than the head that it drives: where it seems to, always by the same share,
    the gear ratio of the machine file is wrong.

    Shapes: head_rpm (n,), motor_rpm (n,), duty (n,) or None -> scalar.
    Valid: most rows of the log driven.
    """
    if head_rpm is None or motor_rpm is None:
        return 1.0
    every = max(1, head_rpm.size // SAMPLES)
    head, motor = head_rpm[::every], motor_rpm[::every]
    level = float(np.percentile(head, LEVEL_PERCENT))
    turns = (head > TURNS_SHARE * level) & (motor > WITH_IT_SHARE * head) & (head > 0.0)
    if duty is not None:
        turns &= duty[::every] > DRIVING_DUTY
    if int(turns.sum()) < FEWEST:
        return 1.0
    shares = motor[turns] / head[turns]
    share = median(shares)
    same = float((np.abs(shares - share) <= SAME_SHARE * share).mean())
    return share if share < 1.0 - OFF_SHARE and same >= MOST else 1.0
