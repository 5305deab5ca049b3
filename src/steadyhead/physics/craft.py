"""What a flight is made of: the machine as kernels see it, its state, and what acts on it."""

import math
from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.controller import Controller
from steadyhead.physics.gears import Gears
from steadyhead.physics.held import Heats
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Pack
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Rotor
from steadyhead.physics.tail_curve import TailCurve

GRAVITY_M_S2 = 9.80665
"""Standard gravity. Source: ISO 80000-3 (from memory)."""


class Body(NamedTuple):
    """Masses and surroundings. SI.

    `head_kg_m2` turns with the head (blades, hub, shaft), `motor_kg_m2` at motor speed; `head_drag_nm` is the constant
    drag on the head's side of the one-way bearing, that of `gears` the one on the motor's side. `blades_on` 0: a bench
    without main and tail blades, held down. `tail_on_head` 1: the tail is driven from the head's side of the bearing.
    """

    mass_kg: float
    drag_area_m2: float
    head_kg_m2: float
    motor_kg_m2: float
    head_drag_nm: float
    blades_on: float
    tail_on_head: float
    pack_k: float
    air_k: float


class Craft(NamedTuple):
    """The whole machine in its air."""

    motor: Motor
    controller: Controller
    pack: Pack
    gears: Gears
    heats: Heats
    rotor: Rotor
    section: Section
    air: Air
    tail: TailCurve
    body: Body


class State(NamedTuple):
    """What changes with time, the inflow of the rings left out. SI; `locked` 1 while the one-way bearing carries."""

    head_rad_s: float
    motor_rad_s: float
    height_m: float
    climb_m_s: float
    charge: float
    slow_v: float
    winding_k: float
    case_k: float
    controller_k: float
    locked: float


class Acting(NamedTuple):
    """What acts from outside during one step. SI; apparent weight is `load_factor` times the weight.

    `guide_n` pushes up, to follow a logged height; `load_nm` takes the rotor's place where a log tells the torque, and
    is no number everywhere else.
    """

    duty: float
    collective_rad: float
    forward_m_s: float = 0.0
    forward_rate_m_s2: float = 0.0
    load_factor: float = 1.0
    guide_n: float = 0.0
    load_nm: float = math.nan


class Held(NamedTuple):
    """Loads held steady over one step, at its middle. SI; `tilt_rad` is the disc's angle nose down.

    `lift_n` acts upwards, `pull_n` forwards, the airframe's drag downwards and back.
    """

    thrust_n: float
    torque_nm: float
    rearward_n: float
    inflow_m_s: float
    stalled_share: float
    tail_nm: float
    tilt_rad: float
    lift_n: float
    pull_n: float
    drag_up_n: float
    drag_back_n: float


NO_LOADS = Held(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


class Drawn(NamedTuple):
    """What the step before carried and drew: bearing torque, pack current, and how fast the parts warmed. SI."""

    bearing_nm: float
    pack_current_a: float
    winding_k_s: float
    case_k_s: float
    controller_k_s: float


NOTHING_DRAWN = Drawn(0.0, 0.0, 0.0, 0.0, 0.0)
