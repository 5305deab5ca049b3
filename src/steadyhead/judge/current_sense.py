"""A current too small to turn the blades of the machine: nothing that rests on it passes."""

from steadyhead.judge.blades import BARE_SHARE, power_shares
from steadyhead.judge.measured import Measured
from steadyhead.judge.owner import Owner
from steadyhead.words.verdict import Verdict, no_pass_of

RESTS_ON_CURRENT = ("esc_current", "charge_left", "pack_resistance")
FULL_CELL_V = 4.2
"""A lithium cell when full; common practice, no source."""
NEEDS = ("the unit of the pack current",)


def current_too_small(found: Measured, owner: Owner) -> str | None:
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


def unless_current_too_small(checks: tuple[Verdict, ...], found: Measured, owner: Owner) -> tuple[Verdict, ...]:
    """Take back passes that rest on a current which cannot be that of a flight."""
    why = current_too_small(found, owner)
    return checks if why is None else no_pass_of(RESTS_ON_CURRENT, checks, why, needs=NEEDS)
