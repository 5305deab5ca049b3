"""Machines, pilots, packs and airs drawn from their doubt, each in its own steady glide before the bail-out."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import CHARGE, DRAWN_KEYS, TYPICAL_PILOT, Ready
from steadyhead.flight.bail_out_device import on_card, settled_on_card
from steadyhead.flight.bail_out_settled import settle_cases
from steadyhead.flight.batches import in_batches
from steadyhead.flight.governor_spread import SIGMAS_OF_HALF_WIDTH, moved
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.air import standard_air
from steadyhead.words.value import Value

SEED = 20_261_127
IN_RATIO = ("reaction_s", "recognition_s", "arrest_m_s2")

Floats = NDArray[np.float64]


def drawn_cases(own: Ready, base: Floats, draws: int, seed: int = SEED) -> Floats:
    """Return as many machines, pilots, packs and airs as asked, each in its own steady glide.

    Shapes: base (33,) -> (draws, 33) as `bail_out_columns.CASE`.
    """
    random = np.random.default_rng(seed)
    cases = np.tile(base, (draws, 1))

    def normal() -> Floats:
        return random.standard_normal(draws) / SIGMAS_OF_HALF_WIDTH

    for column, key in DRAWN_KEYS.items():
        cases[:, column] = _moved(own.machine, key, normal())
    chord, lift, drag = (
        _moved(own.machine, key, normal()) / si.number(own.machine, key)
        for key in ("rotor.chord", "rotor.lift_factor", "rotor.drag_factor")
    )
    cases[:, columns.LIFT], cases[:, columns.DRAG] = lift * chord, drag * chord
    cases[:, columns.GEAR_DRAG] = _moved(own.machine, "gears.drag_torque", normal()) / si.number(
        own.machine, "gears.drag_torque"
    )
    cases[:, columns.DENSITY] = _densities(own, normal(), normal())
    for column, name in (
        (columns.REACTION, "reaction_s"), (columns.RECOGNITION, "recognition_s"), (columns.ARREST, "arrest_m_s2"),
        (columns.AIR_UP, "air_up_m_s"),
    ):  # fmt: skip
        middle, half = TYPICAL_PILOT[name]
        own_middle = base[column] if name in IN_RATIO else middle
        z = normal()
        cases[:, column] = own_middle * np.exp(z * math.log1p(half / middle)) if name in IN_RATIO else middle + z * half
    cases[:, columns.CHARGE] = np.clip(CHARGE + normal() * TYPICAL_PILOT["charge"][1], 0.2, 1.0)
    cases[:, columns.HEAD] *= 1.0 + normal() * TYPICAL_PILOT["head_share"][1]
    settle(own, cases, normal() * TYPICAL_PILOT["wait_rad"][1])
    return cases


def settle(own: Ready, cases: Floats, pitch_miss_rad: Floats) -> None:
    """Put every drawn machine into its own steady glide, or its own level flight.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, pitch_miss_rad (n,).
    """
    if on_card(own, cases.shape[0]):
        settled_on_card(own, cases, pitch_miss_rad)
        return

    def part(here: slice) -> None:
        settle_cases(own.craft, own.map, own.set_rad_s, cases[here], pitch_miss_rad[here])

    in_batches(cases.shape[0], part, threads=own.threads)


def _moved(machine: Machine, key: str, half_widths: Floats) -> Floats:
    value = machine.value(key)
    if not isinstance(value, Value):
        return np.full_like(half_widths, si.number(machine, key))
    return moved(machine, key, value, half_widths)


def _densities(own: Ready, height: Floats, warmth: Floats) -> Floats:
    """Return the air densities of the site over its spread, kg/m3; a measured pressure leaves the warmth alone."""
    machine = own.machine
    temperatures = _moved(machine, "site.temperature", warmth)
    if machine.site.pressure is not None:
        return own.craft.air.density_kg_m3 * si.number(machine, "site.temperature") / temperatures
    heights = _moved(machine, "site.elevation", height)
    return np.array(
        [standard_air(float(h), float(t)).density_kg_m3 for h, t in zip(heights, temperatures, strict=True)]
    )
