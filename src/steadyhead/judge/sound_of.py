"""What a listener needs to know of a machine, from the machine: its lines and its highest speed."""

from steadyhead.judge.gearing_of import gearing_of
from steadyhead.machine.description import Machine
from steadyhead.trace.sound_lines import SoundGearing
from steadyhead.words.value import Value

FULL_CELL_V = 4.2
OVER_NO_LOAD = 1.05
OVER_MODES = 1.4
OVER_LIMIT = 1.2


def sound_gearing_of(machine: Machine) -> SoundGearing:
    """Return what of a machine makes lines; None where unknown."""
    gears = machine.gears
    first = machine.gear_ratio * gears.pinion_teeth.number
    second = () if gears.second_gear_teeth is None else (gears.second_gear_teeth.number,)
    return SoundGearing(
        blades=_number(machine.rotor.blades),
        tail_blades=_number(machine.tail.blades),
        tail_ratio=_number(machine.tail.ratio),
        mesh_teeth=(first, *second),
        motor_ratio=machine.gear_ratio,
        pole_pairs=machine.pole_pairs,
    )


def top_rpm_of(machine: Machine) -> float:
    """Return the highest head speed that is listened for, rpm.

    Equation: no-load speed of a full pack, at most 1.4 times the fastest flight mode or 1.2 times the head's limit.
    Source: 4.2 V is a full lithium cell (any cell maker's sheet); the margins are common practice, no source.
    """
    gearing = gearing_of(machine)
    no_load = (gearing.kv_rpm_v or 0.0) * FULL_CELL_V * machine.cells / machine.gear_ratio * OVER_NO_LOAD
    fastest = max((mode.head_speed.number for mode in machine.flight_mode), default=0.0)
    limit = machine.limit("limits.head_speed_max")
    usual = max(OVER_MODES * fastest, OVER_LIMIT * limit.value if limit else 0.0)
    return min(no_load, usual) if usual > 0.0 else no_load


def _number(value: Value | None) -> float | None:
    return None if value is None else value.number
