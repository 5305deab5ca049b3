"""One column for each cell: the weakest cell, and the pack when all its cells are there; packs in series added."""

import re
from collections import defaultdict
from typing import NamedTuple

import numpy as np

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.headings import Heading, heading_of, words_in
from steadyhead.trace.impossible import level_of
from steadyhead.trace.meaning import Claim
from steadyhead.trace.polled import in_step
from steadyhead.trace.quick_look import sample_of
from steadyhead.trace.rivals import Found, Offer
from steadyhead.trace.table import RawTable
from steadyhead.trace.trace import Series

CELL_LOW_V, CELL_HIGH_V = 2.3, 4.5
"""A lithium cell in use reads between these; common practice, no source, made wide."""
_UNUSED_BELOW_V = 0.05
"""An input that never reads more has no cell on it; own choice."""
_MILLIVOLTS_FROM = 1000.0
_PARTS_OF_A_VOLT = (1.0, 1e-2, 1e-3)
"""In which a cell is written where its unit is not: the one in which it reads as a cell."""
_STANDS_WITHIN_V, _OTHERS_MOVE_V = 0.003, 0.05
"""An input that stays within three steps of a thousandth while the others move more has no cell on it; own choice."""
_MOST_CELLS = 99
LEAST_OF = "least of"
"""How the heading begins of a weakest cell that was made from several columns."""
_DIGITS = re.compile(r"\d+")


class Joined(NamedTuple):
    """What was made of columns that belong together, and the claims that are left."""

    claims: list[Claim]
    offers: dict[str, Offer]
    warnings: list[str]
    history: list[str]
    unseen: list[str]
    """Headings of cells beside one of which, at least, nothing was read: the weakest cell may be that one."""


def cells_joined(table: RawTable, claims: list[Claim], gearing: Gearing, used: frozenset[int]) -> Joined:
    """Turn one column for each cell into the weakest cell and the pack; all cells count, or none.

    Cells that the logger reads one after the other count where a round of them is whole.

    Valid: columns that are named cells, or numbered ones that read as cells and are as many as the pack has.
    """
    out = Joined(list(claims), {}, [], [], [])
    groups = _numbered(table, claims, used)
    cells = [claim for stem, group in groups.items() if "cell" in words_in(stem) for claim in group]
    if gearing.cells == len(cells):  # the cells of several packs
        groups = {"cell": cells}
    for stem, members in groups.items():
        named = "cell" in words_in(stem)
        volts = [_volts(claim) for claim in members]
        live = [values for values in volts if values.size and not reads_nothing(values)]
        fit = [CELL_LOW_V <= level_of(values) <= CELL_HIGH_V for values in live]
        if named or (all(fit) and live and len(live) == gearing.cells):
            _join(out, members, live, all(fit), gearing, len(volts) - len(live))
    loose = [claim for claim in out.claims if claim.meaning == "cell_voltage_v" and not claim.by_person]
    if len(loose) > 1:
        _join(out, loose, [_volts(claim) for claim in loose], True, gearing, 0)
    return out


def packs_joined(table: RawTable, claims: list[Claim], gearing: Gearing) -> Joined:
    """Add the voltages of numbered packs in series, where only their sum fits the cells of the machine."""
    out = Joined(list(claims), {}, [], [], [])
    packs = [claim for claim in claims if claim.meaning == "pack_voltage_v" and not claim.by_person]
    for members in _numbered(table, packs, frozenset(), only_claims=True).values():
        if not gearing.cells:
            continue
        volts = [_volts(claim) for claim in members]
        levels = [level_of(values) / gearing.cells for values in volts]
        if max(levels) < CELL_LOW_V <= sum(levels) <= CELL_HIGH_V:
            names = " and ".join(claim.column.heading for claim in members)
            said = f"{names}: none fits {gearing.cells:g} cells alone, together they do: added, as packs in series"
            found = Found(heading=names, values=np.sum(volts, axis=0), rank=members[0].rank, doubtful=True)
            out.offers["pack_voltage_v"] = Offer(found=found, warnings=(said,))
            out.claims[:] = [claim for claim in out.claims if claim not in members]
    return out


