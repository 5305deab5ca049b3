"""Blades whose pitch no channel shows: flat pitch is taken for granted, and what rests on it is not told."""

from pathlib import Path

from steadyhead.learn.doubt import Doubt
from steadyhead.learn.rows import Evidence

DRAG, INERTIA = "rotor.drag_factor", "rotor.inertia"


def pitch_doubt(one: Evidence) -> Doubt | None:
    """Return what stands against drag and inertia of a log with blades on and no collective; None with one.

    Pitch on the ground asks more torque than flat blades do: the drag is then the most that it can be, no value. A
    coast-down slows by that torque over the inertia, so it carries the same error there.
    Valid: a soft start alone shows the inertia by its own balance, within the wide interval that it has then.
    """
    flat = one.driven is not None and bool(one.driven.flat.any())
    if not one.blades_on or one.found.signals.collective_deg is not None or not (flat or one.coasts):
        return None
    return Doubt(
        says=(
            f"{Path(one.log).name} holds no collective: flat pitch on the ground is taken for granted. Blades with "
            "pitch make the drag look larger than it is, and move an inertia that comes from a coast-down: log the "
            "collective"
        ),
        verdict=None,
        needs=("collective",),
        holds=frozenset({DRAG, INERTIA} if one.coasts else {DRAG}),
    )
