"""The loop in time: pulses, servo, run logic, governor, then one step of the physics, thousands of times."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.craft import Acting, Craft, Drawn, Held, State
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.flight_step import flight_step
from steadyhead.physics.governor import Governor, GovernorState, governed, ramped
from steadyhead.physics.held import HOTTEST_K
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.pilot import Pilot, climb_wanted, collective_flown
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import stalled_flow
from steadyhead.physics.run_state import (
    GOVERNED,
    IDLING,
    QUICK,
    SOFT,
    RunRules,
    RunState,
    advance,
    moved_channel,
    ramp_per_s,
)
from steadyhead.physics.servo import lag_left, lagged

COMMANDS = (
    "target_percent", "rate_percent_s", "collective_rad", "height_m", "climb_m_s", "forward_m_s", "load_factor",
    "guide_m_s", "load_nm",
)  # fmt: skip
"""Columns of the commands, one row a pulse frame.

The pilot flies to the height, else at the climb speed; where both are no number, the collective is the scenario's.
`guide_m_s` is a logged climb speed that an outside force follows, `load_nm` a torque in the rotor's place.
"""
TARGET, RATE_OF, COLLECTIVE, HEIGHT, CLIMB, FORWARD, LOAD_FACTOR, GUIDE, LOAD = range(9)
GUIDE_S = 0.2
"""Time in which the guide brings the climb speed to the logged one."""

COLUMNS = (
    "time_s", "head_rad_s", "motor_rad_s", "height_m", "climb_m_s", "charge", "winding_k", "case_k", "controller_k",
    "duty", "pack_voltage_v", "pack_current_a", "motor_current_a", "collective_rad", "channel_percent", "set_rad_s",
    "run", "thrust_n", "torque_nm", "tail_nm", "bearing_nm", "inflow_m_s", "motor_torque_nm", "locked", "stalled_share",
)  # fmt: skip
"""What one row of the record holds."""
SONIC_SHARE = 0.95
COLLAPSE_V_CELL = 1.4
AGES = 64
"""Samples of speed that a delayed sensor can look back."""


class Clock(NamedTuple):
    """Steps of the loop. One frame, one governor sample and one row of the record are whole numbers of steps."""

    step_s: float
    steps_a_frame: int
    steps_a_sample: int
    steps_a_row: int


class Setting(NamedTuple):
    """All that does not change during a flight, besides the craft. SI; percent of the channel.

    Shapes: law_percent, law_rad_s (m,) rising: head speed asked for over channel value.
    """

    clock: Clock
    governor: Governor
    rules: RunRules
    pilot: Pilot
    servo_lag_s: float
    idle_duty: float
    law_percent: NDArray[np.float64]
    law_rad_s: NDArray[np.float64]


class Now(NamedTuple):
    """Everything that one step hands to the next, arrays left out."""

    state: State
    carried: tuple[Held, Drawn]
    governor: GovernorState
    run: RunState
    channel_percent: float
    asked_rad: float
    collective_rad: float
    trim_rad: float
    forward_m_s: float
    step: int


@kernel
def asked_speed(law_percent: NDArray[np.float64], law_rad_s: NDArray[np.float64], channel_percent: float) -> float:
    """Head speed that a channel value asks for, rad/s; beyond the ends of the law its end values.

    Shapes: law_percent, law_rad_s (m,), law_percent rising.
    Valid: as good as the law.
    Source: linear interpolation.
    """
    last = law_percent.shape[0] - 1
    if channel_percent <= law_percent[0]:
        return float(law_rad_s[0])
    for number in range(1, last + 1):
        if channel_percent <= law_percent[number]:
            low, high = law_percent[number - 1], law_percent[number]
            share = (channel_percent - low) / (high - low)
            return float(law_rad_s[number - 1] + share * (law_rad_s[number] - law_rad_s[number - 1]))
    return float(law_rad_s[last])


@kernel
def seen_speed(ages_rad_s: NDArray[np.float64], sample: int, delay_samples: float) -> float:
    """Speed as a sensor of some age tells it, rad/s.

    Shapes: ages_rad_s (64,), written round.
    Valid: a delay below 62 samples.
    Source: linear interpolation between samples.
    """
    whole = int(delay_samples)
    part = delay_samples - whole
    newer = ages_rad_s[(sample - whole) % AGES]
    return float(newer + part * (ages_rad_s[(sample - whole - 1) % AGES] - newer))


@kernel
def sampled(
    setting: Setting, craft: Craft, now: Now, ages_rad_s: NDArray[np.float64]
) -> tuple[GovernorState, RunState]:
    """Run logic and governor after one sample: what the motor does, and the duty that holds until the next.

    Shapes: ages_rad_s (64,).
    Valid: set speed above zero.
    Source: `run_state.advance`, `governor.governed`.
    """
    governor, before = setting.governor, now.governor
    sample = now.step // setting.clock.steps_a_sample
    goal = asked_speed(setting.law_percent, setting.law_rad_s, now.channel_percent)
    train = now.state.motor_rad_s / craft.gears.ratio
    ages_rad_s[sample % AGES] = train
    run = advance(
        setting.rules, now.run, now.channel_percent, train / goal, now.state.head_rad_s / goal, governor.sample_s
    )
    measured = seen_speed(ages_rad_s, sample, governor.sensor_delay_s / governor.sample_s)
    kind = run.run
    if kind not in (SOFT, QUICK, GOVERNED):
        duty = setting.idle_duty if kind == IDLING else 0.0
        return GovernorState(0.0, measured, measured, 0.0, duty), run
    if kind != now.run.run and kind in (SOFT, QUICK):
        before = GovernorState(0.0, measured, measured, 0.0, before.duty)
    share = governor.set_rate_per_s if kind == GOVERNED else ramp_per_s(setting.rules, kind)
    set_rad_s = ramped(before.set_rad_s, goal, share * goal, governor.sample_s)
    return governed(governor, before, measured, set_rad_s, goal, now.collective_rad), run


@kernel
def framed(setting: Setting, now: Now, commands: NDArray[np.float64]) -> tuple[float, float, float]:
    """Channel percent, collective asked for and the pilot's trim at a new pulse frame, percent and rad.

    Shapes: commands (f, 9) as COMMANDS.
    Valid: the last row holds after the end.
    Source: `run_state.moved_channel`, `pilot.collective_flown`.
    """
    frame_s = setting.clock.step_s * setting.clock.steps_a_frame
    row = min(now.step // setting.clock.steps_a_frame, commands.shape[0] - 1)
    channel = moved_channel(now.channel_percent, commands[row, TARGET], commands[row, RATE_OF], frame_s)
    climb = float(commands[row, CLIMB])
    if not math.isnan(commands[row, HEIGHT]):
        climb = climb_wanted(setting.pilot, commands[row, HEIGHT], now.state.height_m)
    if math.isnan(climb):
        return channel, float(commands[row, COLLECTIVE]), now.trim_rad
    asked, trim = collective_flown(setting.pilot, climb, now.state.climb_m_s, now.trim_rad, frame_s)
    return channel, asked, trim


@kernel
def stalled_now(craft: Craft, now: Now, flow: NDArray[np.float64]) -> float:
    """Share of the main rotor's disc past stall, 0 to 1; forward speed left out.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`.
    Valid: as `rotor_flow.stalled_flow`; 0 with the blades off.
    Source: `rotor_flow.stalled_flow`.
    """
    if craft.body.blades_on == 0.0:
        return 0.0
    motion = Motion(now.state.head_rad_s, now.collective_rad, 0.0, now.state.climb_m_s, 0.0)
    return stalled_flow(craft.rotor, craft.section, craft.air, motion, flow)


@inlined_kernel
def stop_of(craft: Craft, state: State, point: DrivePoint) -> int:
    """Code of a FlightStop that a state calls for, 0 to go on.

    Valid: any state, also one that is no number.
    Source: definition.
    """
    total = state.head_rad_s + state.motor_rad_s + state.climb_m_s + state.winding_k + point.pack_current_a
    if not math.isfinite(total):
        return 1
    if state.head_rad_s * craft.rotor.radius_m * craft.body.blades_on > SONIC_SHARE * craft.air.speed_of_sound_m_s:
        return 2
    if state.charge <= 0.0:
        return 3
    if state.winding_k > HOTTEST_K:
        return 4
    return 5 if point.pack_voltage_v < COLLAPSE_V_CELL * craft.pack.cells else 0


@inlined_kernel
def written(
    record: NDArray[np.float64], row: int, time_s: float, now: Now, point: DrivePoint, stalled_share: float
) -> None:
    """Write one row of the record.

    Shapes: record (n, 25) as COLUMNS.
    Valid: row below n.
    Source: definition.
    """
    state, held = now.state, now.carried[0]
    out = record[row]
    out[0], out[1], out[2], out[3], out[4] = (
        time_s,
        state.head_rad_s,
        state.motor_rad_s,
        state.height_m,
        state.climb_m_s,
    )
    out[5], out[6], out[7], out[8] = state.charge, state.winding_k, state.case_k, state.controller_k
    out[9], out[10], out[11], out[12] = point.duty, point.pack_voltage_v, point.pack_current_a, point.motor_current_a
    out[13], out[14], out[15], out[16] = now.collective_rad, now.channel_percent, now.governor.set_rad_s, now.run.run
    out[17], out[18], out[19], out[20] = held.thrust_n, held.torque_nm, held.tail_nm, now.carried[1].bearing_nm
    out[21], out[22], out[23], out[24] = held.inflow_m_s, point.motor_torque_nm, state.locked, stalled_share


@kernel
def fly(
    craft: Craft,
    setting: Setting,
    now: Now,
    commands: NDArray[np.float64],
    flow: NDArray[np.float64],
    memory: NDArray[np.float64],
    record: NDArray[np.float64],
    steps: int,
) -> tuple[int, Now]:
    """Fly a number of steps on and return a FlightStop code and where the flight is.

    Shapes: commands (f, 9) as COMMANDS, one row a frame; flow (3, 12) as `rotor_flow.flow_loads`; memory (79,): the
    books, then the speeds a delayed sensor looks back on; record (n, 25) as COLUMNS, written at its own rows.
    Valid: second order in the step between jumps; governor samples and frames fall on steps.
    Source: `flown_step`.
    """
    clock = setting.clock
    end = now.step + steps
    lags = (lag_left(setting.servo_lag_s, 0.5 * clock.step_s), lag_left(setting.servo_lag_s, clock.step_s))
    while now.step < end:
        now, point = flown_step(craft, setting, now, commands, flow, memory, lags)
        if now.step % clock.steps_a_row == 0:
            stalled = stalled_now(craft, now, flow)
            written(record, now.step // clock.steps_a_row, now.step * clock.step_s, now, point, stalled)
            code = stop_of(craft, now.state, point)
            if code != 0:
                return code, now
    return 0, now


@inlined_kernel
def flown_step(
    craft: Craft, setting: Setting, now: Now, commands: NDArray[np.float64], flow: NDArray[np.float64],
    memory: NDArray[np.float64], lags: tuple[float, float],
) -> tuple[Now, DrivePoint]:  # fmt: skip
    """Where the flight is one step on, and the drive at the step's middle; `lags` are the servo's over half and whole.

    Shapes: commands (f, 9) as COMMANDS, flow (3, 12) and memory (79,) as `fly`.
    Valid: as `fly`.
    Source: `flight_step`.
    """
    clock = setting.clock
    books, ages = memory[: memory.shape[0] - AGES], memory[memory.shape[0] - AGES :]
    channel, asked, trim = now.channel_percent, now.asked_rad, now.trim_rad
    if now.step % clock.steps_a_frame == 0:
        channel, asked, trim = framed(setting, now, commands)
    now = Now(
        now.state, now.carried, now.governor, now.run, channel, asked, now.collective_rad, trim, now.forward_m_s,
        now.step,
    )  # fmt: skip
    governor, run = now.governor, now.run
    if now.step % clock.steps_a_sample == 0:
        governor, run = sampled(setting, craft, now, ages)
    frame = min(now.step // clock.steps_a_frame, commands.shape[0] - 1)
    after = min(frame + 1, commands.shape[0] - 1)
    rate = (commands[after, FORWARD] - commands[frame, FORWARD]) / (clock.step_s * clock.steps_a_frame)
    middle = lagged(now.collective_rad, asked, lags[0])
    forward = now.forward_m_s + 0.5 * clock.step_s * rate
    guide = 0.0
    if not math.isnan(commands[frame, GUIDE]):
        guide = craft.body.mass_kg * (commands[frame, GUIDE] - now.state.climb_m_s) / GUIDE_S
    acting = Acting(governor.duty, middle, forward, rate, commands[frame, LOAD_FACTOR], guide, commands[frame, LOAD])
    state, carried, point = flight_step(craft, now.state, acting, now.carried, flow, books, clock.step_s)
    now = Now(
        state, carried, governor, run, channel, asked, lagged(now.collective_rad, asked, lags[1]), trim,
        now.forward_m_s + clock.step_s * rate, now.step + 1,
    )  # fmt: skip
    return now, point
