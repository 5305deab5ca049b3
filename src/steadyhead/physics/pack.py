"""Pack: open-circuit curve over charge, resistance by temperature and charge, one RC pair."""

from typing import NamedTuple


class Pack(NamedTuple):
    """What a kernel needs to know of a pack. SI; resistances of the whole pack at 25 C and 50 % charge."""

    cells: float
    capacity_as: float
    resistance_25c_ohm: float
    slow_resistance_25c_ohm: float
    slow_time_s: float
