"""One bail-out in time: from a descent with the motor idling until the machine flies level again.

Run logic, governor, channel, pack, motor, gears and one-way bearing are the kernels of the engine; only the rotor
answers from its map, so that ten thousand bail-outs take seconds. One flight is one scalar function of one row of
numbers, without allocation.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_columns import (
    AIR_UP,
    ARREST,
    BEARING_NM,
    BEARING_PEAK,
    CAUGHT,
    CHARGE,
    CODE,
    COLLECTIVE,
    CONTROLLER,
    DENSITY,
    DRAG,
    DRAG_AREA,
    EFFICIENCY,
    FORWARD,
    FROM,
    GEAR_DRAG,
    HEAD,
    HEAD_INERTIA,
    HEAD_LOW,
    HEAD_TOO_SLOW,
    IDLED,
    KV,
    LEVEL,
    LEVEL_REACHED,
    LIFT,
    LOST,
    MASS,
    MOTOR,
    NO_LOAD,
    NOT_A_NUMBER,
    NOT_LEVEL,
    PACK_OHM,
    PACK_V,
    RATE,
    REACTION,
    RECOGNITION,
    RUN_TAKEN,
    SERVO,
    SINK,
    SLOW_OHM,
    SPOOL,
    START_M,
    TARGET,
    TICK_S,
    TILT,
    TIME,
    WAIT,
    WINDING,
)
from steadyhead.flight.bail_out_kept import Limits, caught_peak, write_row, write_worst
from steadyhead.flight.loop import Now, Setting, asked_speed, sampled
from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.controller import Controller
from steadyhead.physics.craft import GRAVITY_M_S2, NO_LOADS, NOTHING_DRAWN, Acting, Body, Craft, Drawn, Held, State
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.flight_step import climb_rate, settled_contacts, shafts_after, slow_resistance, source_now
from steadyhead.physics.gears import Gears
from steadyhead.physics.governor import GovernorState
from steadyhead.physics.kernel import inlined_kernel, kernel
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import Pack, charge_after, slow_voltage_after
from steadyhead.physics.point_mass import Moving, ahead_rate, plane_held
from steadyhead.physics.rotor_map import Grade, RotorMap
from steadyhead.physics.run_state import (
    GOVERNED,
    NONE_S,
    QUICK,
    SOFT,
    RunRules,
    RunState,
    advance,
    is_driven,
    moved_channel,
)
from steadyhead.physics.servo import lag_left, lagged, slewed
from steadyhead.physics.tail_curve import tail_torque
from steadyhead.physics.warmth import warming

CLIMB_END_M_S = 0.5
AFTER_LEVEL_S = 0.5
LONG_S, LOGIC_STEP_S = 600.0, 0.02
SLOWEST_HEAD = 0.5
HEAD_CARRIES, MOTOR_IS_UP = 0.85, 0.92
"""The pilot pulls once head and motor have these shares of the set speed; common practice, no source."""
GAIN_RAD_S_M, MOST_RAD_S = 0.0209, 1.0
"""The pilot's pull for a metre a second too much sink (1.2 degrees), and his fastest hand; common practice."""
TILT_GAIN_RAD_S_M, TILT_RAD_S = 0.04, 1.5


class Plane(NamedTuple):
    """What the engine's own state has not: forward flight, the predicted middle, and when the motor took hold."""

    forward_m_s: float
    tilt_rad: float
    climb_rate_m_s2: float
    ahead_rate_m_s2: float
    head_rate_rad_s2: float
    switched_s: float
    held_s: float
    pulled_m_s: float


@inlined_kernel
def drawn_craft(craft: Craft, case: NDArray[np.float64]) -> tuple[Craft, Grade]:
    """The machine of one case.

    Shapes: case (33,) as CASE.
    Valid: what a case does not hold is the machine's own.
    Source: definition.
    """
    motor, controller, pack, body, gears = craft.motor, craft.controller, craft.pack, craft.body, craft.gears
    drawn = Craft(
        Motor(case[KV], case[WINDING], case[NO_LOAD], motor.no_load_speed_rad_s, motor.no_load_speed_share),
        Controller(
            case[CONTROLLER], controller.switching_hz, controller.switching_loss_s, controller.ripple_factor,
            controller.freewheel_v,
        ),
        Pack(pack.cells, pack.capacity_as, case[PACK_OHM], case[SLOW_OHM], pack.slow_time_s, pack.cell_rest_offset_v),
        Gears(gears.ratio, case[EFFICIENCY], gears.drag_torque_nm * case[GEAR_DRAG]),
        craft.heats, craft.rotor, craft.section, craft.air, craft.tail,
        Body(
            case[MASS], case[DRAG_AREA], case[HEAD_INERTIA], body.motor_kg_m2, body.head_drag_nm * case[GEAR_DRAG],
            body.blades_on, body.tail_on_head, body.pack_k, body.air_k,
        ),
    )  # fmt: skip
    return drawn, Grade(case[DENSITY], case[LIFT], case[DRAG])


