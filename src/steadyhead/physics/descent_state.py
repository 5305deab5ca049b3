"""How the air goes through a descending disc: normal, vortex ring, turbulent wake or windmill."""

from enum import IntEnum

from steadyhead.physics.kernel import kernel

RING_BEGINS, RING_ENDS, WINDMILL_BEGINS, CLEAN_EDGEWISE = 0.23, 1.25, 2.0, 1.0


class DescentState(IntEnum):
    """States of a descending disc, the slowest descent first."""

    NORMAL = 0
    VORTEX_RING = 1
    TURBULENT_WAKE = 2
    WINDMILL = 3


STATE_SAYS = {
    DescentState.NORMAL: "normal",
    DescentState.VORTEX_RING: "vortex ring",
    DescentState.TURBULENT_WAKE: "turbulent wake",
    DescentState.WINDMILL: "windmill",
}
NORMAL, VORTEX_RING, TURBULENT_WAKE, WINDMILL = (int(state) for state in DescentState)


@kernel
def descent_state(descent_ratio: float, edgewise_ratio: float) -> int:
    """State of a disc that meets air from below and from the side, both over the ideal hover inflow.

    below 0.23 normal, to 1.25 vortex ring, to 2 turbulent wake, then windmill; from 1 across the disc on there is no
    vortex ring and no turbulent wake: the wake is blown away
    Valid: names of regions with no sharp border; the bounds are those in which a rotor was seen to shake.
    Source: 0.23 and 1.25: Prouty 1986 p. 102 (second-hand); 2: momentum theory has a stream tube again; 1 across the
    disc: from memory.
    """
    if descent_ratio >= WINDMILL_BEGINS:
        return WINDMILL
    if descent_ratio < RING_BEGINS or edgewise_ratio >= CLEAN_EDGEWISE:
        return NORMAL
    return VORTEX_RING if descent_ratio < RING_ENDS else TURBULENT_WAKE
