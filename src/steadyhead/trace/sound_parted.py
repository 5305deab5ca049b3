"""Whether a part of a head speed would sound alike: tones that only one of the two can make settle it."""

from enum import Enum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.sound_lines import FAMILIES, RICH, STRAY_FROM_SHARE, Line
from steadyhead.trace.sound_unexplained import Stretch, strongest_tones

Floats = NDArray[np.float64]

PARTS = (2, 3)
"""Half and a third of a speed share most of their lines with it."""
MESHES_TO, WINDINGS_TO = 3, 6
"""Up to which multiple a mesh and the windings are looked at; own choices."""
MOST_TONES = 60
"""So many tones are looked at: what parts two speeds is fainter than the strongest ten. Own choice."""
FEWEST_ALONE = 2
"""One tone may lie at a place by chance, two hardly; own choice."""


class Parting(Enum):
    """What the tones say of a speed against a part of it."""

    OWN = "own"
    OPEN = "open"
    PART = "part"


class Motor(NamedTuple):
    """Turns of the motor a head turn, and of what it sounds, a motor turn; None is unknown."""

    ratio: float
    mesh: float | None
    windings: float | None


def shares_all(lines: tuple[Line, ...], part: int) -> bool:
    """Return whether every tone of the meshes at a part of a speed falls on a line of the speed itself.

    Equation: order / part near a multiple of a mesh or of the windings, for every line of a mesh
    Valid: then what the part sounds alone is faint (windings at odd multiples, a mesh out of true, the shaft), and that
    nothing of it is heard proves nothing; false where no mesh is known.
    """
    meshes = [line.order / part for line in lines if line.family in FAMILIES[2:4]]
    roots = [line.order for line in lines if line.multiple == 1 and line.family in RICH]
    return bool(meshes) and all(any(_is_near_multiple(order, root) for root in roots) for order in meshes)


def _is_near_multiple(order: float, root: float) -> bool:
    return round(order / root) > 0 and abs(round(order / root) * root / order - 1.0) < STRAY_FROM_SHARE


def motor_of(lines: tuple[Line, ...]) -> Motor | None:
    """Return what the motor of a machine sounds; None where no line of it is known."""
    ratio = next((line.order / line.motor_turns for line in lines if line.motor_turns), None)
    if ratio is None:
        return None
    first = {line.family: line.order / ratio for line in lines if line.multiple == 1 and line.family in RICH}
    return Motor(ratio, first.get("gear mesh"), first.get("motor electrical"))


def motor_tones(motor: Motor) -> Floats:
    """Return at which multiples of its turns a motor and the gears on it sound, their run-out with them. Shapes: (o,).

    Source: run-out makes tones one turn either side of a mesh, any gear textbook.
    """
    found = [1.0]
    if motor.windings:
        found += [motor.windings * turn for turn in range(1, WINDINGS_TO + 1)]
    if motor.mesh:
        found += [motor.mesh * turn + side for turn in range(1, MESHES_TO + 1) for side in (-1.0, 0.0, 1.0)]
    return np.unique(found)


def parting(stretch: Stretch, lines: tuple[Line, ...], part: int, known: Floats) -> Parting:
    """Return what the tones of a steady stretch say of its head speed against a part of it.

    PART where tones stand that only the part makes, two or more than the speed's own; OWN where none does and two
    stand that only the speed makes; OPEN elsewhere.
    Shapes: known (o,): every multiple of the head's turns at which the machine may sound at the speed, told or not
    Valid: gears and motor; blades are asked for elsewhere.
    """
    motor = motor_of(lines)
    if motor is None:
        return Parting.OPEN
    hz, _ = strongest_tones(stretch.samples, stretch.rate_hz, MOST_TONES)
    at_speed = motor.ratio * motor_tones(motor)
    lower = at_speed / part
    for_part = _standing(stretch, hz, _apart(stretch, lower, known))
    for_speed = _standing(stretch, hz, _apart(stretch, at_speed, lower))
    if for_part > for_speed and (for_part >= FEWEST_ALONE or not for_speed):
        return Parting.PART
    return Parting.OWN if for_speed >= FEWEST_ALONE and not for_part else Parting.OPEN


def _apart(stretch: Stretch, orders: Floats, others: Floats) -> Floats:
    """Return the orders at which a tone cannot be taken for one at any of others. Shapes: (n,), (m,) -> (k,)."""
    near = np.maximum(STRAY_FROM_SHARE * orders, 2.0 * stretch.near_hz(stretch.head_hz * orders) / stretch.head_hz)
    return orders[(np.abs(np.subtract.outer(others, orders)) > near).all(axis=0)]


def _standing(stretch: Stretch, hz: Floats, orders: Floats) -> int:
    """Return at how many orders a tone stands."""
    places = stretch.head_hz * orders
    near = np.abs(hz[:, None] - places[None, :]) < stretch.near_hz(places)[None, :]
    return int(near.any(axis=0).sum())