@inlined_kernel
def begun(craft: Craft, setting: Setting, case: NDArray[np.float64]) -> tuple[Now, Plane]:
    """How a bail-out begins: the motor idling or off, a quick restart permitted, as the run logic has it by then.

    Shapes: case (33,) as CASE.
    Valid: governed for long before; a motor that the logic has stopped stands.
    Source: definition.
    """
    air_k, head = craft.body.air_k, case[HEAD]
    run = RunState(GOVERNED, LONG_S, 0.0, 0.0, LONG_S, NONE_S, 0)
    goal, train = asked_speed(setting.law_percent, setting.law_rad_s, case[TARGET]), case[MOTOR] / craft.gears.ratio
    for _ in range(int(case[IDLED] / LOGIC_STEP_S)):
        run = advance(setting.rules, run, case[FROM], train / goal, head / goal, LOGIC_STEP_S)
    motor = case[MOTOR] if is_driven(run.run) else 0.0
    locked = 1.0 if motor >= head * craft.gears.ratio else 0.0
    state = State(
        head, motor, START_M, -case[SINK], case[CHARGE], 0.0, air_k + 30.0, air_k + 15.0, air_k + 20.0, locked
    )
    governor = GovernorState(0.0, motor / craft.gears.ratio, 0.0, 0.0, 0.0)
    now = Now(
        state, (NO_LOADS, NOTHING_DRAWN), governor, run, case[FROM], case[COLLECTIVE], case[COLLECTIVE],
        case[COLLECTIVE], case[FORWARD], 0,
    )  # fmt: skip
    return now, Plane(case[FORWARD], case[TILT], 0.0, 0.0, 0.0, NONE_S, NONE_S, 0.0)


@inlined_kernel
def handled(case: NDArray[np.float64], now: Now, plane: Plane, time_s: float) -> tuple[float, float]:
    """Collective that the pilot asks for, rad, and the climb speed he wants, m/s.

    Until he reacts he does nothing; then he holds the waiting pitch until the motor drives the head and he has noticed;
    then the wanted sink falls at a steady rate, and pitch goes with it from the waiting one to that of level flight.
    Shapes: case (33,) as CASE.
    Valid: a plain law of a practised pilot; common practice, no source.
    Source: linear law with a correction for the sink he sees; ours.
    """
    if plane.switched_s < 0.0:
        return now.asked_rad, now.state.climb_m_s
    if plane.held_s < 0.0 or time_s < plane.held_s + case[RECOGNITION]:
        return case[WAIT], now.state.climb_m_s
    since = time_s - plane.held_s - case[RECOGNITION]
    wanted = min(plane.pulled_m_s + case[ARREST] * since, CLIMB_END_M_S)
    share = min(max(wanted / min(plane.pulled_m_s, -0.1), 0.0), 1.0)
    asked = case[LEVEL] + (case[WAIT] - case[LEVEL]) * share
    return asked + GAIN_RAD_S_M * (wanted - now.state.climb_m_s), wanted


