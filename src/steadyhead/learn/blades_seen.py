"""Which build each log shows: inertia and drag with blades come from logs with blades, those without from bare ones."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from steadyhead.learn.doubt import Doubt
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.rows import FEWEST_WINDOWS, Evidence

OF_BUILD = {
    True: frozenset(("rotor.inertia", "rotor.drag_factor", "gears.drag_torque")),
    False: frozenset(("rotor.hub_inertia", "gears.drag_torque")),
}
"""What a log with blades shows of the head, and one without."""


def by_build(found: Iterable[Evidence]) -> tuple[Evidence, ...]:
    """Return the logs so that none whose build is not shown speaks of the head beside one whose build is.

    Valid: a coast-down without voltage and current may be that of a bare head as well, and nothing in it says so;
    alone it is taken as the file has the machine, with blades.
    """
    every = tuple(found)
    if all(one.found.blades_on is None for one in every):
        return every
    return tuple(replace(one, blades_known=False, coasts=()) if one.found.blades_on is None else one for one in every)


def blades_doubt(one: Evidence, others: Sequence[Evidence] = ()) -> Doubt | None:
    """Return what a log whose build is not shown leaves untold: what no log of a known build shows."""
    if one.blades_known:
        return None
    good = [other for other in others if other.blades_known and _shows_head(other)]
    shown = frozenset(key for other in good for key in OF_BUILD[other.blades_on])
    names = ", ".join(dict.fromkeys(Path(other.log).name for other in good))
    left = (
        f"so inertia and drag are those of the other logs: {names}"
        if good
        else "so inertia and drag are not told: a log of a flight, or one whose power leaves no doubt, would tell"
    )
    return Doubt(
        says=f"{one.log}: power and coast-down do not show whether blades were fitted, {left}",
        verdict=None,
        needs=(),
        holds=frozenset(THROUGH_THE_GEARS) - shown,
    )


def _shows_head(one: Evidence) -> bool:
    flat = 0 if one.driven is None else int(np.count_nonzero(one.driven.flat & one.driven.even))
    return bool(one.coasts) or flat >= FEWEST_WINDOWS
