"""Which lines a machine sounds, all locked to its rotor speed by known ratios, and how likely each is to be heard."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

FAMILIES = ("blade-pass", "tail blade-pass", "gear mesh", "second gear mesh", "motor electrical", "motor shaft")
"""Every kind of line, in the order in which they are shown."""
CHANCES: dict[str, dict[int, float]] = {
    "blade-pass": {1: 0.6, 2: 0.55, 3: 0.5, 4: 0.45, 5: 0.4, 6: 0.35, 7: 0.3, 8: 0.25},
    "tail blade-pass": {1: 0.6, 2: 0.5, 3: 0.35, 4: 0.25},
    "gear mesh": {1: 0.6, 2: 0.45, 3: 0.3},
    "second gear mesh": {1: 0.6, 2: 0.45, 3: 0.3},
    "motor electrical": {1: 0.35, 2: 0.4, 3: 0.2, 4: 0.2, 6: 0.6, 12: 0.3},
    "motor shaft": {1: 0.3, 2: 0.2},
}
"""How likely each multiple is heard beside a machine that turns; common practice, no source.

Six-step commutation sounds at six times the electrical frequency, and its ripple at twice.
"""


SAME_SHARE = 0.004
"""Lines nearer to each other than this share are one: no window can tell them apart."""
MOST_CHANCE = 0.8
BLADES = ("blade-pass", "tail blade-pass")
HEAD_ORDER = 3.0
"""A head out of true sounds up to this multiple of its own turns with no blade on. Common practice, no source."""
ALONE_SHARE = 0.02
"""A blade line tells of blades only where no gear or motor line stands within this share: gears of 8 to 1 put the motor
shaft on the fourth multiple of two blades. Common practice, no source."""
RICH = ("gear mesh", "motor electrical")
"""Families that may sound at any multiple, also at those that are not looked for."""
MOST_STRAYS = 64
STRAY_FROM_SHARE = 0.01
"""A multiple of the motor's turns nearer than this share to a line of the machine may be that line: it is no stray."""


class SoundGearing(NamedTuple):
    """What of a machine makes lines. Turns are per main rotor turn; None is unknown.

    `mesh_teeth` are the teeth that pass each mesh in one main rotor turn, first stage first.
    """

    blades: float | None = None
    tail_blades: float | None = None
    tail_ratio: float | None = None
    mesh_teeth: tuple[float, ...] = ()
    motor_ratio: float | None = None
    pole_pairs: float | None = None


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the comb: `order` times the main rotor's turns per second, heard with `chance`."""

    family: str
    multiple: int
    order: float
    chance: float
    tells_blades: bool = False
    """Whether nothing but main or tail blades makes it: no line of head, gears or motor stands near."""
    motor_turns: float | None = None
    """Which multiple of the motor's turns it is, for a line of the motor."""


def lines_of(gearing: SoundGearing) -> tuple[Line, ...]:
    """Return the comb of a machine, family by family; what is unknown sounds nothing.

    Equation: blade-pass = blades, tail blade-pass = tail blades x tail ratio, mesh = teeth that pass in one head turn,
    motor shaft = gear ratio, electrical = pole pairs x gear ratio; each with its multiples.
    Valid: tail rotor driven with the main rotor; motor lines only while the motor drives (the one-way bearing).
    Source: any machinery noise or gear textbook.
    """
    electrical = _product(gearing.pole_pairs, gearing.motor_ratio)
    motor_turns = {"motor electrical": gearing.pole_pairs, "motor shaft": 1.0}
    found = (
        ("blade-pass", gearing.blades),
        ("tail blade-pass", _product(gearing.tail_blades, gearing.tail_ratio)),
        *zip(("gear mesh", "second gear mesh"), gearing.mesh_teeth, strict=False),
        ("motor electrical", electrical),
        ("motor shaft", gearing.motor_ratio),
    )
    every = [
        Line(
            family=family,
            multiple=multiple,
            order=(order or 0.0) * multiple,
            chance=chance,
            motor_turns=_product(motor_turns.get(family), multiple),
        )
        for family, order in found
        for multiple, chance in (CHANCES[family].items() if order else ())
    ]
    lines: list[Line] = []
    for line in every:
        _put(lines, line)
    return tuple(replace(line, tells_blades=_tells_blades(line, every)) for line in lines)


