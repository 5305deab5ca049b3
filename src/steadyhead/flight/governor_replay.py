"""A large load step for many gains: the rotor's torque from one flight of the engine, the shafts and the law anew."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.governor_engine import engine_record
from steadyhead.flight.governor_step import UNSTABLE_SHARE, StepFigures, StepStart, figures_of
from steadyhead.flight.linear_point import Point
from steadyhead.flight.linear_rates import ALOFT_M
from steadyhead.flight.loop import AGES, COLUMNS, Setting, seen_speed
from steadyhead.physics.craft import Acting, Craft, Held, State
from steadyhead.physics.flight_step import shafts_after, source_now
from steadyhead.physics.governor import Governor, GovernorState, governed
from steadyhead.physics.kernel import kernel
from steadyhead.physics.one_way_bearing import common_speed
from steadyhead.physics.shaft import train_inertia

RECORDING_GAIN, RECORDING_PER_S = 2.0, 6.0
"""Gains of the flight that the torque is recorded in: it only has to stay near its speed."""
FIGURES = len(StepFigures._fields)

Floats = NDArray[np.float64]


class LoadCourse(NamedTuple):
    """Torque of main and tail rotor over one load step, for every governor sample, and where the step begins.

    Shapes: rows (n, 3): main rotor and tail over head speed squared, N m s2, and collective, rad.
    """

    rows: NDArray[np.float64]
    duty: float
    collective_rad: float
    slow_v: float
    charge: float
    winding_k: float
    goal_rad_s: float


def load_course(point: Point, to: Point, setting: Setting, seconds: float) -> LoadCourse:
    """Return the torque of a step of collective from one condition to another's, as the engine flies it.

    Shapes: seconds -> rows (seconds / sample, 3)
    """
    steady = setting.governor._replace(
        gain=RECORDING_GAIN, gain_per_s=RECORDING_PER_S, gain_s=0.0, filter_s=0.0, sensor_delay_s=0.0,
        sensor_step_rad_s=0.0,
    )  # fmt: skip
    start = step_between(point, to)
    record = engine_record(point, setting, steady, start, seconds, each_step=True)
    steps = setting.clock.steps_a_sample
    square = record[1:, COLUMNS.index("head_rad_s")] ** 2
    rows = np.empty((square.size // steps, 3))
    for column, name in enumerate(("torque_nm", "tail_nm")):
        shape = (record[1:, COLUMNS.index(name)] / square)[: rows.shape[0] * steps]
        rows[:, column] = shape.reshape(-1, steps).mean(axis=1)
    pitch = record[:-1:steps, COLUMNS.index("collective_rad")][: rows.shape[0]]
    rows[:, 2] = pitch
    rows[0, 2] = start.collective_rad
    frozen = point.frozen
    return LoadCourse(
        rows, start.duty, start.collective_rad, float(point.states[2]), frozen.charge, frozen.winding_k,
        start.goal_rad_s,
    )  # fmt: skip


def step_between(point: Point, to: Point) -> StepStart:
    """Return the step of collective that leads from one condition to another's pitch."""
    pitch = float(point.inputs[1])
    return StepStart(point.speed_rad_s, float(point.inputs[0]), pitch, float(to.inputs[1]) - pitch, 0.0)


@kernel
def replay(craft: Craft, course: LoadCourse, governor: Governor, out: NDArray[np.float64]) -> None:
    """Write the deviation of head speed at each governor sample, rad/s, then the duty.

    q(t) = q_recorded(t) (w / w_recorded)^2
    Shapes: out (n, 2), n as course.rows.
    Valid: gains that keep the speed near the recorded one, within some per cent; charge, pack voltage behind its RC
    pair and temperatures stand still over a step of a second or two.
    Source: `flight_step.shafts_after`, `governor.governed`, `loop.seen_speed`; rotor torque over speed squared.
    """
    goal, sample_s = course.goal_rad_s, governor.sample_s
    ages = np.full(AGES, goal)
    ahead = governor.speed_duty_s_rad * goal + governor.collective_duty_per_rad * abs(course.collective_rad)
    memory = GovernorState(course.duty - ahead, goal, goal, 0.0, course.duty)
    head, motor, locked = goal, goal * craft.gears.ratio, 1.0
    source = source_now(craft, course.charge, course.slow_v)
    for sample in range(out.shape[0]):
        out[sample, 0] = head - goal
        if not abs(head - goal) < UNSTABLE_SHARE * goal:
            out[sample:, 0] = head - goal
            return
        ages[sample % AGES] = motor / craft.gears.ratio
        measured = seen_speed(ages, sample, governor.sensor_delay_s / sample_s)
        memory = governed(governor, memory, measured, goal, goal, course.rows[sample, 2])
        out[sample, 1] = memory.duty
        square = head * head
        main_nm, tail_nm = course.rows[sample, 0] * square, course.rows[sample, 1] * square
        held = Held(0.0, main_nm, 0.0, 0.0, 0.0, tail_nm, 0.0, 0.0, 0.0, 0.0, 0.0)
        acting = Acting(memory.duty, course.rows[sample, 2], 0.0, 0.0, 1.0, 0.0, np.nan)
        state = State(
            head, motor, ALOFT_M, 0.0, course.charge, course.slow_v, course.winding_k, course.winding_k,
            course.winding_k, locked,
        )  # fmt: skip
        head, motor, _, _, locked = shafts_after(craft, source, acting, held, state, sample_s)
        if locked == 0.0 and motor >= head * craft.gears.ratio:
            head = common_speed(head, craft.body.head_kg_m2, motor / craft.gears.ratio, train_inertia(craft))
            motor, locked = head * craft.gears.ratio, 1.0


@kernel
def replay_gains(
    craft: Craft,
    course: LoadCourse,
    governor: Governor,
    gains: NDArray[np.float64],
    band_share: float,
    out: NDArray[np.float64],
) -> None:
    """Write the figures of one load step for many gains.

    Shapes: gains (g, 2) proportional and per second; out (g, 4) as StepFigures.
    Valid: as `replay`.
    Source: `replay`, `governor_step.figures_of`.
    """
    run = np.empty((course.rows.shape[0], 2))
    for number in range(gains.shape[0]):
        tried = Governor(
            governor.sample_s, gains[number, 0], gains[number, 1], governor.gain_s, governor.collective_duty_per_rad,
            governor.speed_duty_s_rad, governor.duty_low, governor.duty_high, governor.filter_s,
            governor.sensor_step_rad_s, governor.sensor_delay_s, governor.set_rate_per_s,
        )  # fmt: skip
        replay(craft, course, tried, run)
        found = figures_of(run[:, 0], course.goal_rad_s, band_share, governor.sample_s)
        out[number, 0], out[number, 1], out[number, 2], out[number, 3] = (
            found.drop, found.rise, found.recovery_s, found.left,
        )  # fmt: skip
