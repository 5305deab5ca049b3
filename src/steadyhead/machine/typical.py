"""What is left out is filled from the size class, marked typical, with a wide spread: common practice, no source."""

from steadyhead.machine.derived import DERIVED, blade_length, pack_resistance
from steadyhead.machine.description import COMMON_PRACTICE, Machine
from steadyhead.machine.keys import Quantity
from steadyhead.machine.kind import Kind
from steadyhead.machine.quantity import parsed
from steadyhead.machine.units import FAMILIES
from steadyhead.words.value import Origin, Value

SIZES = (450.0, 500.0, 550.0, 600.0, 700.0)
"""Classes of the rows below; between them is interpolated."""

Bands = tuple[tuple[float, float], ...]

BY_SIZE: dict[str, tuple[str, Bands]] = {
    "airframe.mass": ("kg", ((0.8, 1.0), (1.6, 2.1), (2.6, 3.4), (3.2, 4.1), (4.7, 5.6))),
    "airframe.drag_area": ("cm2", ((35, 105), (60, 180), (85, 255), (95, 285), (130, 390))),
    "rotor.blade_length": ("mm", ((320, 450), (420, 500), (535, 555), (590, 610), (680, 705))),
    "rotor.chord": ("mm", ((32, 34), (40, 43), (50, 54), (52, 56), (58, 63))),
    "rotor.blade_mass": ("g", ((25, 35), (65, 80), (105, 120), (120, 140), (170, 205))),
    "rotor.hub_inertia": ("g m2", ((0.04, 0.12), (0.11, 0.33), (0.23, 0.7), (0.35, 1.05), (0.8, 2.4))),
    "motor.inertia": ("g m2", ((0.003, 0.01), (0.014, 0.042), (0.03, 0.09), (0.05, 0.15), (0.1, 0.32))),
    "tail.radius": ("mm", ((70, 90), (85, 110), (100, 125), (115, 140), (125, 155))),
    "tail.chord": ("mm", ((16, 22), (19, 25), (22, 28), (24, 30), (26, 32))),
    "gears.drag_torque": ("N m", ((0.01, 0.03), (0.02, 0.06), (0.03, 0.09), (0.03, 0.10), (0.04, 0.14))),
    "motor.resistance": ("mohm", ((15, 45), (12, 36), (10, 30), (8, 24), (6, 18))),
    "motor.no_load_current": ("A", ((0.8, 2.4), (1.1, 3.3), (1.3, 3.9), (1.5, 4.5), (1.7, 5.1))),
    "motor.winding_heat_capacity": ("J/K", ((4, 12), (7, 21), (10, 30), (13, 39), (20, 60))),
    "motor.winding_to_case": ("K/W", ((1.0, 3.0), (0.7, 2.1), (0.5, 1.5), (0.4, 1.2), (0.3, 0.9))),
    "motor.case_heat_capacity": ("J/K", ((15, 45), (28, 84), (40, 120), (50, 150), (80, 240))),
    "motor.case_to_air": ("K/W", ((0.35, 1.1), (0.25, 0.75), (0.18, 0.54), (0.15, 0.45), (0.1, 0.3))),
    "controller.resistance": ("mohm", ((1.5, 4.5), (1.3, 3.9), (1.0, 3.0), (0.8, 2.4), (0.6, 1.8))),
    "controller.heat_capacity": ("J/K", ((12, 36), (25, 75), (35, 105), (45, 135), (60, 180))),
    "controller.to_air": ("K/W", ((1.8, 5.4), (1.1, 3.3), (0.8, 2.4), (0.6, 1.8), (0.5, 1.5))),
}
"""The 90 % interval of each class. Masses and chords: common practice, no source; the rest our estimate."""

