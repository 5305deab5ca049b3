"""The same step flown by the engine itself, from a solved condition: what the linear model is held against."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_step import StepStart
from steadyhead.flight.linear_point import Point
from steadyhead.flight.linear_rates import ALOFT_M, CLIMB, FIRST_RING, SLOW
from steadyhead.flight.loop import (
    AGES,
    COLLECTIVE,
    COLUMNS,
    COMMANDS,
    FORWARD,
    LOAD_FACTOR,
    RATE_OF,
    TARGET,
    Now,
    Setting,
    fly,
)
from steadyhead.flight.stops import FLIGHT_STOP_SAYS, FlightStop
from steadyhead.physics.books import ENTRIES
from steadyhead.physics.craft import NOTHING_DRAWN, State
from steadyhead.physics.governor import Governor, GovernorState
from steadyhead.physics.rotor_flow import NOW, RINGS, TRIED
from steadyhead.physics.run_state import NONE_S, Run, RunState
from steadyhead.words.errors import SolveError

FULL_PERCENT = 100.0
LONG_S = 60.0

Floats = NDArray[np.float64]


def engine_step(
    point: Point, setting: Setting, governor: Governor, start: StepStart, seconds: float
) -> tuple[Floats, Floats]:
    """Return deviation of head speed, rad/s, and duty at each governor sample, flown by the engine.

    Shapes: -> (n,), (n,)
    Valid: small or large steps of collective; the set speed stands still. Every state begins as the condition has it.
    """
    record = engine_record(point, setting, governor, start, seconds)
    return record[:-1, COLUMNS.index("head_rad_s")] - start.goal_rad_s, record[1:, COLUMNS.index("duty")].copy()


def engine_record(
    point: Point, setting: Setting, governor: Governor, start: StepStart, seconds: float, *, each_step: bool = False
) -> Floats:
    """Return the engine's record of a step of collective from a solved condition, a row each sample or each step.

    Shapes: -> (n + 1, 25) as `loop.COLUMNS`, the first row the condition itself
    """
    rows_a_sample = setting.clock.steps_a_sample if each_step else 1
    clock = setting.clock._replace(steps_a_row=setting.clock.steps_a_sample // rows_a_sample)
    ends, goal = np.array([0.0, FULL_PERCENT]), start.goal_rad_s
    # Whatever the owner's thresholds are: here the motor runs governed throughout.
    rules = setting.rules._replace(stop_percent=0.0, start_percent=0.5 * FULL_PERCENT)
    law_rad_s = np.array([goal, goal])
    held = setting._replace(clock=clock, governor=governor, rules=rules, law_percent=ends, law_rad_s=law_rad_s)
    samples = max(2, round(seconds / governor.sample_s))
    steps = samples * clock.steps_a_sample
    commands = np.full((steps // clock.steps_a_frame + 2, len(COMMANDS)), math.nan)
    commands[:, TARGET], commands[:, RATE_OF] = FULL_PERCENT, 0.0
    commands[:, COLLECTIVE] = start.collective_rad + start.command_rad
    commands[:, FORWARD], commands[:, LOAD_FACTOR] = point.frozen.forward_m_s, point.frozen.load_factor
    flow, memory = np.zeros((3, RINGS)), np.zeros(len(ENTRIES) + AGES)
    flow[NOW] = flow[TRIED] = point.states[FIRST_RING:]
    memory[-AGES:] = goal
    record = np.zeros((samples * rows_a_sample + 1, len(COLUMNS)))
    record[0, COLUMNS.index("head_rad_s")], record[0, COLUMNS.index("collective_rad")] = goal, start.collective_rad
    code, _ = fly(point.craft, held, _begin(point, governor, start), commands, flow, memory, record, steps)
    if code != FlightStop.DONE:
        raise SolveError(f"{point.load}: {FLIGHT_STOP_SAYS[FlightStop(code)]} in a step of collective")
    return record


def _begin(point: Point, governor: Governor, start: StepStart) -> Now:
    frozen, goal = point.frozen, start.goal_rad_s
    state = State(
        goal, goal * point.craft.gears.ratio, ALOFT_M, float(point.states[CLIMB]), frozen.charge,
        float(point.states[SLOW]), frozen.winding_k, frozen.case_k, frozen.controller_k, 1.0,
    )  # fmt: skip
    ahead = governor.speed_duty_s_rad * goal + governor.collective_duty_per_rad * abs(start.collective_rad)
    drawn = NOTHING_DRAWN._replace(
        bearing_nm=point.torque_nm + point.craft.body.head_drag_nm, pack_current_a=point.drive.pack_current_a
    )
    return Now(
        state, (point.loads, drawn), GovernorState(start.duty - ahead, goal, goal, 0.0, start.duty),
        RunState(int(Run.GOVERNED), LONG_S, 0.0, 0.0, LONG_S, NONE_S, 0), FULL_PERCENT,
        start.collective_rad + start.command_rad, start.collective_rad, start.collective_rad, frozen.forward_m_s, 0,
    )  # fmt: skip
