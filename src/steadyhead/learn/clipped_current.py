"""Whether the current sensor reads low and is cut off at nought: then nothing shows by how much."""

import numpy as np

from steadyhead.judge.signals import Signals, written_step
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.rows import OFF_DUTY, Evidence
from steadyhead.learn.unknowns import NARROWED
from steadyhead.words.verdict import Outcome

DRIVEN_DUTY = 0.02
"""From this duty on a motor takes current, and controller and receiver do besides; own choice."""
LONGEST_LAG_S = 0.5
"""A current that is nought for longer while the motor is driven is no lag of its sensor; own choice."""
ALWAYS_SHARE = 0.95
"""Nought in so much of the time with the motor off: a pack that is connected always feeds something; own choice."""
COARSE_A = 0.5
"""Written in steps as large as this, a small current reads nought without being cut off; own choice."""
ON_CURRENT = frozenset(
    ("motor.resistance", "pack.resistance", "pack.slow_resistance", "pack.slow_time", *THROUGH_THE_GEARS, *NARROWED)
)
NEEDS = "a current sensor that does not read below its zero: set it with pack connected and motor at rest, log again"


def current_doubt(one: Evidence) -> Doubt | None:
    """Return what a current that is cut off at nought leaves open; None where it is not, or no current was logged."""
    seconds = cut_off_for_s(one.found.signals)
    if seconds <= LONGEST_LAG_S:
        return None
    says = (
        f"{one.log}: the current reads exactly 0 with the motor off, and for {seconds:.1f} s while it is driven: the "
        "sensor reads low and is cut off at nought, by how much the log does not show"
    )
    return Doubt(says=says, verdict=Outcome.UNKNOWN, needs=(NEEDS,), holds=ON_CURRENT)


def cut_off_for_s(signals: Signals) -> float:
    """Return for how long the current is nought while the motor is driven, s; 0 where it is not cut off there.

    Valid: duty and current logged, the current in steps below COARSE_A.
    """
    if signals.duty is None or signals.current_a is None or written_step(signals.current_a) >= COARSE_A:
        return 0.0
    nought, off = signals.current_a <= 0.0, signals.duty < OFF_DUTY
    if not off.any() or float(np.mean(nought[off])) < ALWAYS_SHARE:
        return 0.0
    return int(np.count_nonzero(nought & (signals.duty >= DRIVEN_DUTY))) * signals.interval_s