SAME_FOR_ALL: dict[str, str] = {
    "rotor.twist": "0 deg +- 0.2 deg",
    "rotor.collective_max": "12 deg +- 0.5 deg",
    "rotor.lift_factor": "1.0 +- 7 %",
    "rotor.drag_factor": "1.0 +- 25 %",
    "tail.ratio": "4.6 +- 12 %",
    "gears.efficiency": "0.96 +- 0.02",
    "motor.no_load_speed_share": "0.5 +- 0.4",
    "controller.switching_frequency": "12 kHz +- 4 kHz",
    "controller.switching_loss_time": "1 us +- 50 %",
    "controller.ripple_factor": "1.0 +- 80 %",
    "controller.freewheel_drop": "0.2 V +- 0.2 V",
    "pack.slow_time": "20 s +- 50 %",
    "pack.cell_rest_offset": "0 V +- 0.08 V",
    "pack.cell_voltage_min": "3.3 V",
    "pack.reserve": "0.2",
    "pack.cold": "10 degC",
    "pack.warm": "35 degC",
    "channel.pulse_low": "1000 us +- 100 us",
    "channel.pulse_high": "2000 us +- 100 us",
    "channel.travel_low": "100 %",
    "channel.travel_high": "100 %",
    "channel.step": "1 us",
    "channel.jitter": "1 us",
    "channel.hold": "0 %",
    "channel.frame": "20 ms +- 10 ms",
    "rotor.servo_lag": "40 ms +- 50 %",
    "governor.rate": "250 Hz +- 60 %",
    "governor.gain": "1.2 +- 60 %",
    "governor.integral_time": "0.4 s +- 60 %",
    "governor.derivative_time": "0 s",
    "governor.collective_feed": "0.08 +- 100 %",
    "governor.duty_low": "0",
    "governor.duty_high": "1",
    "governor.idle_duty": "0.06 +- 50 %",
    "governor.filter_time": "5 ms +- 60 %",
    "governor.sensor_delay": "2 ms +- 60 %",
    "governor.sensor_step": "1 rpm",
    "governor.set_rate": "20 %/s +- 50 %",
    "site.elevation": "0 m +- 300 m",
    "site.temperature": "20 degC +- 10 K",
    "limits.tip_speed_max": "175 m/s",
    "limits.tip_mach_max": "0.65",
    "limits.duty_max": "0.95",
    "limits.hover_duty_low": "0.65",
    "limits.hover_duty_high": "0.85",
    "limits.load_factor": "2.5",
    "limits.forward_speed": "25 m/s",
    "limits.load_held": "8 s",
    "limits.steady_band": "1 %",
    "limits.droop": "4 %",
    "limits.overspeed": "5 %",
    "limits.undershoot": "5 %",
    "limits.recovery": "1 s",
    "limits.recovery_band": "1 %",
    "limits.hunting": "0.5 %",
    "limits.soft_spool_low": "10 s",
    "limits.soft_spool_high": "25 s",
    "limits.quick_spool_low": "1 s",
    "limits.quick_spool_high": "3 s",
    "limits.restart_prompt": "0.3 s",
    "limits.hold_stop": "0.1 s",
    "limits.pack_resistance_growth": "1.5",
    "limits.charge_left": "0.2",
    "limits.touchdown_sink": "1.5 m/s",
    "limits.touchdown_speed": "2 m/s",
}
NOTES = {key: "doubt of the bundled section table, stated there" for key in ("rotor.lift_factor", "rotor.drag_factor")}
BLADES = 2.0


def with_typical(machine: Machine) -> Machine:
    """Return the machine with every gap filled for which there is a typical or a derived value."""
    if machine.rotor.radius and machine.rotor.blade_length is None:
        machine = machine.filled({"rotor.blade_length": blade_length(machine)})
    for key in (*BY_SIZE, *SAME_FOR_ALL):
        if machine.value(key) is None:
            machine = machine.filled({key: class_value(machine, key)})
    for key in ("rotor.blades", "tail.blades"):
        if machine.value(key) is None:
            machine = machine.filled(
                {
                    key: Value(
                        number=BLADES, unit="", si=BLADES, spread_si=0.0, origin=Origin.TYPICAL, note=COMMON_PRACTICE
                    )
                }
            )
    for key, rule in DERIVED.items():
        if machine.value(key) is None:
            machine = machine.filled({key: rule(machine)})
    for number, choice in enumerate(machine.pack_choice, start=1):
        if choice.resistance is None:
            value = pack_resistance(choice.cells, choice.capacity)
            machine = machine.filled({f"pack_choice.{number}.resistance": value})
    return machine


def class_value(machine: Machine, key: str) -> Value:
    """Return the typical value of `key` for the size class of `machine`."""
    declared = machine.declared(key)
    if not isinstance(declared, Quantity):
        raise TypeError(key)
    kind = declared.kind
    if key in SAME_FOR_ALL:
        note = NOTES.get(key, COMMON_PRACTICE)
        return parsed({"value": SAME_FOR_ALL[key], "from": "typical", "note": note}, kind)
    unit = BY_SIZE[key][0]
    low, high = (FAMILIES[kind.family][unit].factor * end for end in class_band(machine.size_class, key))
    return typical_value((low + high) / 2.0, (high - low) / 2.0, unit, kind)


def class_band(size_class: float, key: str) -> tuple[float, float]:
    """Return the 90 % interval of `key` for a size class, in the unit of BY_SIZE."""
    return interpolated(size_class, BY_SIZE[key][1])


def interpolated(size_class: float, bands: Bands) -> tuple[float, float]:
    """Return a band between the rows of SIZES; below the first row that row, above the last the slope goes on."""
    size_class = max(size_class, SIZES[0])
    at = 1
    while at < len(SIZES) - 1 and size_class > SIZES[at]:
        at += 1
    share = (size_class - SIZES[at - 1]) / (SIZES[at] - SIZES[at - 1])
    low, high = (bands[at - 1][end] + share * (bands[at][end] - bands[at - 1][end]) for end in (0, 1))
    return low, high


def typical_value(si: float, spread_si: float, unit: str, kind: Kind) -> Value:
    """Return a value marked typical, shown in `unit`."""
    number = round(kind.number_in(si, unit), 9)
    return Value(
        number=number,
        unit=unit,
        si=si,
        spread_si=spread_si,
        origin=Origin.TYPICAL,
        note=COMMON_PRACTICE,
        unit_si=FAMILIES[kind.family][unit].factor,
    )
