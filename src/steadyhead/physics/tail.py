"""Tail rotor: the thrust that holds the nose, and the power it costs."""

from typing import NamedTuple

from steadyhead.physics.rotor import Rotor


class Tail(NamedTuple):
    """Tail rotor blades, speed ratio to the main rotor, and arm between the two shafts. SI."""

    rotor: Rotor
    ratio: float
    arm_m: float
