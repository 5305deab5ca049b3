"""[rotor] and [tail]: what the air sees."""

from typing import Annotated

from steadyhead.machine.keys import Count, Flag
from steadyhead.machine.tables.table import TYPICAL, UNKNOWN, Table, quantity
from steadyhead.words.value import Value


class RotorTable(Table):
    """[rotor]: the main rotor."""

    blades: Annotated[
        Value | None, Count(says="number of main blades", missing=TYPICAL, low=2, high=8, thing="blades")
    ] = None
    blade_length: Annotated[
        Value | None,
        quantity("length of one main blade, bolt to tip", "mm", 100, 1200, "600 mm", TYPICAL, doubt=0.005),
    ] = None
    radius: Annotated[Value | None, quantity("shaft to blade tip", "m", 0.12, 1.4, "0.66 m", TYPICAL, doubt=0.005)] = (
        None
    )
    root_cutout: Annotated[
        Value | None, quantity("shaft to where the blade section begins", "mm", 0, 500, "95 mm", TYPICAL, doubt=0.05)
    ] = None
    chord: Annotated[Value | None, quantity("blade width", "mm", 10, 200, "54 mm", TYPICAL, doubt=0.01)] = None
    twist: Annotated[
        Value | None, quantity("tip pitch minus root pitch; 0 for most model blades", "deg", -20, 10, "0 deg", TYPICAL)
    ] = None
    blade_mass: Annotated[
        Value | None, quantity("mass of one main blade", "g", 5, 1500, "130 g +- 1 g", TYPICAL, doubt=0.03)
    ] = None
    inertia: Annotated[
        Value | None,
        quantity(
            "moment of inertia of the whole main rotor about the shaft",
            "kg m2",
            1e-4,
            5,
            "0.036 kg m2",
            TYPICAL,
            doubt=0.1,
        ),
    ] = None
    hub_inertia: Annotated[
        Value | None,
        quantity("moment of inertia of head and shaft, blades off", "g m2", 0, 500, "0.7 g m2", TYPICAL, doubt=0.3),
    ] = None
    servo_lag: Annotated[
        Value | None, quantity("time in which the collective servos follow, 63 %", "ms", 0, 500, "40 ms", TYPICAL)
    ] = None
    collective_max: Annotated[Value | None, quantity("most collective you set", "deg", 2, 20, "12 deg", TYPICAL)] = None
    collective_min: Annotated[Value | None, quantity("least collective you set", "deg", -20, 5, "-12 deg", TYPICAL)] = (
        None
    )
    lift_factor: Annotated[
        Value | None, quantity("how far to trust the section's lift: 1 with a spread", "", 0.5, 1.5, "1.0", TYPICAL)
    ] = None
    drag_factor: Annotated[
        Value | None, quantity("how far to trust the section's drag: 1 with a spread", "", 0.3, 3, "1.0", TYPICAL)
    ] = None


class TailTable(Table):
    """[tail]: the tail rotor and its drive."""

    blades: Annotated[
        Value | None, Count(says="number of tail blades", missing=TYPICAL, low=2, high=8, thing="blades")
    ] = None
    radius: Annotated[
        Value | None, quantity("tail shaft to tail blade tip", "mm", 30, 400, "130 mm", TYPICAL, doubt=0.01)
    ] = None
    root_cutout: Annotated[
        Value | None, quantity("tail shaft to where the section begins", "mm", 0, 150, "30 mm", TYPICAL, doubt=0.05)
    ] = None
    chord: Annotated[Value | None, quantity("tail blade width", "mm", 5, 80, "27 mm", TYPICAL, doubt=0.02)] = None
    ratio: Annotated[Value | None, quantity("tail rotor turns for one main rotor turn", "", 2, 8, "4.5", TYPICAL)] = (
        None
    )
    arm: Annotated[
        Value | None, quantity("main shaft to tail shaft", "mm", 100, 2000, "800 mm", TYPICAL, doubt=0.01)
    ] = None
    driven_in_autorotation: Annotated[
        bool | None,
        Flag(says="whether the tail keeps turning with the rotor when the motor stops", missing=UNKNOWN),
    ] = None
