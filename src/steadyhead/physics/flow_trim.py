"""The collective that carries a load once the inflow has settled, found with the rings that a flight itself uses."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Motion, Rotor
from steadyhead.physics.rotor_flow import settled_loads
from steadyhead.physics.trim import DONE, OUT_OF_PITCH, PITCH_END_RAD, STALLED, THRUST_SHARE

SCAN_STEP_RAD = math.radians(0.5)
TURNS = 120
CLOSE_RAD = 1e-10


class Sought(NamedTuple):
    """Thrust that is sought in hover, speed of the rotor, and the collective at which to begin. SI."""

    thrust_n: float
    speed_rad_s: float
    start_rad: float


@kernel
def hover_miss(
    rotor: Rotor, section: Section, air: Air, sought: Sought, pitch_rad: float, flow: NDArray[np.float64]
) -> float:
    """Settled hover thrust at a collective less the thrust that is sought, N.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`.
    Valid: as `rotor_flow.settled_flow`.
    Source: `rotor_flow.settled_loads`.
    """
    motion = Motion(sought.speed_rad_s, pitch_rad, 0.0, 0.0, 0.0)
    return settled_loads(rotor, section, air, motion, flow).thrust_n - sought.thrust_n


@kernel
def collective_settled(
    rotor: Rotor, section: Section, air: Air, sought: Sought, flow: NDArray[np.float64]
) -> tuple[float, int]:
    """Collective that gives a thrust in hover, rad, and a `trim.Stop` code; stalled, the last one before thrust falls.

    Steps of half a degree until the thrust is passed or falls, then false position with halved weights; to 1e-8 of the
    thrust or 1e-10 rad.
    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, left settled at the last collective tried.
    Valid: hover; a start below stall. The greatest thrust is met within the curve of half a degree, below 0.2 %.
    Source: scan and bracket, common practice, no source.
    """
    low = high = new = sought.start_rad
    at_low = at_high = side = 0.0
    bracketed = False
    for turn in range(TURNS):
        if bracketed:
            if at_high in (0.0, at_low):
                break
            new = (low * at_high - high * at_low) / (at_high - at_low)
        elif turn > 0:
            new = high + side * SCAN_STEP_RAD
            if abs(new) > PITCH_END_RAD:
                return high, OUT_OF_PITCH
        value = hover_miss(rotor, section, air, sought, new, flow)
        if turn == 0:
            side = 1.0 if value < 0.0 else -1.0
        elif bracketed and (abs(value) <= THRUST_SHARE * abs(sought.thrust_n) or abs(new - high) < CLOSE_RAD):
            return new, DONE
        elif not bracketed and side * value < side * at_high:
            return high, STALLED
        if bracketed and value * at_high > 0.0:
            at_low *= 0.5
        else:
            bracketed = bracketed or side * value >= 0.0
            low, at_low = high, at_high
        high, at_high = new, value
    return high, DONE
