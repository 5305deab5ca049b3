"""Thousands of whole flights of drawn machines: a scenario's commands, one row of numbers a machine, peaks alone kept.

The loop is the engine's own; what it would have written as a row is looked at and let go.
"""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_columns import SERVO
from steadyhead.flight.bail_out_flight import drawn_craft, with_spool
from steadyhead.flight.begin import Placed, started
from steadyhead.flight.loop import AGES, Now, Setting, flown_step, stop_of
from steadyhead.physics.air import Air
from steadyhead.physics.books import CELLS
from steadyhead.physics.craft import Craft
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.polar_table import Section
from steadyhead.physics.rotor_flow import RINGS
from steadyhead.physics.rotor_map import Grade
from steadyhead.physics.run_state import GOVERNED
from steadyhead.physics.servo import lag_left

FLOWN = (
    "code", "ended_s", "head_rad_s", "pack_current_a", "motor_current_a", "motor_torque_nm", "bearing_nm", "winding_k",
    "controller_k", "duty", "climb_m_s", "pack_voltage_v", "head_low_rad_s", "sink_m_s", "cells_j",
)  # fmt: skip
"""What one flight tells: how it ended and its greatest figures; of pack voltage and of the governed head the least."""
(
    CODE, ENDED, HEAD, PACK_A, MOTOR_A, MOTOR_NM, BEARING_NM, WINDING_K, CONTROLLER_K, DUTY, CLIMB, PACK_V, HEAD_LOW,
    SINK, CELLS_J,
) = range(15)  # fmt: skip
NO_START = -1
"""Code of a machine that cannot begin: it cannot hover at that head speed."""


@inlined_kernel
def in_its_air(craft: Craft, grade: Grade) -> Craft:
    """The machine of a case with the blades and the air that the case tells.

    Valid: chord and section factors near those of the machine described; the air's warmth is that of the site.
    Source: definition; viscosity of air does not depend on its density, any fluid mechanics textbook.
    """
    s, a = craft.section, craft.air
    thinner = a.density_kg_m3 / grade.density_kg_m3
    section = Section(
        s.polar, s.stall_rad, s.log_reynolds_low, s.log_reynolds_step, s.lift_factor * grade.lift_scale,
        s.drag_factor * grade.drag_scale, s.compressible,
    )  # fmt: skip
    air = Air(grade.density_kg_m3, a.speed_of_sound_m_s, a.kinematic_viscosity_m2_s * thinner)
    return Craft(
        craft.motor, craft.controller, craft.pack, craft.gears, craft.heats, craft.rotor, section, air, craft.tail,
        craft.body,
    )  # fmt: skip


@inlined_kernel
def look(now: Now, point: DrivePoint, before_m: float, before_m_s: float, told: NDArray[np.float64]) -> None:
    """Keep the worst of every figure so far; height m and climb m/s of the look before tell a touchdown.

    Shapes: told (15,) as FLOWN.
    Valid: at the moments at which the engine writes a row.
    Source: definition, as `figures.peaks` and `figures.touchdowns`.
    """
    state, carried = now.state, now.carried[1]
    told[HEAD], told[CLIMB] = max(told[HEAD], state.head_rad_s), max(told[CLIMB], state.climb_m_s)
    told[PACK_A], told[MOTOR_A] = max(told[PACK_A], point.pack_current_a), max(told[MOTOR_A], point.motor_current_a)
    told[MOTOR_NM] = max(told[MOTOR_NM], point.motor_torque_nm)
    told[BEARING_NM] = max(told[BEARING_NM], carried.bearing_nm)
    told[WINDING_K] = max(told[WINDING_K], state.winding_k)
    told[CONTROLLER_K] = max(told[CONTROLLER_K], state.controller_k)
    told[DUTY], told[PACK_V] = max(told[DUTY], point.duty), min(told[PACK_V], point.pack_voltage_v)
    if now.run.run == GOVERNED and state.locked > 0.0:
        told[HEAD_LOW] = min(told[HEAD_LOW], state.head_rad_s)
    if state.height_m <= 0.0 and before_m > 0.0:
        told[SINK] = max(told[SINK], -before_m_s)


@kernel
def flight_told(
    craft: Craft, setting: Setting, placed: Placed, case: NDArray[np.float64], commands: NDArray[np.float64],
    flow: NDArray[np.float64], memory: NDArray[np.float64], told: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fly one drawn machine through the commands and write what it tells.

    Shapes: case (33,) as `bail_out_columns.CASE`, commands (f, 9) as `loop.COMMANDS`, flow (3, 12) and memory (79,) as
    `loop.fly`, told (15,) as FLOWN.
    Valid: as `loop.fly`. The tail is that of the machine described.
    Source: `loop.flown_step`.
    """
    drawn, grade = drawn_craft(craft, case)
    craft = in_its_air(drawn, grade)
    setting = with_spool(setting, setting.rules.quick_spool_s, case[SERVO])
    clock = setting.clock
    for number in range(memory.shape[0]):
        memory[number] = 0.0
    for ring in range(RINGS):
        flow[0, ring] = flow[1, ring] = flow[2, ring] = 0.0
    for number in range(told.shape[0]):
        told[number] = -math.inf
    told[PACK_V] = told[HEAD_LOW] = math.inf
    now, code = started(craft, setting, placed, flow, memory[memory.shape[0] - AGES :])
    if code != 0:
        told[CODE] = NO_START
        return
    lags = (lag_left(setting.servo_lag_s, 0.5 * clock.step_s), lag_left(setting.servo_lag_s, clock.step_s))
    before_m, before_m_s, code = now.state.height_m, now.state.climb_m_s, 0
    while now.step < commands.shape[0] * clock.steps_a_frame and code == 0:
        now, point = flown_step(craft, setting, now, commands, flow, memory, lags)
        if now.step % clock.steps_a_row == 0:
            look(now, point, before_m, before_m_s, told)
            before_m, before_m_s = now.state.height_m, now.state.climb_m_s
            code = stop_of(craft, now.state, point)
    told[CODE], told[ENDED], told[CELLS_J] = code, now.step * clock.step_s, memory[CELLS]


@kernel
def flights_told(
    craft: Craft, setting: Setting, placed: Placed, cases: NDArray[np.float64], commands: NDArray[np.float64],
    told: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fly every row of cases.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, commands (f, 9) as `loop.COMMANDS`, told (n, 15) as FLOWN.
    Valid: as `flight_told`.
    Source: `flight_told`.
    """
    flow, memory = np.zeros((3, RINGS)), np.zeros(15 + AGES)
    for number in range(cases.shape[0]):
        flight_told(craft, setting, placed, cases[number], commands, flow, memory, told[number])
