"""Tail rotor: the thrust that holds the nose, and the power it costs."""

from typing import NamedTuple

from steadyhead.physics.air import Air
from steadyhead.physics.kernel import kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor import Rotor, axial_loads
from steadyhead.physics.trim import collective_for_thrust


class Tail(NamedTuple):
    """Tail rotor blades, speed ratio to the main rotor, and arm between the two shafts. SI."""

    rotor: Rotor
    ratio: float
    arm_m: float


class TailLoads(NamedTuple):
    """What the tail rotor gives and takes. SI; torque is felt at the main shaft, `code` is a trim.Stop."""

    thrust_n: float
    torque_at_main_shaft_nm: float
    power_w: float
    pitch_rad: float
    code: int


@kernel
def tail_loads(tail: Tail, section: Section, air: Air, main_speed_rad_s: float, main_torque_nm: float) -> TailLoads:
    """Thrust, torque at the main shaft, power and pitch of the tail rotor that holds a main-rotor torque.

    thrust = torque / arm; when the code is not DONE the tail cannot hold the nose and the most it gives is returned
    Valid: no side wind, no fin, no yaw rate, hover inflow (forward flight needs less); fin blockage left out.
    Source: moment balance about the main shaft; the rotor model at the tail's own size and speed.
    """
    speed = main_speed_rad_s * tail.ratio
    wanted = main_torque_nm / tail.arm_m
    pitch, code = collective_for_thrust(tail.rotor, section, air, speed, wanted, 0.0)
    loads = axial_loads(tail.rotor, section, air, speed, pitch, 0.0)
    return TailLoads(loads.thrust_n, loads.torque_nm * tail.ratio, loads.power_w, pitch, code)