@inlined_kernel
def moved_plane(
    craft: Craft, rotor_map: RotorMap, grade: Grade, now: Now, plane: Plane, middle_rad: float, air_up_m_s: float,
    step_s: float,
) -> tuple[State, tuple[Held, Drawn], DrivePoint, Plane]:  # fmt: skip
    """State after one step, what was held and drawn, the drive at its middle, and the flight in the plane.

    Valid: inflow settled; steps of a few milliseconds.
    Source: explicit midpoint with the slopes of the step before; `shaft` by the implicit midpoint rule.
    """
    half = 0.5 * step_s
    state, before = now.state, now.carried[1]
    head_nm = before.bearing_nm - craft.body.head_drag_nm - now.carried[0].tail_nm * craft.body.tail_on_head
    on_train = state.locked == 0.0 and craft.body.tail_on_head == 0.0
    tail_speed = state.motor_rad_s / craft.gears.ratio if on_train else state.head_rad_s
    moving = Moving(
        plane.forward_m_s + half * plane.ahead_rate_m_s2,
        state.climb_m_s + half * plane.climb_rate_m_s2 - air_up_m_s,
        plane.tilt_rad,
        max(state.head_rad_s + half * plane.head_rate_rad_s2, 1.0),
        middle_rad,
    )
    held = plane_held(craft, rotor_map, grade, moving, tail_torque(craft.tail, tail_speed, max(head_nm, 0.0)))
    acting = Acting(now.governor.duty, middle_rad, 0.0, 0.0, 1.0, 0.0, math.nan)
    slow_ohm = slow_resistance(craft, state.charge)
    source = source_now(craft, state.charge, state.slow_v)
    head, motor, motor_middle, torque, locked = shafts_after(craft, source, acting, held, state, step_s)
    point = point_at_duty(craft.motor, craft.controller, source, acting.duty, motor_middle, state.winding_k)
    warm = warming(craft.heats, state.winding_k, state.case_k, state.controller_k, point, craft.body.air_k)
    up, ahead = climb_rate(craft, state, acting, held), ahead_rate(craft, held)
    after = State(
        head, motor, state.height_m + step_s * (state.climb_m_s + half * up), state.climb_m_s + step_s * up,
        charge_after(state.charge, point.pack_current_a, craft.pack.capacity_as, step_s),
        slow_voltage_after(state.slow_v, point.pack_current_a, slow_ohm, craft.pack.slow_time_s, step_s),
        state.winding_k + step_s * warm[0], state.case_k + step_s * warm[1], state.controller_k + step_s * warm[2],
        locked,
    )  # fmt: skip
    drawn = Drawn(torque, point.pack_current_a, warm[0], warm[1], warm[2])
    plane = Plane(
        plane.forward_m_s + step_s * ahead, plane.tilt_rad, up, ahead, (head - state.head_rad_s) / step_s,
        plane.switched_s, plane.held_s, plane.pulled_m_s,
    )  # fmt: skip
    return after, (held, drawn), point, plane


@inlined_kernel
def with_spool(setting: Setting, quick_spool_s: float, servo_lag_s: float) -> Setting:
    """The same setting with another quick ramp and servo.

    Valid: any ramp above zero.
    Source: definition.
    """
    r = setting.rules
    rules = RunRules(
        r.stop_percent, r.start_percent, r.start_delay_s, r.stop_delay_s, r.soft_spool_s, quick_spool_s,
        r.governed_before_s, r.permission_s, r.clear_percent, r.clear_after_s, r.arm_s, r.permits,
        r.idles_after_running, r.idles_from_rest, r.counts_spool_up, r.needs_turning_head, r.arms, r.arm_visits,
    )  # fmt: skip
    return Setting(
        setting.clock, setting.governor, rules, setting.pilot, servo_lag_s, setting.idle_duty, setting.law_percent,
        setting.law_rad_s,
    )  # fmt: skip


@inlined_kernel
def noticed(case: NDArray[np.float64], now: Now, plane: Plane, time_s: float, goal_rad_s: float, ratio: float) -> Plane:
    """What the pilot has noticed by now: that he has to react, and that the motor is up; `ratio` is head over motor.

    Shapes: case (33,) as CASE.
    Valid: as `handled`.
    Source: common practice, no source.
    """
    switched, held, pulled = plane.switched_s, plane.held_s, plane.pulled_m_s
    if switched < 0.0 and time_s >= case[REACTION]:
        switched = time_s
    train = ratio * now.state.motor_rad_s
    head = now.state.head_rad_s
    carries = train >= MOTOR_IS_UP * min(head, goal_rad_s) and head >= HEAD_CARRIES * goal_rad_s
    if held < 0.0 and switched >= 0.0 and carries and now.run.run in (SOFT, QUICK, GOVERNED) and time_s > switched:
        held = time_s
    if held < 0.0 or time_s <= held + case[RECOGNITION]:
        pulled = now.state.climb_m_s
    wanted = case[TILT] + TILT_GAIN_RAD_S_M * (case[FORWARD] - plane.forward_m_s)
    tilt = slewed(plane.tilt_rad, min(max(wanted, -0.5), 0.5), TILT_RAD_S, TICK_S)
    return Plane(
        plane.forward_m_s, tilt, plane.climb_rate_m_s2, plane.ahead_rate_m_s2, plane.head_rate_rad_s2, switched, held,
        pulled,
    )  # fmt: skip


