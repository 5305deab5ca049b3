"""A current that cannot be that of the flight: nothing that rests on it passes."""

import numpy as np

from steadyhead.judge.blades import BARE_SHARE, power_shares
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.parts import large_steps
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.signals import sparse
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Verdict, no_pass_of

RESTS_ON_CURRENT = ("esc_current", "charge_left", "pack_resistance")
FULL_CELL_V = 4.2
"""A lithium cell when full; common practice, no source."""
NEEDS = ("the unit of the pack current",)
LEAST_OF_NEW = 0.25
"""What a pack may keep of the resistance it had when new, by warmth alone: exp(33000 / 8.314 (1 / 333 - 1 / 298)) at
60 C, with the larger of the activation energies behind `physics.pack.temperature_factor`."""
LEAP_SHARE, LEAPS_WITHIN_S = 0.5, 0.2
"""A count that is full and begins again leaps by more than half of its top from one row to the next; own choice."""
ANSWERS_S = 0.3
"""A pack answers a load at once; sensors of current and voltage differ by less; common practice, no source."""
DENIED_SHARE = 0.005
"""A voltage that goes so much of itself the wrong way denies a leap: its noise is less; own choice."""
FEWEST_LEAPS, LEAST_OF_LEAPS = 3, 1.0 / 3.0
"""So many denied leaps, and so large a share of all, are neither faulty rows nor a late sensor; own choice."""


def current_in_doubt(found: Measured, owner: Owner) -> str | None:
    """Return a sentence where the pack current cannot be that of the flight; None where nothing speaks against it."""
    return _too_small(found, owner) or _begins_again(found) or _against_the_voltage(found, owner)


def _too_small(found: Measured, owner: Owner) -> str | None:
    """Return a sentence where pack voltage times current never reaches what must flow; None where it does.

    In flight that is what turns the blades at flat pitch: any lift takes more. On the bench, where they may be off, it
    is the motor's own idling.
    Valid: governed running with a current.
    """
    shares = power_shares(found.signals, owner, found.windows, FULL_CELL_V * owner.cells)
    if not shares or max(shares) >= (BARE_SHARE if found.flown else 0.0):
        return None
    if not found.flown:
        return "the pack current is less than the motor takes for itself at that speed: it is in another unit"
    percent = 100.0 * max(*shares, 0.0)
    return (
        f"the pack current gives the blades {percent:.0f} % of the least power that turns them at that speed: "
        "it is in another unit, or no blades were fitted"
    )


def _begins_again(found: Measured) -> str | None:
    """Return a sentence where the current leaps and the voltage says the contrary, as beside a count that begins again.

    Valid: sensors and rows that are quicker than a pack answers; else nothing is told.
    """
    signals = found.signals
    current, volts = signals.current_a, signals.voltage_v
    rows = signals.samples(ANSWERS_S)
    if current is None or volts is None or not signals.sensed or current.size < 3 * rows:
        return None
    if max(signals.own_s.get(name, 0.0) for name in ("pack_current_a", "pack_voltage_v")) > ANSWERS_S:
        return None
    at = large_steps(current, LEAP_SHARE * percentile(sparse(current), 99.9))
    at = at[(at >= rows) & (at < current.size - 1 - rows)]
    at = at[signals.steps_s[at] <= LEAPS_WITHIN_S]
    leap = current[at + 1] - current[at]
    least_v = DENIED_SHARE * median(sparse(volts))
    steps = zip(at.tolist(), np.sign(leap).tolist(), strict=True)
    denied = [row for row, sign in steps if sign * _rise(volts, row, rows) > least_v]
    if len(denied) < max(FEWEST_LEAPS, LEAST_OF_LEAPS * at.size):
        return None
    first = denied[0]
    ends = f"from {current[first]:.0f} to {current[first + 1]:.0f} A"
    return (
        f"at {signals.time_s[first]:.1f} s the pack current leaps {ends} and the voltage denies it, {len(denied)} "
        "times in all: a count that is full and begins again, so the current was higher than it reads"
    )


def _rise(values: Series, row: int, rows: int) -> float:
    """Return by how much the mean of some rows behind a row is higher than of those up to it."""
    return float(values[row + 1 : row + 1 + rows].mean() - values[row + 1 - rows : row + 1].mean())


def _against_the_voltage(found: Measured, owner: Owner) -> str | None:
    """Return a sentence where the voltage sags by less under load than any pack's, or rises."""
    high, new = found.pack.resistance_ohm_high, owner.new_resistance_ohm
    if high is None or found.pack.resistance_ohm is None:
        return None
    least = LEAST_OF_NEW * (new - owner.new_resistance_spread_ohm) if new else 0.0
    if high >= least:
        return None
    return (
        f"pack voltage and current make a resistance of {1000.0 * found.pack.resistance_ohm:.1f} mohm, which no pack "
        "has: one of the two is wrong"
    )


def unless_current_in_doubt(checks: tuple[Verdict, ...], why: str | None) -> tuple[Verdict, ...]:
    """Take back passes that rest on a current which cannot be that of the flight, `why`."""
    return checks if why is None else no_pass_of(RESTS_ON_CURRENT, checks, why, needs=NEEDS)
