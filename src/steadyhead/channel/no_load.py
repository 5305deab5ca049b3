"""Readings that a motor cannot drive: above what Kv, pack and gears give without any load, governed or idling."""

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
    most_rpm = _most_rpm(machine)
    return most_rpm if most_rpm is not None and reading.head_speed_rpm > most_rpm else None


def most_idle_rpm(machine: Machine) -> float | None:
    """Return the highest head speed at which the motor can be said to idle, rpm; 0 where it does not idle.

    head speed = (idle duty + its doubt) · Kv · 4.2 V · cells / gear ratio · 1.15
    Valid: None where Kv or the idle duty is not known.
    Source: no-load speed of a DC machine, common to machines textbooks.
    """
    if machine.run_logic.idles_after_running is False:
        return 0.0
    duty, most_rpm = machine.value("governor.idle_duty"), _most_rpm(machine)
    return None if duty is None or most_rpm is None else (duty.si + duty.spread_si) * most_rpm


def _most_rpm(machine: Machine) -> float | None:
    kv = machine.value("motor.kv")
    if kv is None:
        return None
    return kv.si * 30.0 / math.pi * FULL_CELL_V * machine.cells / machine.gear_ratio * KV_OFF
