"""What cannot be true of one machine, though each key alone could be."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from steadyhead.machine.description import Machine
from steadyhead.words.value import Value


class Trouble(NamedTuple):
    """One impossible value: its key, what was read, what would be right."""

    key: str
    read: str
    right: str


def impossible(machine: Machine) -> list[Trouble]:
    """Return everything that cannot be true of `machine`; a trouble names a key that the owner wrote."""
    return [trouble for rule in RULES for trouble in rule(machine)]


def _named(machine: Machine) -> Iterator[Trouble]:
    if not any(letter.isalnum() for letter in machine.name):
        yield Trouble("machine.name", ascii(machine.name), "a name with a letter or a digit in it")


def _gears(machine: Machine) -> Iterator[Trouble]:
    gears = machine.gears
    pairs = [("pinion_teeth", gears.pinion_teeth, gears.main_gear_teeth)]
    if gears.second_pinion_teeth and gears.second_gear_teeth:
        pairs.append(("second_pinion_teeth", gears.second_pinion_teeth, gears.second_gear_teeth))
    for name, pinion, gear in pairs:
        if pinion.number >= gear.number:
            right = f"fewer teeth than the gear it drives, {gear.number:g}"
            yield Trouble(f"gears.{name}", f"{pinion.number:g}", right)
    for one, other in (("second_pinion_teeth", "second_gear_teeth"), ("second_gear_teeth", "second_pinion_teeth")):
        if getattr(gears, one) and not getattr(gears, other):
            yield Trouble(f"gears.{one}", f"{one} without {other}", "both keys of the second stage, or neither")


def _lengths(machine: Machine) -> Iterator[Trouble]:
    for prefix, table in (("rotor", machine.rotor), ("tail", machine.tail)):
        radius = table.radius
        for name in ("root_cutout", "chord", "blade_length"):
            item = table.value(name) if name in type(table).model_fields else None
            if radius and item and item.si >= radius.si:
                yield _larger(prefix, name, item, radius)
    rotor, tail = machine.rotor, machine.tail
    if rotor.radius and tail.radius and tail.radius.si >= rotor.radius.si:
        yield (
            Trouble("rotor.radius", str(rotor.radius), f"more than the tail rotor's radius, {tail.radius}")
            if tail.radius.is_typical
            else Trouble("tail.radius", str(tail.radius), f"less than the main rotor's radius, {rotor.radius}")
        )
    if tail.arm and rotor.radius and tail.radius and tail.arm.si < max(rotor.radius.si, tail.radius.si):
        yield Trouble("tail.arm", str(tail.arm), f"more than the main rotor's radius, {rotor.radius.si:g} m")


def _masses(machine: Machine) -> Iterator[Trouble]:
    whole, blade, blades = machine.airframe.mass, machine.rotor.blade_mass, machine.rotor.blades
    if whole is None:
        return
    if blade and blades and blades.number * blade.si >= whole.si:
        yield _heavier("rotor.blade_mass", blade, whole, f"{blades.number:g} blades")
    for number, pack in enumerate(machine.pack_choice, start=1):
        if pack.mass and pack.mass.si >= whole.si:
            yield _heavier(f"pack_choice.{number}.mass", pack.mass, whole, "the pack")


def _heavier(key: str, part: Value, whole: Value, what: str) -> Trouble:
    if part.is_typical:
        return Trouble("airframe.mass", str(whole), f"more than {what} alone, {part} each")
    return Trouble(key, str(part), f"less for {what} than the flying mass, {whole}")


def _larger(prefix: str, name: str, item: Value, radius: Value) -> Trouble:
    if item.is_typical:
        return Trouble(f"{prefix}.radius", str(radius), f"more than {name}, {item.si:g} m, typical for this size class")
    return Trouble(f"{prefix}.{name}", str(item), f"less than the radius, {radius.si:g} m")


ORDERED: tuple[tuple[str, str, bool], ...] = (
    ("rotor.collective_min", "rotor.collective_max", False),
    ("channel.pulse_low", "channel.pulse_high", False),
    ("channel.learned_low", "channel.learned_high", False),
    ("channel.cut_off", "channel.start", True),
    ("controller.current_continuous", "controller.current_burst", True),
    ("pack.current_continuous", "pack.current_burst", True),
    ("pack.cold", "pack.warm", True),
    ("limits.hover_duty_low", "limits.hover_duty_high", False),
    ("limits.soft_spool_low", "limits.soft_spool_high", False),
    ("limits.quick_spool_low", "limits.quick_spool_high", False),
    ("governor.quick_spool", "governor.soft_spool", True),
)
"""Pairs in which the first must be less than the second, or at most it where True."""


def _ordered(machine: Machine) -> Iterator[Trouble]:
    for low_key, high_key, may_equal in ORDERED:
        low, high = machine.value(low_key), machine.value(high_key)
        if low is None or high is None or low.si < high.si or (may_equal and low.si == high.si):
            continue
        if low.is_typical and not high.is_typical:
            yield Trouble(high_key, str(high), f"{'at least' if may_equal else 'more than'} {low_key}, {low}")
        else:
            yield Trouble(low_key, str(low), f"{'at most' if may_equal else 'less than'} {high_key}, {high}")


def _flight_modes(machine: Machine) -> Iterator[Trouble]:
    seen: set[str] = set()
    for number, mode in enumerate(machine.flight_mode, start=1):
        if mode.name.casefold() in seen:
            yield Trouble(f"flight_mode.{number}.name", f'"{mode.name}" a second time', "a name of its own")
        seen.add(mode.name.casefold())
    packs: set[str] = set()
    for number, pack in enumerate(machine.pack_choice, start=1):
        if pack.name.casefold() in packs:
            yield Trouble(f"pack_choice.{number}.name", f'"{pack.name}" a second time', "a name of its own")
        packs.add(pack.name.casefold())


RULES: tuple[Callable[[Machine], Iterator[Trouble]], ...] = (_named, _gears, _lengths, _masses, _ordered, _flight_modes)
