"""Air: ISO 2533 standard atmosphere and what a kernel needs to know of the air."""

from typing import NamedTuple


class Air(NamedTuple):
    """What a kernel needs to know of the air. SI."""

    density_kg_m3: float
    speed_of_sound_m_s: float
    kinematic_viscosity_m2_s: float
