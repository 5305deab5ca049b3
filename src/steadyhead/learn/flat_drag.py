"""What blades at flat pitch ask of the head, by the blade elements: the measure that a log's drag is held against."""

import math
from typing import NamedTuple

from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.rotor import axial_loads
from steadyhead.physics.tail_curve import TailCurve, tail_curve, tail_torque

SLOWER = 0.6
TAIL_REACH = 6.0
"""Of the drag at flat pitch: at a third of the speed a soft start takes about so much more to speed the head up."""


class FlatDrag(NamedTuple):
    """Torque at the head for a drag factor of 1, and how it grows with speed. SI.

    `driven_nm` counts main and tail blades at flat pitch, `coasting_nm` those that a coasting head still turns;
    `main_nm` is the part of the main blades. `tail` says what the tail takes on top while it holds the nose against
    what turns the airframe: the drag of the main blades and what speeds the head up.
    """

    reference_rad_s: float
    driven_nm: float
    coasting_nm: float
    main_nm: float
    tail: TailCurve
    exponent: float


def flat_drag(machine: Machine, reference_rad_s: float, flat_deg: float | None) -> FlatDrag:
    """Return the torque of the blades at flat pitch on the ground.

    q = q_main + q_tail; exponent from the speeds w and 0.6 w
    Valid: ground effect left out; the file's own drag factor is taken out, since it is what is looked for.
    """
    machine = machine.replaced({"rotor.drag_factor": 1.0})
    rotor, section, air = si.rotor(machine), si.section(machine), si.air(machine)
    pitch = math.radians(flat_deg or 0.0)
    main = axial_loads(rotor, section, air, reference_rad_s, pitch, 0.0).torque_nm
    slower = axial_loads(rotor, section, air, SLOWER * reference_rad_s, pitch, 0.0).torque_nm
    curve = tail_curve(si.tail(machine), section, air, reference_rad_s, TAIL_REACH * main)
    idle = tail_torque(curve, reference_rad_s, 0.0)
    on_head = machine.tail.driven_in_autorotation is not False
    return FlatDrag(
        reference_rad_s=reference_rad_s,
        driven_nm=main + idle,
        coasting_nm=main + idle if on_head else main,
        main_nm=main,
        tail=curve,
        exponent=math.log(main / slower) / math.log(1.0 / SLOWER),
    )
