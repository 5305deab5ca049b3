"""What a log reader needs to know of a machine, from the machine."""

import math

from steadyhead.machine.description import Machine
from steadyhead.trace.gearing import Gearing
from steadyhead.words.value import Value

RPM_PER_RAD_S = 30.0 / math.pi


def gearing_of(machine: Machine) -> Gearing:
    """Return ratio, pole pairs, cells, motor constant and pulse ends of a machine; None where unknown.

    A typical pulse end is left out: the log itself knows better.
    """
    return Gearing(
        ratio=machine.gear_ratio,
        pole_pairs=machine.pole_pairs,
        cells=float(machine.cells),
        kv_rpm_v=machine.motor.kv.si * RPM_PER_RAD_S if machine.motor.kv else None,
        pulse_low_us=_microseconds(machine.channel.pulse_low),
        pulse_high_us=_microseconds(machine.channel.pulse_high),
        head_speeds_rpm=tuple(mode.head_speed.si * RPM_PER_RAD_S for mode in machine.flight_mode),
    )


def _microseconds(pulse: Value | None) -> float | None:
    return None if pulse is None or pulse.is_typical else pulse.si * 1e6
