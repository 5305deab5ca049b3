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

    Equation: the greatest of: no-load speed of the full pack with most cells and a twentieth, 1.4 times the fastest
    flight mode, 1.2 times the head's limit.
    Valid: where one of the three is far too low in the machine file the others reach the head's own speed; else half of
    it would be found in its place.
    Source: margins are common practice, no source.
    """
    return max(OVER_NO_LOAD * no_load_rpm_of(machine), reach_rpm_of(machine))


def reach_rpm_of(machine: Machine) -> float:
    """Return up to where flight modes and limit leave room for a head speed, rpm; 0 with neither.

    Equation: the greater of 1.4 times the fastest flight mode and 1.2 times the head's limit
    Source: as `top_rpm_of`.
    """
    fastest = max((mode.head_speed.number for mode in machine.flight_mode), default=0.0)
    limit = machine.limit("limits.head_speed_max")
    return max(OVER_MODES * fastest, OVER_LIMIT * limit.value if limit else 0.0)


def no_load_rpm_of(machine: Machine) -> float:
    """Return the head speed that the drive reaches without load on the full pack with most cells, rpm; 0 without Kv.

    Equation: Kv x 4.2 V x cells / gear ratio
    Source: 4.2 V is a full lithium cell (any cell maker's sheet).
    """
    cells = max(machine.cells, *(int(pack.cells.number) for pack in machine.pack_choice), 0)
    return (gearing_of(machine).kv_rpm_v or 0.0) * FULL_CELL_V * cells / machine.gear_ratio


def _number(value: Value | None) -> float | None:
    return None if value is None else value.number