def head_tells(lines: tuple[Line, ...]) -> tuple[str, ...]:
    """Return which families of blades tell the head's own speed: those that no multiple of the motor's turns can sound.

    Equation: blade line / motor turns is no whole number, within ALONE_SHARE, for every line that tells of blades.
    Valid: a motor out of true sounds at any multiple of its turns, also at those that are not looked for. Every blade
    tells where no line of the motor is known.
    """
    base = next((line.order / line.motor_turns for line in lines if line.motor_turns), 0.0)
    shared = {line.family for line in lines if line.tells_blades and _is_multiple(line.order, base)}
    told = {line.family for line in lines if line.tells_blades}
    return tuple(family for family in BLADES if family in told - shared)


def _is_multiple(order: float, base: float) -> bool:
    return base > 0.0 and round(order / base) > 0 and abs(round(order / base) * base / order - 1.0) <= ALONE_SHARE


def stray_orders(lines: tuple[Line, ...]) -> tuple[float, ...]:
    """Return the multiples of the motor's turns, per main rotor turn, at which no line of the machine stands.

    Another source with many multiples of one base (an engine, a voice, a drill) sounds there, the machine hardly. A
    pinion out of true sounds one motor turn either side of its mesh: those are the machine's.
    Valid: empty where no line of the motor is known.
    """
    base = next((line.order / line.motor_turns for line in lines if line.motor_turns), 0.0)
    own = [line.order / base for line in lines] if base else []
    roots = [line.order / base for line in lines if base and line.multiple == 1 and line.family in RICH]
    own += [turns * multiple for turns in roots for multiple in range(2, MOST_STRAYS)]
    meshes = [line.order / base for line in lines if base and line.multiple == 1 and line.family == "gear mesh"]
    own += [turns * multiple + side for turns in meshes for multiple in range(1, MOST_STRAYS) for side in (-1.0, 1.0)]
    taken = {round(turns) for turns in own if abs(turns - round(turns)) < STRAY_FROM_SHARE * turns}
    return tuple(base * turns for turns in range(1, MOST_STRAYS + 1) if base and turns not in taken)


def odd_orders(lines: tuple[Line, ...], times: float) -> tuple[tuple[float, float], ...]:
    """Return the lines of a machine at a part of a speed that it does not sound at the speed itself.

    Turns per turn at the speed, and how likely each is to be heard.
    Equation: order / times, less those near a line of the machine, a multiple of a mesh or of the windings, or one
    motor turn beside a mesh
    Valid: empty where the machine's lines share all factors with `times`.
    """
    own = [line.order for line in lines]
    roots = [line.order for line in lines if line.multiple == 1 and line.family in RICH]
    own += [order * multiple for order in roots for multiple in range(2, MOST_STRAYS)]
    base = next((line.order / line.motor_turns for line in lines if line.motor_turns), 0.0)
    meshes = [line.order for line in lines if line.multiple == 1 and line.family == "gear mesh"]
    own += [order * multiple + side for order in meshes for multiple in range(1, 4) for side in (-base, base)]
    lower = [(line.order / times, line.chance) for line in lines]
    at = np.array([order for order, _ in lower])
    apart = (np.abs(np.divide.outer(own, at) - 1.0) > STRAY_FROM_SHARE).all(axis=0)
    return tuple(one for one, alone in zip(lower, apart.tolist(), strict=True) if alone)


def _tells_blades(line: Line, every: list[Line]) -> bool:
    others = [other.order for other in every if other.family not in BLADES]
    if line.family not in BLADES or line.order <= HEAD_ORDER:
        return False
    return all(abs(order / line.order - 1.0) > ALONE_SHARE for order in others)


def _put(lines: list[Line], new: Line) -> None:
    """Add a line; one that falls on an earlier one is the same line, likelier to be heard."""
    for at, old in enumerate(lines):
        if abs(new.order / old.order - 1.0) < SAME_SHARE:
            chance = 1.0 - (1.0 - old.chance) * (1.0 - new.chance)
            lines[at] = replace(old, chance=min(chance, MOST_CHANCE), motor_turns=old.motor_turns or new.motor_turns)
            return
    lines.append(new)


def _product(one: float | None, other: float | None) -> float | None:
    return one * other if one and other else None
