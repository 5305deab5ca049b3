"""The figures of every condition of one machine, as one array: flight modes, loads, pack states, columns."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.conditions import COLUMNS, Drive, Holding, drive_conditions
from steadyhead.physics.held import Heats
from steadyhead.physics.trim import Stop
from steadyhead.plan.demand import Demand
from steadyhead.plan.loads import FAST_FORWARD, LOADS, LONG, ZERO_CELSIUS_K, PackState, pack_states
from steadyhead.plan.trims import Aircraft

Floats = NDArray[np.float64]

RPM_PER_RAD_S = 30.0 / math.pi
HELD_CODE = 1.0
"""The highest drive code with which the head speed is held; see physics.drive.DRIVE_STOP_SAYS."""
NOT_COMPUTED = 9.0
"""Stands for a drive code where the rotors were not computed, so nothing was asked of the drive."""

FIGURES = (
    "head_speed_rpm", "collective_deg", "thrust_n", "rotor_power_w", "tail_power_w", "gear_power_w", "shaft_power_w",
    "motor_loss_w", "controller_loss_w", "pack_loss_w", "pack_power_w", "motor_rpm", "motor_current_a",
    "pack_current_a", "pack_voltage_v", "cell_voltage_v", "duty", "head_room", "ceiling_rpm", "winding_temperature_c",
    "controller_temperature_c", "held_for_s", "tip_speed_m_s", "tip_mach", "blade_loading", "stalled_share",
    "figure_of_merit", "drive_code", "thrust_share", "tail_share",
)  # fmt: skip
"""What the last axis of the figures holds, in this order; the shares are thrust reached over thrust asked."""
AT = {name: place for place, name in enumerate(FIGURES)}


class Powertrain(NamedTuple):
    """The drive side of the plan for one machine, and how its loads are held."""

    drive: Drive
    holding: Holding
    states: tuple[PackState, ...]


@dataclass(frozen=True, kw_only=True)
class Solution:
    """All figures of one machine; the hover time is 0 where the rotor cannot carry the weight or full duty the speed.

    Shapes: figures (modes, loads, states, FIGURES); hover_time_s (modes,).
    """

    figures: Floats
    hover_time_s: Floats


def powertrain(machine: Machine) -> Powertrain:
    """Return the drive side of a machine, SI."""
    number = si.number
    reserve, warm_k = number(machine, "pack.reserve"), number(machine, "pack.warm")
    drive = Drive(
        motor=si.motor(machine),
        controller=si.controller(machine),
        pack=si.pack(machine),
        gears=si.gears(machine),
        heats=Heats(si.motor_heat(machine), si.controller_heat(machine)),
    )
    holding = Holding(
        air_k=number(machine, "site.temperature"),
        short_hold_s=number(machine, "limits.load_held"),
        reserve=reserve,
        flight_pack_k=warm_k,
    )
    return Powertrain(drive, holding, pack_states(reserve, warm_k, number(machine, "pack.cold")))


def solution(asked: Demand, craft: Aircraft, train: Powertrain) -> Solution:
    """Return all figures of a machine whose rotors ask `asked` of its drive; nan where the rotors were not computed."""
    states = np.array([(state.charge, state.temperature_k) for state in train.states])
    is_long = np.array([1.0 if load in LONG else 0.0 for load in LOADS])
    torque = asked.torque_nm + asked.tail_torque_nm
    given = np.empty((*torque.shape, len(states), len(COLUMNS)))
    times = np.empty(torque.shape)
    lost = np.isnan(torque)
    drive_conditions(
        train.drive, train.holding, np.where(lost, 0.0, torque), asked.speed_rad_s, is_long, states, given, times
    )
    columns = _columns(asked, craft, train, {name: given[..., place] for place, name in enumerate(COLUMNS)})
    figures = np.empty((*given.shape[:3], len(FIGURES)))
    for name, place in AT.items():
        figures[..., place] = columns[name]
    figures[lost] = np.nan
    figures[..., AT["head_speed_rpm"]] = columns["head_speed_rpm"]
    figures[lost, :, AT["drive_code"]] = NOT_COMPUTED
    hovers = asked.code[:, 0] == Stop.DONE
    return Solution(figures=figures, hover_time_s=np.where(hovers, times[:, 0], 0.0))


def _columns(asked: Demand, craft: Aircraft, train: Powertrain, given: dict[str, Floats]) -> dict[str, Floats]:
    """Return every figure; where the speed cannot be held, powers and thrust are those at full duty.

    thrust ~ (w/w0)^2, power ~ (w/w0)^3 with the collective held; tip speed and Mach stay those of the asked speed
    """
    ratio = train.drive.gears.ratio
    speed = asked.speed_rad_s[:, None, None]
    held = given["code"] <= HELD_CODE
    slowed = np.where(held, 1.0, given["motor_speed_rad_s"] / (speed * ratio))
    rotor_power = (asked.torque_nm * asked.speed_rad_s[:, None])[..., None] * slowed**3
    tail_power = (asked.tail_torque_nm * asked.speed_rad_s[:, None])[..., None] * slowed**3
    tip_speed = speed * craft.rotor.radius_m
    forward = np.array([craft.forward_m_s if load == FAST_FORWARD else 0.0 for load in LOADS])[None, :, None]
    return {
        # Rounded, since it went from rpm to rad/s and back and is held against limits in rpm.
        "head_speed_rpm": np.round(speed * RPM_PER_RAD_S, 9),
        "collective_deg": np.degrees(asked.collective_rad)[..., None],
        "thrust_n": asked.thrust_n[..., None] * slowed**2,
        "rotor_power_w": rotor_power,
        "tail_power_w": tail_power,
        "gear_power_w": given["shaft_power_w"] - rotor_power - tail_power,
        "shaft_power_w": given["shaft_power_w"],
        "motor_loss_w": given["motor_loss_w"],
        "controller_loss_w": given["controller_loss_w"],
        "pack_loss_w": given["pack_loss_w"],
        "pack_power_w": given["pack_power_w"],
        "motor_rpm": given["motor_speed_rad_s"] * RPM_PER_RAD_S,
        "motor_current_a": given["motor_current_a"],
        "pack_current_a": given["pack_current_a"],
        "pack_voltage_v": given["pack_voltage_v"],
        "cell_voltage_v": given["pack_voltage_v"] / train.drive.pack.cells,
        "duty": given["duty"],
        "head_room": 1.0 - given["duty"],
        "ceiling_rpm": given["ceiling_rad_s"] / ratio * RPM_PER_RAD_S,
        "winding_temperature_c": given["winding_k"] - ZERO_CELSIUS_K,
        "controller_temperature_c": given["controller_k"] - ZERO_CELSIUS_K,
        "held_for_s": given["held_s"],
        "tip_speed_m_s": tip_speed,
        "tip_mach": (tip_speed + forward) / craft.air.speed_of_sound_m_s,
        "stalled_share": asked.stalled_share[..., None],
        "drive_code": given["code"],
        "thrust_share": (asked.thrust_n / asked.wanted_n)[..., None],
        "tail_share": (asked.tail_thrust_n / asked.tail_wanted_n)[..., None],
    } | _blade_figures(asked, craft)


def _blade_figures(asked: Demand, craft: Aircraft) -> dict[str, Floats]:
    """Return CT/sigma and the figure of merit; the latter only where the disc has no forward speed.

    CT/sigma = T pi R / (rho A Vtip^2 b c), M = T sqrt(T / (2 rho A)) / P
    """
    rotor, density = craft.rotor, craft.air.density_kg_m3
    area = math.pi * rotor.radius_m**2
    solidity = rotor.blades * rotor.chord_m / (math.pi * rotor.radius_m)
    speed = asked.speed_rad_s[:, None]
    loading = asked.thrust_n / (density * area * (speed * rotor.radius_m) ** 2 * solidity)
    ideal = asked.thrust_n * np.sqrt(np.maximum(asked.thrust_n, 0.0) / (2.0 * density * area))
    merit = ideal / (asked.torque_nm * speed)
    if craft.forward_m_s > 0.0:
        merit[:, LOADS.index(FAST_FORWARD)] = math.nan
    return {"blade_loading": loading[..., None], "figure_of_merit": merit[..., None]}
