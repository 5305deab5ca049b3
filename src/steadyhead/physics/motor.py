"""Motor: first-order machine with a no-load current that grows with speed and a winding that warms."""

from typing import NamedTuple


class Motor(NamedTuple):
    """What a kernel needs to know of a motor. SI.

    No-load current at speed w: no_load_a * ((1 - no_load_speed_share) + no_load_speed_share * w / no_load_speed_rad_s).
    """

    kv_rad_s_v: float
    resistance_20c_ohm: float
    no_load_a: float
    no_load_speed_rad_s: float
    no_load_speed_share: float
