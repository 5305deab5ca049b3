"""Whether the pack voltage of a log fits the count of cells in the machine file."""

from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.signals import sparse

MOST_CELL_V = 4.45
"""A full cell of the high-voltage kind has 4.35 V; sensors read 2 % more; common practice, no source."""
FULL_CELL_V = (4.1, 4.22)
"""A full cell of the usual kind some minutes after charging lies between; common practice, no source."""
BESIDE_V = 0.15
"""Sensors of one cell and of the pack differ by this; the weakest cell lies no more above the mean; own choice."""
MISCOUNTED = ": the count of cells is not right"
CELLS_NEEDED = ("the count of cells in the pack (pack.cells)",)


def cells_misfit(found: Measured, numbers: Owner) -> str:
    """Say why the count of cells cannot be right; nothing where all fits."""
    volts, lowest = found.signals.voltage_v, found.signals.lowest_cell_v
    if volts is None:
        return ""
    high_v = percentile(sparse(volts), 99)
    if high_v > MOST_CELL_V * numbers.cells:
        return f"the pack read {high_v:.1f} V, {high_v / numbers.cells:.2f} V for each of {numbers.cells} cells"
    if lowest is None:
        return ""
    over_v = median(sparse(lowest)) - median(sparse(volts)) / numbers.cells
    if over_v <= BESIDE_V:
        return ""
    return f"the weakest cell read {over_v:.2f} V more than the pack has for each of {numbers.cells} cells"


def fits_full_pack_of(rest_v: float, cells: int) -> int | None:
    """Return the smaller count of cells of which a rest voltage is a full pack; None where there is none."""
    low_v, high_v = FULL_CELL_V
    return next((count for count in range(cells - 1, 0, -1) if low_v <= rest_v / count <= high_v), None)
