"""Pack: open-circuit curve over charge, resistance by temperature and charge, one RC pair."""

from math import exp
from typing import NamedTuple

from steadyhead.physics.kernel import kernel

ACTIVATION_K = 25000.0 / 8.314462618
"""Activation energy 25 kJ/mol over the gas constant: between the two published pouch cells of the docs (19 and 33)."""

REFERENCE_K = 298.15
"""The 25 C at which pack resistances are stated."""


class Pack(NamedTuple):
    """What a kernel needs to know of a pack. SI; resistances of the whole pack at 25 C and 50 % charge.

    `cell_rest_offset_v` is how far its cells rest above `cell_open_circuit`, since makes differ.
    """

    cells: float
    capacity_as: float
    resistance_25c_ohm: float
    slow_resistance_25c_ohm: float
    slow_time_s: float
    cell_rest_offset_v: float = 0.0


class Source(NamedTuple):
    """What feeds the controller, seen as one voltage behind one resistance; a bench supply has resistance 0. SI."""

    open_circuit_v: float
    resistance_ohm: float


@kernel
def published_open_circuit(charge: float) -> float:
    """Rested voltage of the published 850 mAh polymer cell, V.

    v = -1.031 exp(-35 s) + 3.685 + 0.2156 s - 0.1178 s2 + 0.3201 s3
    Valid: 0 <= s <= 1; 4.103 V at full, since that cell was charged less high than flight packs are.
    Source: M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006 (from memory, cross-read).
    """
    s = charge
    return -1.031 * exp(-35.0 * s) + 3.685 + 0.2156 * s - 0.1178 * s * s + 0.3201 * s * s * s


@kernel
def cell_open_circuit(charge: float) -> float:
    """Rested voltage of one lithium-polymer flight cell, V.

    v = v_published(s) + 0.0971 s8 - 0.12 exp(-8 s), s clipped to 0..1
    Valid: 0.08 V between makes from 20 to 95 %; not for high-voltage (4.35 V) or iron-phosphate cells.
    Source: `published_open_circuit`; the two further terms are ours: full at 4.2 V as chargers leave it, and about
    3.70 V at 20 % (common practice, no source).
    """
    s = min(max(charge, 0.0), 1.0)
    s2 = s * s
    return published_open_circuit(s) + 0.0971 * s2 * s2 * s2 * s2 - 0.12 * exp(-8.0 * s)


@kernel
def rest_voltage(pack: Pack, charge: float) -> float:
    """Rested voltage of a pack of its make, V.

    v = cells (v_cell(s) + offset)
    Valid: as `cell_open_circuit`; one offset over the whole charge.
    Source: `cell_open_circuit`.
    """
    return pack.cells * (cell_open_circuit(charge) + pack.cell_rest_offset_v)


@kernel
def temperature_factor(pack_temperature_k: float) -> float:
    """Resistance at a temperature over that at 25 C, no unit.

    f = exp(25000 / 8.314 * (1 / t - 1 / 298.15))
    Valid: -10 to 60 C; published cells give 2.0 to 3.5 at 0 C and 0.5 to 0.6 at 40 C.
    Source: Arrhenius law; activation energy between the cells of Ecker, J. Electrochem. Soc. 162, A1836, 2015, and
    Marquis, J. Electrochem. Soc. 166, A3693, 2019.
    """
    return exp(ACTIVATION_K * (1.0 / pack_temperature_k - 1.0 / REFERENCE_K))


@kernel
def over_charge(charge: float, rise_share: float, rate_per_charge: float) -> float:
    """Circuit element of a cell at a charge over its value when full, no unit.

    x = 1 + rise * exp(-rate * s)
    Valid: 0.05 <= s <= 1; below, the published fits of capacitance turn negative.
    Source: M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006: form of all five elements.
    """
    return 1.0 + rise_share * exp(-rate_per_charge * max(charge, 0.0))


@kernel
def charge_factor(charge: float) -> float:
    """Quick resistance at a charge over that at half charge, no unit.

    f = 1 + 0.1562 / 0.07446 exp(-24.37 s)
    Valid: 0.05 <= s <= 1; shape of one low-power cell, high-rate cells may rise earlier.
    Source: M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006: R0 over its plateau.
    """
    return over_charge(charge, 0.1562 / 0.07446, 24.37)


@kernel
def slow_charge_factor(charge: float) -> float:
    """Slow resistance at a charge over that at half charge, no unit.

    f = 1 + 0.3208 / 0.04669 exp(-29.14 s)
    Valid: 0.05 <= s <= 1; shape of one low-power cell.
    Source: M. Chen, G. A. Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 504-511, 2006: R1 over its plateau.
    """
    return over_charge(charge, 0.3208 / 0.04669, 29.14)


@kernel
def pack_source(pack: Pack, charge: float, pack_temperature_k: float, held_s: float) -> Source:
    """What the pack offers after a steady load held for a time: open-circuit V behind ohm.

    r = (r0 * f(s) + r1 * g(s) * (1 - exp(-held / tau))) * h(t)
    Valid: current steady over held_s, charge taken at its end; held_s 0 gives the first instant; tau > 0.
    Source: one-RC equivalent circuit, step response in closed form; any circuits textbook.
    """
    slow_share = 1.0 - exp(-held_s / pack.slow_time_s)
    quick = pack.resistance_25c_ohm * charge_factor(charge)
    slow = pack.slow_resistance_25c_ohm * slow_charge_factor(charge) * slow_share
    resistance = (quick + slow) * temperature_factor(pack_temperature_k)
    return Source(rest_voltage(pack, charge), resistance)


@kernel
def slow_voltage_after(
    slow_voltage_v: float, current_a: float, slow_resistance_ohm: float, slow_time_s: float, step_s: float
) -> float:
    """Voltage over one RC pair after a step of steady current, V.

    u = i r + (u0 - i r) exp(-dt / tau)
    Valid: current, resistance and time constant steady over the step; exact for any step length.
    Source: one-RC equivalent circuit, step response in closed form; any circuits textbook.
    """
    settled = current_a * slow_resistance_ohm
    return settled + (slow_voltage_v - settled) * exp(-step_s / slow_time_s)


@kernel
def charge_after(charge: float, current_a: float, capacity_as: float, step_s: float) -> float:
    """State of charge after a step of steady current, 0 to 1 within the pack's range.

    s = s0 - i dt / capacity
    Valid: discharge positive; charge counting, no loss by self-discharge.
    Source: definition of state of charge.
    """
    return charge - current_a * step_s / capacity_as
