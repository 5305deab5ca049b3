"""What is possible but unlikely: a stated value far outside what its size class has is worth a second look."""

from collections.abc import Iterator

from steadyhead.machine.description import COMMON_PRACTICE, Machine
from steadyhead.machine.keys import Quantity
from steadyhead.machine.typical import BY_SIZE, class_band, interpolated
from steadyhead.machine.units import FAMILIES, RPM
from steadyhead.words.value import Value

TIP_SPEED_BAND = (110.0, 175.0)
"""m/s in hover: common practice, no source."""
HEAD_SPEED_BAND = ((2400, 3400), (2200, 2900), (1900, 2600), (1700, 2400), (1500, 2250))
"""rpm, by the classes of `typical`: common practice, no source."""
CELLS_BAND = ((3, 6), (6, 6), (6, 12), (6, 12), (10, 14))
"""Cells in series, by the classes of `typical`: common practice, no source."""
CELL_VOLTS = 4.2
"""A full cell: with less than this no drive reaches further."""
FAR = 1.25
"""How far outside the band of its class a stated value may lie, as a factor, before it is remarked."""


def remarks(machine: Machine) -> tuple[str, ...]:
    """Return one sentence for each stated value that looks like a slip; none of them is an error."""
    return (*_out_of_band(machine), *_cells(machine), *_lengths(machine), *_head_speeds(machine), *_reach(machine))


def _out_of_band(machine: Machine) -> Iterator[str]:
    for key in BY_SIZE:
        value, declared = machine.value(key), machine.declared(key)
        if value is None or value.is_typical or not isinstance(declared, Quantity):
            continue
        unit = BY_SIZE[key][0]
        low, high = class_band(machine.size_class, key)
        number = value.si / FAMILIES[declared.kind.family][unit].factor
        if not low / FAR <= number <= high * FAR:
            yield _outside(machine, f"{key} is {value}", low, high, unit)


def _cells(machine: Machine) -> Iterator[str]:
    low, high = interpolated(machine.size_class, CELLS_BAND)
    if not machine.pack.cells.is_typical and not low / FAR <= machine.cells <= high * FAR:
        yield _outside(machine, f"pack.cells is {machine.cells}", low, high, "cells")


def _lengths(machine: Machine) -> Iterator[str]:
    radius, length = machine.rotor.radius, machine.rotor.blade_length
    if radius and length and not 1.02 * length.si <= radius.si <= 1.3 * length.si:
        yield (
            f"rotor.radius is {radius} and rotor.blade_length {length}: "
            f"the radius is usually 5 to 20 % more than the blade ({COMMON_PRACTICE})"
        )


def _head_speeds(machine: Machine) -> Iterator[str]:
    radius = machine.rotor.radius
    if radius is None:
        return
    for mode in machine.flight_mode:
        tip = mode.head_speed.si * radius.si
        slow = interpolated(machine.size_class, HEAD_SPEED_BAND)[0] / FAR
        low, high = TIP_SPEED_BAND
        if tip > high or (tip < low and mode.head_speed.si < slow * RPM):
            yield (
                f"flight mode {mode.name}: {_said(mode.head_speed)} is a tip speed of {tip:.0f} m/s, "
                f"usual is {low:g} to {high:g} m/s ({COMMON_PRACTICE})"
            )


def _reach(machine: Machine) -> Iterator[str]:
    ceiling = machine.motor.kv.si * machine.cells * CELL_VOLTS / machine.gear_ratio
    for mode in machine.flight_mode:
        if mode.head_speed.si > ceiling:
            yield (
                f"flight mode {mode.name}: motor.kv, {machine.cells} full cells and a gear ratio of "
                f"{machine.gear_ratio:.4g} reach {ceiling / RPM:.0f} rpm without any load, "
                f"less than the {_said(mode.head_speed)} asked for"
            )


def _outside(machine: Machine, what: str, low: float, high: float, unit: str) -> str:
    usual = f"{low:.3g} {unit}" if low == high else f"{low:.3g} to {high:.3g} {unit}"
    return f"{what}: usual for a {machine.size_class} class machine is {usual} ({COMMON_PRACTICE})"


def _said(value: Value) -> str:
    return f"{value.number:g} {value.unit}"
