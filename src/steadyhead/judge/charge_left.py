"""What was left in each pack: from the rest voltage before its first flight and what all its flights took."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from steadyhead.judge.cell_count import CELLS_NEEDED, MISCOUNTED, fits_full_pack_of
from steadyhead.judge.owner import Owner
from steadyhead.trace.trace import Series
from steadyhead.words.verdict import Outcome, Verdict, worst

CHECK = "charge_left"
OCV_DOUBT_V = 0.08
"""Open-circuit curves of different makes differ by this much between 20 and 95 % charge."""
FULL_REST_V = 4.12
MOST_USED_SHARE = 1.25
"""A worn pack holds four fifths of what its label says, or a sensor counts so much too little; common practice, no
source."""
RECOVERS_V = 0.05
"""A cell that was loaded a moment ago rises by less until it has rested; common practice, no source."""
WITNESS_SHARE, WITNESS_MAH = 1.25, 50.0
"""A current that makes so much more than the counter counts contradicts it: a sensor is off by a tenth; own choice."""
USED_SHARE = 0.1
"""With less than this of the capacity used, a rest voltage cannot tell a fresh pack from the one before."""


@dataclass(frozen=True, kw_only=True)
class Use:
    """What one flight took from a pack."""

    number: int
    used_mah: float | None
    rest_v: float | None
    """Pack voltage at rest before it."""
    fresh: bool | None
    """Whether it began with another pack than the flight before; None where nothing tells."""
    by_current_mah: float | None = None
    """What the current adds up to beside a counter."""
    broken_off: bool = False
    """Whether the log ends while the motor drives."""
    misfit: str = ""
    """Why the count of cells cannot be right; nothing where the voltage fits it."""


def pack_changed(before: Use, now_rest_v: float | None, numbers: Owner) -> bool | None:
    """Whether another pack was put in after a flight; None when the rest voltages cannot tell.

    Equation: a fuller one: the charge at rest is higher than it was before the last flight less half of what that
    flight used. One with less in it: the rest voltage lies below the curve, by more than makes differ and packs
    recover, even at the charge that a worn pack would have left; where only a sound one would not, nothing is said.
    Valid: a fuller one is told where the last flight used a tenth of the capacity or more.
    """
    used, capacity = before.used_mah, numbers.capacity_mah
    if before.rest_v is None or now_rest_v is None or used is None or not capacity:
        return None
    then, at_start = (charge_at_rest(volts / numbers.cells) for volts in (before.rest_v, now_rest_v))
    share, now_v = used / capacity, now_rest_v / numbers.cells
    most_used = MOST_USED_SHARE * share + share * numbers.capacity_spread_mah / capacity
    doubt_v = OCV_DOUBT_V + RECOVERS_V
    if now_v < voltage_at_rest(then - most_used) - doubt_v:
        return True
    if share < USED_SHARE:
        return None
    if at_start > then - 0.5 * share:
        return True
    return None if now_v < voltage_at_rest(then - share) - doubt_v else False


def charge_left(use: Use, numbers: Owner) -> Verdict:
    """Judge what one flight, or all flights on one pack, left in it."""
    used, rest, capacity = use.used_mah, use.rest_v, numbers.capacity_mah
    if used is None or capacity is None:
        return Verdict.unknown(CHECK, "the log has neither charge nor current", needs=("charge_used_mah",))
    if rest is None:
        return Verdict.unknown(
            CHECK, "the log shows no pack voltage at rest before the motor starts: the charge at its start is unknown",
            needs=("the pack voltage, in a log that begins before the motor starts",),
        )  # fmt: skip
    if use.misfit:
        return Verdict.unknown(CHECK, f"{use.misfit}{MISCOUNTED}", needs=CELLS_NEEDED)
    verdict = _left(used, rest, capacity, numbers)
    count = fits_full_pack_of(rest, numbers.cells)
    if verdict.figure is not None and verdict.figure < 0.0 and count is not None:
        why = (
            f"more charge was used than {numbers.cells} cells held at a rest voltage of {rest:.1f} V, "
            f"which is a full pack of {count} cells: check the count"
        )
        return Verdict.unknown(CHECK, why, needs=CELLS_NEEDED)
    if verdict.verdict is not Outcome.PASS:
        return verdict
    if use.broken_off:
        why = "the log ends while the motor drives: what the flight took after that is not in it"
        return verdict.but(why, needs=("a log to the end of the flight",))
    made = use.by_current_mah
    contradicted = made is not None and made > WITNESS_SHARE * used + WITNESS_MAH
    if made is None or not contradicted or _left(made, rest, capacity, numbers).verdict is Outcome.PASS:
        return verdict
    why = f"the counter shows {used:.0f} mAh and the current adds up to {made:.0f} mAh"
    return verdict.but(why, needs=("a charge counter that fits the current",))


def charge_left_of_packs(uses: Sequence[Use], numbers: Owner) -> Verdict:
    """Judge what was left in the worst of the packs of some flights in their order; one flight or more.

    Where nothing tells whether a pack was changed, both are tried, and only what both say is said.
    """
    if len(uses) == 1:
        return charge_left(uses[0], numbers)
    same, other = (_worst_pack(uses, numbers, doubtful_is_fresh=fresh) for fresh in (False, True))
    if same.verdict is other.verdict or same.verdict is Outcome.UNKNOWN:
        return same
    if other.verdict is Outcome.UNKNOWN:
        return other
    doubtful = next(use.number for use in uses[1:] if use.fresh is None)
    why = f"nothing shows whether flight {doubtful} was flown on that pack or on another"
    return same.but(why, needs=("a log of each pack by itself, from rest",))


def _worst_pack(uses: Sequence[Use], numbers: Owner, *, doubtful_is_fresh: bool) -> Verdict:
    packs: list[list[Use]] = []
    for use in uses:
        if not packs or use.fresh or (use.fresh is None and doubtful_is_fresh):
            packs.append([use])
        else:
            packs[-1].append(use)
    judged = [(pack, charge_left(_of_pack(pack), numbers)) for pack in packs]
    outcome = worst(verdict.verdict for _, verdict in judged)
    of_worst = [(pack, verdict) for pack, verdict in judged if verdict.verdict is outcome]
    pack, shown = min(of_worst, key=lambda one: np.inf if one[1].figure is None else one[1].figure)
    first, last = pack[0].number, pack[-1].number
    which = f"flight {first}" if first == last else f"flights {first} to {last}, on one pack"
    return replace(shown, reason=f"{which}: {shown.reason}")


def _of_pack(pack: Sequence[Use]) -> Use:
    used = _sum([use.used_mah for use in pack])
    made = _sum([use.used_mah if use.by_current_mah is None else use.by_current_mah for use in pack])
    return replace(pack[0], used_mah=used, by_current_mah=made, broken_off=any(use.broken_off for use in pack))


def _sum(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None


def _left(used_mah: float, rest_v: float, capacity_mah: float, numbers: Owner) -> Verdict:
    low0, start, high0 = (charge_at_rest(rest_v / numbers.cells + d) for d in (-OCV_DOUBT_V, 0.0, OCV_DOUBT_V))
    low0 = max(low0, start - 0.05) if rest_v / numbers.cells > FULL_REST_V else low0
    share = used_mah / capacity_mah
    doubt = share * numbers.capacity_spread_mah / capacity_mah
    return Verdict.at_least(
        CHECK,
        start - share,
        numbers.limit("limits.charge_left"),
        what="charge left, from the rest voltage at the start less the charge used,",
        interval=(low0 - share - doubt, high0 - share + doubt),
    )


def charge_at_rest(cell_v: float) -> float:
    """Return the state of charge of a rested cell, 0 to 1, from its voltage.

    Equation: the inverse of the open-circuit curve of the physics room, read from a table of 201 points.
    Valid: rested for minutes; makes differ by 0.08 V.
    """
    return float(np.interp(cell_v, *_rest_curve()))


def voltage_at_rest(charge: float) -> float:
    """Return the voltage of a rested cell, V, from its state of charge; that of an empty one below 0.

    Equation: the open-circuit curve of the physics room, read from the same table.
    Valid: as for `charge_at_rest`.
    """
    volts, charges = _rest_curve()
    return float(np.interp(charge, charges, volts))


@cache
def _rest_curve() -> tuple[Series, Series]:
    """Return rising cell voltages at rest and the charge at each."""
    from steadyhead.physics.kernel import interpreted
    from steadyhead.physics.pack import cell_open_circuit

    volts, charge = interpreted(cell_open_circuit), np.linspace(0.0, 1.0, 201)
    return np.maximum.accumulate([volts(s) for s in charge.tolist()]), charge