@kernel
def bail_out(
    craft: Craft, rotor_map: RotorMap, setting: Setting, limits: Limits, case: NDArray[np.float64],
    scratch: NDArray[np.float64], told: NDArray[np.float64], record: NDArray[np.float64],
) -> int:  # fmt: skip
    """Fly one bail-out and write what it tells; returns the number of rows of the record that were written.

    Shapes: case (33,) as CASE, scratch (79,), told (19,) as TOLD, record (n, 8) as ROWS, one row every tick of 20 ms as
    far as it reaches, n may be 0.
    Valid: as `moved_plane`; no ground. Height lost counts from the moment in which the decision falls.
    Source: the kernels named above.
    """
    craft, grade = drawn_craft(craft, case)
    setting = with_spool(setting, case[SPOOL], case[SERVO])
    now, plane = begun(craft, setting, case)
    step_s, ticks, rows = setting.clock.step_s, setting.clock.steps_a_frame, 0
    half_left, whole_left = lag_left(case[SERVO], 0.5 * step_s), lag_left(case[SERVO], step_s)
    goal = asked_speed(setting.law_percent, setting.law_rad_s, case[TARGET])
    scratch[:] = 0.0
    ages = scratch[15:]
    ages[:] = now.state.motor_rad_s / craft.gears.ratio
    told[:] = 0.0
    told[HEAD_LOW], told[PACK_V], told[CODE], told[CAUGHT] = math.inf, math.inf, NOT_LEVEL, math.nan
    lowest, level_s, peak = START_M, math.inf, 0.0
    for number in range(int(limits.longest_s / step_s)):
        time_s, channel, asked = number * step_s, now.channel_percent, now.asked_rad
        if number % ticks == 0:
            plane = noticed(case, now, plane, time_s, goal, 1.0 / craft.gears.ratio)
            target = case[TARGET] if plane.switched_s >= 0.0 else case[FROM]
            channel = moved_channel(channel, target, case[RATE], TICK_S)
            asked = slewed(now.asked_rad, handled(case, now, plane, time_s)[0], MOST_RAD_S, TICK_S)
            asked = min(max(asked, setting.pilot.low_rad), setting.pilot.high_rad)
            if rows < record.shape[0]:
                write_row(record, rows, time_s, now, asked)
                rows += 1
        now = Now(
            now.state, now.carried, now.governor, now.run, channel, asked, now.collective_rad, 0.0, 0.0, number,
        )  # fmt: skip
        governor, run = sampled(setting, craft, now, ages)
        middle = lagged(now.collective_rad, asked, half_left)
        now = Now(now.state, now.carried, governor, run, channel, asked, now.collective_rad, 0.0, 0.0, number)
        state, carried, point, plane = moved_plane(craft, rotor_map, grade, now, plane, middle, case[AIR_UP], step_s)
        rate = (state.motor_rad_s - now.state.motor_rad_s) / step_s
        caught = now.state.locked == 0.0 and state.motor_rad_s >= state.head_rad_s * craft.gears.ratio
        state = settled_contacts(craft, state, scratch[:15])
        now = Now(
            state, carried, governor, run, channel, asked, lagged(now.collective_rad, asked, whole_left), 0.0, 0.0,
            number,
        )  # fmt: skip
        write_worst(craft, now, point, rate, 1.0 + plane.climb_rate_m_s2 / GRAVITY_M_S2, told, step_s)
        if told[RUN_TAKEN] == 0.0 and run.run in (QUICK, SOFT):
            told[RUN_TAKEN] = run.run
        if caught:
            told[CAUGHT] = time_s if math.isnan(told[CAUGHT]) else told[CAUGHT]
            load = max(carried[0].torque_nm, 0.0) + craft.body.head_kg_m2 * goal / case[SPOOL]
            peak = max(peak, caught_peak(craft, limits, now, state, load, rate))
        lowest = min(lowest, state.height_m)
        if level_s == math.inf and plane.held_s >= 0.0 and state.climb_m_s >= 0.0:
            level_s, told[CODE] = time_s, LEVEL_REACHED
        if time_s > level_s + AFTER_LEVEL_S:
            break
        if not math.isfinite(state.head_rad_s + state.climb_m_s + state.motor_rad_s):
            told[CODE] = NOT_A_NUMBER
            break
        if state.head_rad_s < SLOWEST_HEAD * goal:
            told[CODE] = HEAD_TOO_SLOW
            break
    told[LOST], told[TIME] = START_M - lowest, level_s
    told[BEARING_PEAK] = max(peak, told[BEARING_NM]) if not math.isnan(limits.play_rad) else math.nan
    return rows


@kernel
def bail_outs(
    craft: Craft, rotor_map: RotorMap, setting: Setting, limits: Limits, cases: NDArray[np.float64],
    told: NDArray[np.float64],
) -> None:  # fmt: skip
    """Fly one bail-out for every row of cases.

    Shapes: cases (n, 33) as CASE, told (n, 19) as TOLD.
    Valid: as `bail_out`.
    Source: `bail_out`.
    """
    scratch, none = np.zeros(79), np.zeros((0, 8))
    for number in range(cases.shape[0]):
        bail_out(craft, rotor_map, setting, limits, cases[number], scratch, told[number], none)