def _join(out: Joined, members: list[Claim], live: list[Series], fit: bool, gearing: Gearing, unused: int) -> None:
    """Put the weakest cell and the pack in the place of the columns, or say why not."""
    at = {claim.at for claim in members}
    out.claims[:] = [claim for claim in out.claims if claim.at not in at]
    first, last = members[0].column.heading, members[-1].column.heading
    if unused:
        out.history.append(f"{first} to {last}: {unused} of these columns read nothing: no cells")
    if not fit or not live:
        out.warnings.append(f"{first} to {last}: left out, not all of them read as a cell of 2.3 to 4.5 V")
        return
    live = [values for values, dead in zip(live, _dead(live), strict=True) if not dead]
    if gearing.cells and len(live) > gearing.cells:
        out.warnings.append(
            f"{first} to {last}: left out, {len(live)} cells are logged and the pack has {gearing.cells:g}"
        )
        return
    partial: tuple[str, ...] = ()
    if gearing.cells and len(live) < gearing.cells:
        partial = (
            f"{first} to {last}: {len(live)} cells are logged and the pack has {gearing.cells:g}: the weakest may be "
            "another, and what the least of these reads can only be too high",
        )
        out.unseen.append(f"{first} to {last}")
    together = in_step(live)
    least = Found(
        heading=f"{LEAST_OF} {len(live)} cells", values=np.minimum.reduce(together), rank=2, doubtful=bool(partial)
    )
    said = (f"weakest cell: the least of {len(live)} cell columns, row by row",)
    out.offers["lowest_cell_v"] = Offer(found=least, said=said, warnings=partial)
    if gearing.cells == len(live):
        pack = Found(heading=f"sum of {len(live)} cells", values=together.sum(axis=0), rank=0)
        out.offers["pack_voltage_v"] = Offer(found=pack, said=(f"pack voltage: the sum of {len(live)} cell columns",))


def _numbered(
    table: RawTable, claims: list[Claim], used: frozenset[int], *, only_claims: bool = False
) -> dict[str, list[Claim]]:
    """Return columns of voltages that differ by a running number only, by what they have in common."""
    by_at = {claim.at: claim for claim in claims}
    groups: dict[str, dict[int, Claim]] = defaultdict(dict)
    for at, column in enumerate(table.columns):
        claim = by_at.get(at)
        if at in used or column.number is None or (claim is None and only_claims) or (claim and claim.by_person):
            continue
        heading = claim.heading if claim else heading_of(column.heading, column.unit)
        numbers = list(_DIGITS.finditer(heading.name))
        if not numbers or (heading.unit and heading.unit.dimension != "voltage") or heading.unread:
            continue
        last, unit = numbers[-1], heading.unit.key if heading.unit else ""
        stem = f"{heading.name[: last.start()]} # {heading.name[last.end() :]} {unit}".casefold()
        if int(last[0]) <= _MOST_CELLS:
            groups[stem].setdefault(
                int(last[0]), claim or Claim(at=at, column=column, heading=heading, meaning="cell_voltage_v", rank=0)
            )
    return {stem: [group[number] for number in sorted(group)] for stem, group in groups.items() if _runs(group)}


def _runs(group: dict[int, Claim]) -> bool:
    """Whether the numbers are 0, 1, 2 … or 1, 2, 3 …, two at least."""
    first = min(group)
    return len(group) > 1 and first in (0, 1) and max(group) - first + 1 == len(group)


def volts_of(values: Series, heading: Heading) -> Series:
    """Return the numbers of a column in volts: by its unit, else in the part of a volt in which they read as a cell.

    Shapes: values (n,) -> (n,)
    """
    if heading.unit is not None:
        return values * heading.unit.factor
    level = level_of(values)
    factor = next((part for part in _PARTS_OF_A_VOLT if CELL_LOW_V <= part * level <= CELL_HIGH_V), 0.0)
    return values * (factor or (1e-3 if level >= _MILLIVOLTS_FROM else 1.0))


def _volts(claim: Claim) -> Series:
    return volts_of(claim.column.number if claim.column.number is not None else np.empty(0), claim.heading)


def reads_nothing(values: Series) -> bool:
    """Whether an input has nothing on it from first row to last. Shapes: (n,)"""
    return not bool((np.abs(values) >= _UNUSED_BELOW_V).any())


def _dead(cells: list[Series]) -> list[bool]:
    """Return which of several cells stand still from first row to last while most of the others move."""
    runs = [float(np.ptp(sample_of(values))) if sample_of(values).size else 0.0 for values in cells]
    moved = len(runs) > 2 and float(np.median(runs)) > _OTHERS_MOVE_V
    return [moved and run <= _STANDS_WITHIN_V for run in runs]
