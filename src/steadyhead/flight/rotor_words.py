"""The energy in the rotor of a machine, in words, at several head speeds."""

import math

import numpy as np

from steadyhead.flight.descend_result import RotorEnergy
from steadyhead.flight.glider import ENERGY_INPUTS, GLIDE_INPUTS, Figures, Floats, moved_figures, spreads
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.rotor import axial_loads
from steadyhead.physics.rotor_energy import (
    energy_height,
    flare_index,
    hover_time,
    least_head_speed,
    rotor_energy,
    sea_level_index,
    usable_energy,
)
from steadyhead.physics.tail import tail_loads
from steadyhead.physics.trim import Stop, collective_for_thrust, greatest_thrust
from steadyhead.plan.intervals import Spread
from steadyhead.plan.trims import Aircraft, aircraft

RPM = 30.0 / math.pi
M3_N_PER_FT3_LB = 0.3048**3 / 4.4482216152605
"""Cubic metres per newton in one cubic foot per pound-force. Source: NIST SP 811 (from memory)."""
NAMES = (
    "rotor_energy_j", "energy_height_m", "hover_power_w", "hover_time_s", "least_head_speed_rpm", "usable_energy_j",
    "flare_reserve_s", "flare_index_m3_n", "sea_level_index_m3_n",
)  # fmt: skip


def energy_figures(machine: Machine, head_rad_s: Floats) -> Figures:
    """Return the energy in words by name. Shapes: head_rad_s (w,) -> each (w,)."""
    rows = np.array([_row(machine, aircraft(machine), float(head)) for head in head_rad_s])
    return {name: rows[:, at] for at, name in enumerate(NAMES)}


def energy_doubt(machine: Machine, head_rad_s: Floats, central: Figures) -> dict[str, Spread]:
    """Return the 90 % interval of every energy figure."""
    inputs = (*GLIDE_INPUTS, *ENERGY_INPUTS)
    return spreads(central, moved_figures(machine, inputs, lambda other: energy_figures(other, head_rad_s)))


def energy_words(central: Figures, doubt: dict[str, Spread], row: int) -> RotorEnergy:
    """Return the energy at one head speed as it is told."""
    one = {name: float(figure[row]) for name, figure in central.items()}
    span = {name: (float(part.low[row]), float(part.high[row])) for name, part in doubt.items()}
    return RotorEnergy(
        rotor_energy_j=one["rotor_energy_j"],
        rotor_energy_j_interval=span["rotor_energy_j"],
        energy_height_m=one["energy_height_m"],
        energy_height_m_interval=span["energy_height_m"],
        hover_power_w=one["hover_power_w"],
        hover_time_s=one["hover_time_s"],
        hover_time_s_interval=span["hover_time_s"],
        least_head_speed_rpm=one["least_head_speed_rpm"],
        least_head_speed_rpm_interval=span["least_head_speed_rpm"],
        flare_reserve_s=one["flare_reserve_s"],
        flare_reserve_s_interval=(max(span["flare_reserve_s"][0], 0.0), span["flare_reserve_s"][1]),
        flare_index_m3_n=one["flare_index_m3_n"],
        flare_index_ft3_lb=one["flare_index_m3_n"] / M3_N_PER_FT3_LB,
        sea_level_index_ft3_lb=one["sea_level_index_m3_n"] / M3_N_PER_FT3_LB,
    )


def _row(machine: Machine, craft: Aircraft, head_rad_s: float) -> tuple[float, ...]:
    """Return the figures of NAMES at one head speed; hover power and time are no numbers where it cannot hover."""
    energy = rotor_energy(si.number(machine, "rotor.inertia"), head_rad_s)
    power, most = _hover_power(machine, craft, head_rad_s), _most_thrust(craft, head_rad_s)
    usable = usable_energy(energy, craft.weight_n, most)
    area = math.pi * craft.rotor.radius_m**2
    return (
        energy,
        energy_height(energy, craft.weight_n),
        power,
        hover_time(energy, power),
        RPM * least_head_speed(head_rad_s, craft.weight_n, most),
        usable,
        hover_time(usable, power),
        flare_index(energy, craft.weight_n, area),
        sea_level_index(energy, craft.weight_n, area, craft.air.density_kg_m3),
    )


def _hover_power(machine: Machine, craft: Aircraft, head_rad_s: float) -> float:
    """Return what a hover takes from the head, W: main rotor, and the tail where it turns with the head."""
    pitch, code = collective_for_thrust(craft.rotor, craft.section, craft.air, head_rad_s, craft.weight_n, 0.0)
    if code != Stop.DONE:
        return math.nan
    main = axial_loads(craft.rotor, craft.section, craft.air, head_rad_s, pitch, 0.0)
    if machine.tail.driven_in_autorotation is False:
        return main.power_w
    tail = tail_loads(craft.tail, craft.section, craft.air, head_rad_s, 0.0)
    return main.power_w + tail.power_w


def _most_thrust(craft: Aircraft, head_rad_s: float) -> float:
    """Return the most thrust without speed, N, inside the collective that the machine has."""
    most, top = greatest_thrust(craft.rotor, craft.section, craft.air, head_rad_s, 0.0, 0.0)
    if top <= craft.collective_max_rad:
        return most
    return axial_loads(craft.rotor, craft.section, craft.air, head_rad_s, craft.collective_max_rad, 0.0).thrust_n
