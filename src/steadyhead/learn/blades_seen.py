"""Whether a log shows if blades were fitted: inertia and drag are those of another head without them."""

from steadyhead.learn.doubt import Doubt
from steadyhead.learn.not_shown import THROUGH_THE_GEARS
from steadyhead.learn.rows import Evidence


def blades_doubt(one: Evidence) -> Doubt | None:
    """Return what keeps inertia and drag untold: power and coast-down do not say together whether blades turned."""
    if one.blades_known:
        return None
    return Doubt(
        says=f"{one.log}: power and coast-down do not show whether blades were fitted, so inertia and drag are not "
        "told: a log of a flight, or one whose power leaves no doubt, would tell",
        verdict=None,
        needs=(),
        holds=frozenset(THROUGH_THE_GEARS),
    )
