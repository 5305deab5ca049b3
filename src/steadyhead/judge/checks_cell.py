"""Takes back a pass of the cells where a weaker cell may be unseen, or where the weakest reads what it cannot."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import median
from steadyhead.judge.signals import written_step
from steadyhead.trace.cell_columns import CELL_LOW_V
from steadyhead.trace.frozen import CHANCE, FEWEST_ROWS, long_stills, shows_its_noise
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.verdict import Outcome, Verdict

BLOCK_S, OWN_VALUES = 2.0, 3.0
"""A cell and the pack are compared over so long, or so many values of the slower sensor: their lags are out; own
choice."""
FULLEST_SHARE = 0.2
"""Of these blocks, in which the pack reads most, is taken by how much the two sensors differ by themselves."""
ABOVE_V = 0.05
"""How far the weakest cell may pass the mean of the pack under load, beyond what it differs by at its fullest: a gain
of either sensor that is 5 % off makes 0.03 V of it over the whole use of a cell; own choice."""
MOVES_V = 0.03
"""A mean cell that moves by so much while the weakest repeats one value: ten steps of the usual thousandth and more
than their noise; own choice."""
NEEDS = ("a voltage of the weakest cell that follows the pack",)


def as_cells_allow(check: Verdict, found: Measured, numbers: Owner, trace: Trace) -> Verdict:
    """Return the check of the cells, its pass taken back where a cell was left out or the weakest cannot be."""
    if check.verdict is not Outcome.PASS:
        return check
    why = _passes_the_mean(found, numbers, trace) or _stands_still(found, numbers)
    if why:
        return check.but(why, needs=NEEDS)
    named = " and ".join(column.heading for column in trace.unread if column.channel == "lowest_cell_v")
    if not named:
        return check
    why = f"{named} may hold a weaker cell and could not be used"
    return check.but(why, needs=(f"all cells read, or a word from you what {named} is",))


def _passes_the_mean(found: Measured, numbers: Owner, trace: Trace) -> str:
    """Say where the weakest cell reads more than the mean of all, which no weakest of several does.

    Valid: a pack voltage that reads as one at all; a dead one bears no witness.
    """
    lowest, volts = found.signals.lowest_cell_v, found.signals.voltage_v
    if lowest is None or volts is None or median(volts) < CELL_LOW_V * numbers.cells:
        return ""
    own_s = max(found.signals.own_s.get(name, 0.0) for name in ("lowest_cell_v", "pack_voltage_v"))
    rows = found.signals.samples(max(BLOCK_S, OWN_VALUES * own_s))
    count = lowest.size // rows
    if not count:
        return ""
    logged = np.isfinite(trace.channels["lowest_cell_v"]) & np.isfinite(trace.channels["pack_voltage_v"])
    here = logged[: count * rows].reshape(count, rows)
    cell, mean = (_means(x[: count * rows].reshape(count, rows), here) for x in (lowest, volts / numbers.cells))
    there = here.sum(axis=1)
    shown = (there > 0) & (2 * there >= median(there))
    if not shown.any():
        return ""
    at, cell, mean = shown.nonzero()[0], cell[shown], mean[shown]
    over = cell - mean
    fullest = mean >= np.quantile(mean, 1.0 - FULLEST_SHARE)
    allowed = max(median(over[fullest]), 0.0) + ABOVE_V + written_step(lowest)
    worst = int(over.argmax())
    if over[worst] <= allowed:
        return ""
    at_s = float(found.signals.time_s[at[worst] * rows])
    return (
        f"at {at_s:.0f} s the weakest cell reads {cell[worst]:.2f} V and the mean of all {mean[worst]:.2f} V: "
        "one of the two is wrong"
    )


def _means(values: Series, here: NDArray[np.bool_]) -> Series:
    """Return the mean of each block over what was logged of it. Shapes: both (blocks, rows) -> (blocks,)"""
    means: Series = np.where(here, values, 0.0).sum(axis=1) / np.maximum(here.sum(axis=1), 1)
    return means


def _stands_still(found: Measured, numbers: Owner) -> str:
    """Say where the weakest cell repeats one value while the pack moves, though its own noise never lets it."""
    lowest, volts = found.signals.lowest_cell_v, found.signals.voltage_v
    if lowest is None or volts is None or lowest.size < 2 * FEWEST_ROWS:
        return ""
    time_s, still = found.signals.time_s, lowest[1:] == lowest[:-1]
    for first, last in long_stills(still, time_s):
        part = volts[first : last + 1] / numbers.cells
        moved = float(np.quantile(part, 0.9) - np.quantile(part, 0.1))
        if moved > MOVES_V and _never_by_chance(lowest, still, first, last):
            return (
                f"from {time_s[first]:.0f} to {time_s[last]:.0f} s the weakest cell stands at {lowest[first]:.3f} V "
                f"while the mean of all moves by {moved:.2f} V: its sensor stands still"
            )
    return ""


def _never_by_chance(values: Series, still: NDArray[np.bool_], first: int, last: int) -> bool:
    """Whether a run is longer than any that the rest of the channel makes; always where there is no rest.

    Equation: q ^ n < 1e-6, q the share of still rows among those of another value, n the rows of the run.
    """
    other = values[1:] != values[first]
    left = int(np.count_nonzero(other))
    if left < FEWEST_ROWS:
        return True
    share = (int(np.count_nonzero(still & other)) + 1.0) / (left + 2.0)
    return bool(share ** (last - first) < CHANCE and shows_its_noise(np.diff(values)[other]))
