"""[gears], [motor], [controller], [pack] and [[pack_choice]]: from the pack to the main shaft."""

from typing import Annotated

from steadyhead.machine.keys import Count, Words
from steadyhead.machine.tables.table import REQUIRED, TYPICAL, UNKNOWN, UNUSED, Table, quantity
from steadyhead.words.value import Value


class GearsTable(Table):
    """[gears]: pinion and main gear, one stage or two."""

    pinion_teeth: Annotated[
        Value, Count(says="teeth of the motor pinion", missing=REQUIRED, low=8, high=200, thing="teeth")
    ]
    main_gear_teeth: Annotated[
        Value,
        Count(says="teeth of the gear that the pinion drives", missing=REQUIRED, low=12, high=400, thing="teeth"),
    ]
    second_pinion_teeth: Annotated[
        Value | None,
        Count(says="second stage: teeth of the driving gear", missing=UNUSED, low=8, high=200, thing="teeth"),
    ] = None
    second_gear_teeth: Annotated[
        Value | None,
        Count(says="second stage: teeth of the driven gear", missing=UNUSED, low=12, high=400, thing="teeth"),
    ] = None
    efficiency: Annotated[
        Value | None, quantity("efficiency of all meshes together", "", 0.5, 1, "0.96", TYPICAL, doubt=0.015)
    ] = None
    drag_torque: Annotated[
        Value | None,
        quantity("constant drag of bearings and belts, at the main shaft", "N m", 0, 2, "0.06 N m", TYPICAL, doubt=0.3),
    ] = None
    module: Annotated[
        Value | None,
        quantity("gear module of the pinion's mesh: pitch diameter over teeth", "mm", 0.2, 3, "0.7 mm", UNKNOWN),
    ] = None
    face_width: Annotated[
        Value | None, quantity("width of the teeth that mesh with the pinion", "mm", 1, 60, "8 mm", UNKNOWN)
    ] = None
    pinion_stress_max: Annotated[
        Value | None,
        quantity("bending stress that a pinion tooth may see again and again", "MPa", 5, 1500, "200 MPa", UNKNOWN),
    ] = None
    main_gear_stress_max: Annotated[
        Value | None,
        quantity("the same for a tooth of the gear that the pinion drives", "MPa", 5, 1500, "35 MPa", UNKNOWN),
    ] = None
    one_way_torque_max: Annotated[
        Value | None, quantity("torque that the one-way bearing carries", "N m", 0.1, 1000, "60 N m", UNKNOWN)
    ] = None
    one_way_play: Annotated[
        Value | None, quantity("turn of the one-way bearing until it bites", "deg", 0, 30, "2 deg", UNKNOWN)
    ] = None
    train_stiffness: Annotated[
        Value | None,
        quantity("twisting stiffness from pinion to head, felt at the head", "N m/rad", 1, 1e5, "300 N m/rad", UNKNOWN),
    ] = None


class MotorTable(Table):
    """[motor]: the brushless motor."""

    kv: Annotated[Value, quantity("motor speed per volt", "rpm/V", 50, 10000, "560 rpm/V", REQUIRED, doubt=0.04)]
    resistance: Annotated[
        Value | None,
        quantity(
            "winding resistance from terminal to terminal at 20 C", "mohm", 0.5, 2000, "14 mohm", TYPICAL, doubt=0.15
        ),
    ] = None
    no_load_current: Annotated[
        Value | None, quantity("current with nothing on the shaft", "A", 0.05, 30, "2.4 A", TYPICAL, doubt=0.15)
    ] = None
    no_load_voltage: Annotated[
        Value | None, quantity("voltage at which that current was read", "V", 1, 80, "20 V", TYPICAL, doubt=0.02)
    ] = None
    no_load_speed_share: Annotated[
        Value | None,
        quantity("share of the no-load current that grows with speed", "", 0, 1, "0.5", TYPICAL),
    ] = None
    inertia: Annotated[
        Value | None,
        quantity("moment of inertia of what turns at motor speed", "g m2", 0, 50, "0.1 g m2", TYPICAL, doubt=0.3),
    ] = None
    poles: Annotated[
        Value | None,
        Count(
            says="magnet poles (twice the pole pairs)",
            missing=UNKNOWN,
            low=2,
            high=60,
            even=True,
            thing="poles",
        ),
    ] = None
    current_max: Annotated[Value | None, quantity("most current the maker allows", "A", 1, 1000, "110 A", UNKNOWN)] = (
        None
    )
    winding_temperature_max: Annotated[
        Value | None, quantity("hottest winding the maker allows", "degC", 40, 250, "120 degC", UNKNOWN)
    ] = None
    winding_heat_capacity: Annotated[
        Value | None, quantity("heat that warms the copper by 1 K", "J/K", 0.5, 2000, "26 J/K", TYPICAL, doubt=0.2)
    ] = None
    winding_to_case: Annotated[
        Value | None, quantity("heat resistance from winding to case", "K/W", 0.01, 50, "0.7 K/W", TYPICAL, doubt=0.3)
    ] = None
    case_heat_capacity: Annotated[
        Value | None,
        quantity("heat that warms the rest of the motor by 1 K", "J/K", 1, 5000, "100 J/K", TYPICAL, doubt=0.2),
    ] = None
    case_to_air: Annotated[
        Value | None, quantity("heat resistance from case to air", "K/W", 0.01, 50, "1.0 K/W", TYPICAL, doubt=0.3)
    ] = None


