"""One rotor, main or tail: blade-element momentum theory."""

from typing import NamedTuple


class Rotor(NamedTuple):
    """Rectangular blades with linear twist. SI; twist is tip minus root pitch, 0 for most model blades."""

    blades: float
    radius_m: float
    root_cutout_m: float
    chord_m: float
    twist_rad: float


class RotorLoads(NamedTuple):
    """What a rotor gives and takes at one operating point. SI; `stalled_share` is the share of the disc past stall."""

    thrust_n: float
    torque_nm: float
    power_w: float
    induced_power_w: float
    profile_power_w: float
    inflow_m_s: float
    stalled_share: float
