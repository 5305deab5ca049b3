"""What follows from other values: derived from stated ones, typical as soon as one of them is typical."""

import math
from collections.abc import Callable
from typing import NamedTuple

from steadyhead.machine.description import COMMON_PRACTICE, Machine
from steadyhead.words.value import Origin, Value

GRIP_SHARE = 0.105
"""Main shaft to blade bolt as a share of the blade length: common practice, no source."""
GRIP_DOUBT = 0.02
"""90 % half width of that share."""
PACK_OHM_AS = 8.5e-3 * 3600.0
"""Cell resistance times capacity: 1.5 to 4 mohm for cells of 2 to 6 Ah; common practice, no source."""
CELL_V = 3.7
"""Nominal voltage of a lithium-polymer cell: common practice, no source."""


class Rule(NamedTuple):
    """An answer in SI with its own doubt (90 % half width), before anyone asks where the inputs came from."""

    si: float
    spread_si: float
    unit: str
    per_unit: float
    guessed: bool
    """True when a number of common practice went into it besides the inputs."""


def blade_length(machine: Machine) -> Value:
    """Return the blade length, m, from the rotor radius.

    length = radius / (1 + grip share)
    """
    radius = _known(machine.rotor.radius)
    si = radius.si / (1.0 + GRIP_SHARE)
    return _said(Rule(si, math.hypot(radius.spread_si, GRIP_DOUBT * si), "mm", 1e-3, True), radius)


def radius(machine: Machine) -> Value:
    """Return the rotor radius, m, from the blade length.

    radius = length * (1 + grip share)
    """
    length = _known(machine.rotor.blade_length)
    si = length.si * (1.0 + GRIP_SHARE)
    spread = math.hypot(length.spread_si * (1.0 + GRIP_SHARE), GRIP_DOUBT * length.si)
    return _said(Rule(si, spread, "m", 1.0, True), length)


def root_cutout(machine: Machine) -> Value:
    """Return where the main blade's section begins, m from the shaft: the bolt plus a twentieth of the blade."""
    whole, length = _known(machine.rotor.radius), _known(machine.rotor.blade_length)
    si = max(whole.si - 0.95 * length.si, 0.05 * whole.si)
    return _said(Rule(si, 0.25 * si, "mm", 1e-3, True), whole, length)


def inertia(machine: Machine) -> Value:
    """Return the main rotor's moment of inertia, kg m2, from blade mass and length.

    I = n m (L^2 / 3 + L r0 + r0^2), a uniform blade from r0 = radius - L to the radius
    Valid: any number of blades; head and grips left out (below 2 % of the whole), uneven blades inside the doubt.
    Source: parallel-axis theorem for a thin rod.
    """
    rotor = machine.rotor
    blades, mass = _known(rotor.blades), _known(rotor.blade_mass)
    whole, length = _known(rotor.radius), _known(rotor.blade_length)
    inner = max(whole.si - length.si, 0.0)
    si = blades.si * mass.si * (length.si**2 / 3.0 + length.si * inner + inner**2)
    spread = si * math.sqrt(_relative(mass) ** 2 + (2.0 * _relative(whole)) ** 2 + 0.08**2)
    return _said(Rule(si, spread, "kg m2", 1.0, False), blades, mass, whole, length)


def collective_min(machine: Machine) -> Value:
    """Return the least collective, rad: as far down as up."""
    most = _known(machine.rotor.collective_max)
    return _said(Rule(-most.si, most.spread_si, "deg", math.pi / 180.0, True), most)


def tail_root_cutout(machine: Machine) -> Value:
    """Return where the tail blade's section begins, m from the tail shaft: a quarter of the radius."""
    whole = _known(machine.tail.radius)
    return _said(Rule(0.25 * whole.si, 0.08 * whole.si, "mm", 1e-3, True), whole)


def tail_arm(machine: Machine) -> Value:
    """Return main shaft to tail shaft, m: both radii and a little air between the discs."""
    main, tail = _known(machine.rotor.radius), _known(machine.tail.radius)
    si = 1.02 * (main.si + tail.si)
    return _said(Rule(si, 0.04 * si, "mm", 1e-3, True), main, tail)


def pack_resistance(cells: Value, capacity: Value) -> Value:
    """Return the typical resistance of a whole pack at 25 C, ohm.

    R = cells * constant / capacity
    """
    si = cells.si * PACK_OHM_AS / capacity.si
    return _said(Rule(si, 0.5 * si, "mohm", 1e-3, True), cells, capacity)


def flown_pack_resistance(machine: Machine) -> Value:
    """Return the resistance of the pack that is flown, ohm at 25 C: less with more capacity, more with more cells."""
    return pack_resistance(machine.pack.cells, machine.pack.capacity)


def slow_resistance(machine: Machine) -> Value:
    """Return the slow part of the pack's resistance, ohm: four tenths of the quick one, half in doubt."""
    quick = _known(machine.pack.resistance)
    return _said(Rule(0.4 * quick.si, 0.2 * quick.si, "mohm", 1e-3, True), quick)


def no_load_voltage(machine: Machine) -> Value:
    """Return the voltage at which a no-load current is usually stated, V: about half of what the pack gives.

    A motor wound for more cells is read at a higher voltage; at one fixed voltage its iron loss would come out absurd.
    """
    cells = _known(machine.pack.cells)
    si = 0.5 * CELL_V * cells.si
    return _said(Rule(si, 0.5 * si, "V", 1.0, True), cells)


DERIVED: dict[str, Callable[[Machine], Value]] = {
    "rotor.radius": radius,
    "rotor.root_cutout": root_cutout,
    "rotor.inertia": inertia,
    "rotor.collective_min": collective_min,
    "tail.root_cutout": tail_root_cutout,
    "tail.arm": tail_arm,
    "motor.no_load_voltage": no_load_voltage,
    "pack.resistance": flown_pack_resistance,
    "pack.slow_resistance": slow_resistance,
}
"""In the order they build on each other."""


def _said(rule: Rule, *inputs: Value) -> Value:
    typical = rule.guessed or any(value.is_typical for value in inputs)
    return Value(
        number=round(rule.si / rule.per_unit, 9),
        unit=rule.unit,
        si=rule.si,
        spread_si=rule.spread_si,
        origin=Origin.TYPICAL if typical else Origin.DERIVED,
        note=COMMON_PRACTICE if typical else "worked out from other keys",
        unit_si=rule.per_unit,
    )


def _relative(value: Value) -> float:
    return value.spread_si / abs(value.si) if value.si else 0.0


def _known(value: Value | None) -> Value:
    if value is None:
        raise ValueError("the gaps are filled in order: this one is still empty")
    return value