class ControllerTable(Table):
    """[controller]: the speed controller (ESC)."""

    resistance: Annotated[
        Value | None,
        quantity("resistance of the current path through it", "mohm", 0.05, 100, "1.6 mohm", TYPICAL, doubt=0.2),
    ] = None
    switching_frequency: Annotated[Value | None, quantity("switching frequency", "kHz", 1, 200, "8 kHz", TYPICAL)] = (
        None
    )
    switching_loss_time: Annotated[
        Value | None,
        quantity("time lost in transitions, all of one period together", "us", 0, 20, "1 us", TYPICAL, doubt=0.3),
    ] = None
    ripple_factor: Annotated[
        Value | None, quantity("scale of the extra loss at part duty", "", 0, 5, "1.0", TYPICAL)
    ] = None
    freewheel_drop: Annotated[
        Value | None,
        quantity(
            "voltage lost while the current freewheels: near 0 V in transistors, 0.8 V in diodes",
            "V",
            0,
            2,
            "0.2 V",
            TYPICAL,
        ),
    ] = None
    current_continuous: Annotated[
        Value | None, quantity("current it may carry all the time", "A", 1, 1000, "120 A", UNKNOWN)
    ] = None
    current_burst: Annotated[
        Value | None, quantity("current it may carry for seconds", "A", 1, 2000, "160 A", UNKNOWN)
    ] = None
    temperature_max: Annotated[
        Value | None, quantity("hottest it may become", "degC", 40, 200, "100 degC", UNKNOWN)
    ] = None
    heat_capacity: Annotated[
        Value | None, quantity("heat that warms it by 1 K", "J/K", 1, 2000, "80 J/K", TYPICAL, doubt=0.3)
    ] = None
    to_air: Annotated[
        Value | None, quantity("heat resistance to the air", "K/W", 0.02, 50, "1.1 K/W", TYPICAL, doubt=0.3)
    ] = None


class PackTable(Table):
    """[pack]: the flight pack."""

    cells: Annotated[Value, Count(says="cells in series", missing=REQUIRED, low=1, high=20, thing="cells")]
    capacity: Annotated[Value, quantity("capacity", "mAh", 100, 30000, "3300 mAh", REQUIRED, doubt=0.05)]
    resistance: Annotated[
        Value | None,
        quantity("resistance of the whole pack at 25 C", "mohm", 0.5, 1000, "30 mohm", TYPICAL, doubt=0.2),
    ] = None
    slow_resistance: Annotated[
        Value | None,
        quantity("further resistance that builds up under load", "mohm", 0, 1000, "12 mohm", TYPICAL, doubt=0.3),
    ] = None
    slow_time: Annotated[
        Value | None, quantity("time in which it builds up", "s", 0.5, 1000, "20 s", TYPICAL, doubt=0.3)
    ] = None
    cell_rest_offset: Annotated[
        Value | None,
        quantity(
            "how far a rested cell lies above the curve of this manual, by its make", "V", -0.3, 0.3, "0 V", TYPICAL
        ),
    ] = None
    resistance_when_new: Annotated[
        Value | None,
        quantity(
            "whole-pack resistance at 25 C when the pack was new", "mohm", 0.5, 1000, "30 mohm", UNKNOWN, doubt=0.1
        ),
    ] = None
    current_continuous: Annotated[
        Value | None, quantity("current the maker allows all the time", "A", 1, 1000, "100 A", UNKNOWN)
    ] = None
    current_burst: Annotated[
        Value | None, quantity("current the maker allows for seconds", "A", 1, 2000, "200 A", UNKNOWN)
    ] = None
    cell_voltage_min: Annotated[
        Value | None, quantity("lowest cell voltage under load", "V", 2.5, 4.0, "3.3 V", TYPICAL)
    ] = None
    reserve: Annotated[Value | None, quantity("charge left when you land", "", 0, 0.9, "0.2", TYPICAL)] = None
    cold: Annotated[Value | None, quantity("coldest pack that is planned for", "degC", -20, 45, "10 degC", TYPICAL)] = (
        None
    )
    warm: Annotated[Value | None, quantity("warm pack that is planned for", "degC", 0, 60, "35 degC", TYPICAL)] = None


class PackChoice(Table):
    """[[pack_choice]]: another pack you could fly."""

    name: Annotated[str, Words(says="what you call this pack", missing=REQUIRED)]
    cells: Annotated[Value, Count(says="cells in series", missing=REQUIRED, low=1, high=20, thing="cells")]
    capacity: Annotated[Value, quantity("capacity", "mAh", 100, 30000, "3700 mAh", REQUIRED, doubt=0.05)]
    resistance: Annotated[
        Value | None,
        quantity("resistance of the whole pack at 25 C", "mohm", 0.5, 1000, "26 mohm", TYPICAL, doubt=0.2),
    ] = None
    mass: Annotated[Value | None, quantity("mass of this pack", "g", 20, 5000, "1020 g", UNKNOWN, doubt=0.03)] = None
