"""Whether the pack voltage of a log can be that of the file's count of cells."""

from collections.abc import Iterator

import numpy as np

from steadyhead.judge.result import Judgement
from steadyhead.learn.doubt import Doubt
from steadyhead.learn.rows import Evidence
from steadyhead.machine.description import Machine
from steadyhead.words.value import Origin
from steadyhead.words.verdict import Outcome

CELLS = "pack.cells"
ON_THE_CELLS = ("pack.resistance", "pack.slow_resistance", "pack.slow_time")
FULL_V = 4.25
"""No cell of the usual kind rests higher, its sensor one per cent high."""
HIGHEST_V = 4.4
"""No cell at all does: 4.35 V for the high-voltage kind, and one per cent."""
LOWEST_V = 3.0
"""A pack that rests lower is dead, not begun with."""
MOSTLY = 95.0
"""Percentile of the voltage windows that a lone glitch does not reach."""
FULL_FROM_V = 4.15
PART_USED_V = 4.0
"""A pack that rests between the two is begun neither full nor plainly used. All: common practice, no source."""
SPENT_V = 3.7
"""A cell with a fifth of its charge left rests so, and there one stops: nobody begins with it. Common practice, no
source."""
MOST_CELLS = 20
"""As many as the machine file takes."""


def cells_doubt(machine: Machine, one: Evidence, seen: Judgement) -> Doubt | None:
    """Return what the pack voltage of a log says against the count of cells; None where it fits.

    A voltage that the reader left out for its size speaks too. Cells that somebody counted are doubted only where the
    pack would have been begun spent.
    """
    cells = machine.cells
    if one.trace.misfit_voltage_v is not None:
        return _misfit(one, cells, one.trace.misfit_voltage_v)
    rest_v = next((f.rest_voltage_v for f in seen.flights if f.rest_voltage_v is not None), None)
    seen_v = [] if one.pack is None else [float(np.percentile(one.pack.voltage_v, MOSTLY))]
    top_v = max((*seen_v, *([rest_v] if rest_v is not None else [])), default=None)
    if top_v is not None and top_v > HIGHEST_V * cells:
        return _doubt(one, f"{top_v:.1f} V is {top_v / cells:.2f} V a cell, more than any cell has", _least(top_v))
    if rest_v is not None and rest_v < LOWEST_V * cells:
        return _doubt(one, f"{rest_v:.1f} V at rest is {rest_v / cells:.2f} V a cell, an empty pack", _least(rest_v))
    value = machine.value(CELLS)
    counted = value is not None and value.origin is Origin.MEASURED
    if rest_v is None or rest_v > (SPENT_V if counted else PART_USED_V) * cells:
        return None
    full = next((n for n in _fewer(cells) if FULL_FROM_V <= rest_v / n <= FULL_V), None)
    if full is None:
        return None
    count = (
        "count the cells again" if counted else 'count the cells, and write cells = { value = N, from = "measured" }'
    )
    used = "nearly empty" if rest_v < SPENT_V * cells else "part-used"
    says = f"{one.log}: {rest_v:.1f} V at rest is a {used} pack of {cells} cells, or a full one of {full}: {count}"
    return Doubt(says=says, verdict=Outcome.UNKNOWN, needs=(CELLS,), holds=frozenset(ON_THE_CELLS))


def _misfit(one: Evidence, cells: int, level_v: float) -> Doubt:
    """Return what a voltage says that fits no pack of the file's cells.

    Nothing aboard has more than the pack; less may be another voltage, and more than any pack has is in another unit.
    """
    if cells < level_v / HIGHEST_V <= MOST_CELLS:
        return _doubt(
            one, f"{level_v:.1f} V is {level_v / cells:.2f} V a cell, more than any cell has", _least(level_v)
        )
    says = (
        f"{one.log}: {level_v:.1f} V is no pack of {cells} cells: another voltage or unit was logged, or the count of "
        "cells in the file is wrong; say which column holds the pack voltage, and count the cells"
    )
    return Doubt(says=says, verdict=Outcome.UNKNOWN, needs=(CELLS,), holds=frozenset(ON_THE_CELLS))


def _doubt(one: Evidence, says: str, fits: int) -> Doubt:
    why = "the count of cells in the file is wrong, or the log is of another pack or machine"
    return Doubt(
        says=f"{one.log}: {says}: {why}; {fits} cells would be a pack of that voltage",
        verdict=Outcome.FAIL,
        needs=(CELLS,),
    )


def _least(rest_v: float) -> int:
    """Return the fewest cells that may rest at a voltage."""
    return max(1, -int(-rest_v // FULL_V))


def _fewer(cells: int) -> Iterator[int]:
    yield from range(cells - 1, 0, -1)
