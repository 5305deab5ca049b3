"""How fast speed, climb, pack and inflow change: the engine's own kernels, gathered for differentiation."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.craft import Acting, Craft, Held, State
from steadyhead.physics.flight_step import climb_rate, loads_at, shaft_reaction, slow_resistance, source_now
from steadyhead.physics.kernel import kernel
from steadyhead.physics.rotor_flow import RATE, RINGS, TRIED
from steadyhead.physics.shaft import locked_rate
from steadyhead.physics.tail_curve import tail_torque

HEAD, CLIMB, SLOW, FIRST_RING = 0, 1, 2, 3
PLANT_STATES = FIRST_RING + RINGS
STATE_NAMES = (
    "head_rad_s",
    "climb_m_s",
    "slow_v",
    *(f"inflow_{ring + 1}_m_s" for ring in range(RINGS)),
    "collective_rad",
)
INPUT_NAMES = ("duty", "collective_command_rad")
OUTPUT_NAMES = ("head_rad_s", "motor_current_a", "pack_current_a", "pack_voltage_v")
OUTPUTS = len(OUTPUT_NAMES)
ALOFT_M = 100.0
TAIL_TURNS = 6
TILT_TURNS = 4
"""The disc's tilt counts on the rearward force of the moment before; so often it is taken anew."""
SETTLE_ROUNDS = 40
SETTLE_TRY_M_S = 1e-3
SETTLED_M_S2 = 1e-6
LONGEST_SETTLE_M_S = 4.0


class Frozen(NamedTuple):
    """What a linear model holds still: charge, 0 to 1, temperatures, forward speed and load factor. SI."""

    charge: float
    winding_k: float
    case_k: float
    controller_k: float
    forward_m_s: float
    load_factor: float


@kernel
def settle_inflow(
    craft: Craft, acting: Acting, start: Held, head_rad_s: float, climb_m_s: float, flow: NDArray[np.float64]
) -> Held:
    """Loads with the inflow of every ring settled, N and N m; the inflow is left in row TRIED.

    v = v - f / f', every ring by its own slope: rings do not push each other
    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, row TRIED a start. `start` gives the rearward force that
    tilts the disc.
    Valid: where the engine's own inflow settles; at most 40 rounds.
    Source: Newton's method on `inflow_dynamics.inflow_rate`.
    """
    moving = (head_rad_s, head_rad_s, climb_m_s, 1.0)
    held = loads_at(craft, acting, start, moving, flow)
    before = np.empty(RINGS)
    for _ in range(SETTLE_ROUNDS):
        most = 0.0
        for ring in range(RINGS):
            before[ring] = flow[RATE, ring]
            most = max(most, abs(before[ring]))
            flow[TRIED, ring] += SETTLE_TRY_M_S
        loads_at(craft, acting, start, moving, flow)
        for ring in range(RINGS):
            slope = (flow[RATE, ring] - before[ring]) / SETTLE_TRY_M_S
            move = -before[ring] / slope if slope < 0.0 else 0.01 * before[ring]
            flow[TRIED, ring] += min(max(move, -LONGEST_SETTLE_M_S), LONGEST_SETTLE_M_S) - SETTLE_TRY_M_S
        held = loads_at(craft, acting, start, moving, flow)
        if most < SETTLED_M_S2:
            break
    return held


@kernel
def with_tail(held: Held, tail_nm: float) -> Held:
    """The same loads with another torque of the tail rotor, N m at the head.

    Valid: any.
    Source: definition.
    """
    return Held(
        held.thrust_n, held.torque_nm, held.rearward_n, held.inflow_m_s, held.stalled_share, tail_nm, held.tilt_rad,
        held.lift_n, held.pull_n, held.drag_up_n, held.drag_back_n,
    )  # fmt: skip


@kernel
def plant_rates(
    craft: Craft,
    frozen: Frozen,
    start: Held,
    states: NDArray[np.float64],
    inputs: NDArray[np.float64],
    flow: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    """Write how fast the states change, and the outputs behind them.

    Shapes: states (15,) head rad/s, climb m/s, RC voltage V, inflow of the rings m/s; inputs (2,) duty and the pitch
    that the blades have, rad; flow (3, 12) as `rotor_flow.flow_loads`; out (19,) rates, then OUTPUT_NAMES.
    Valid: one-way bearing carrying, aloft; motor current follows at once (the engine has no inductance); the disc
    tilts as `flight_step.disc_tilt` has it.
    Source: `shaft.locked_rate`, `flight_step.climb_rate`, `flight_step.loads_at`; one-RC circuit.
    """
    head, climb, slow_v = states[HEAD], states[CLIMB], states[SLOW]
    acting = Acting(inputs[0], inputs[1], frozen.forward_m_s, 0.0, frozen.load_factor, 0.0, math.nan)
    for ring in range(RINGS):
        flow[TRIED, ring] = states[FIRST_RING + ring]
    held = loads_at(craft, acting, start, (head, head, climb, 1.0), flow)
    if frozen.forward_m_s != 0.0:
        for _ in range(TILT_TURNS):
            held = loads_at(craft, acting, held, (head, head, climb, 1.0), flow)
    state = State(
        head, head * craft.gears.ratio, ALOFT_M, climb, frozen.charge, slow_v, frozen.winding_k, frozen.case_k,
        frozen.controller_k, 1.0,
    )  # fmt: skip
    source = source_now(craft, frozen.charge, slow_v)
    point = point_at_duty(craft.motor, craft.controller, source, inputs[0], head * craft.gears.ratio, frozen.winding_k)
    slow_ohm = slow_resistance(craft, frozen.charge)
    for _ in range(TAIL_TURNS):
        rate = locked_rate(craft, source, acting, held, state, head)
        reaction = shaft_reaction(craft, rate, held, held.torque_nm, held.tail_nm)
        held = with_tail(held, tail_torque(craft.tail, head, reaction) * craft.body.blades_on)
    out[HEAD] = locked_rate(craft, source, acting, held, state, head)
    out[CLIMB] = climb_rate(craft, state, acting, held)
    out[SLOW] = (point.pack_current_a * slow_ohm - slow_v) / craft.pack.slow_time_s
    for ring in range(RINGS):
        out[FIRST_RING + ring] = flow[RATE, ring]
    out[PLANT_STATES] = head
    out[PLANT_STATES + 1] = point.motor_current_a
    out[PLANT_STATES + 2] = point.pack_current_a
    out[PLANT_STATES + 3] = point.pack_voltage_v


@kernel
def plant_slopes(
    craft: Craft,
    frozen: Frozen,
    start: Held,
    states: NDArray[np.float64],
    inputs: NDArray[np.float64],
    steps: NDArray[np.float64],
    flow: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    """Write the slopes of rates and outputs over states and inputs, by central differences.

    d f / d x = (f(x + h) - f(x - h)) / (2 h)
    Shapes: states (15,), inputs (2,), steps (17,) one for every column, flow (3, 12); out (19, 17).
    Valid: smooth over the step; the section table is smooth between its kinks.
    Source: central difference; any numerical analysis textbook.
    """
    moved, given = states.copy(), inputs.copy()
    high, low = np.empty(PLANT_STATES + OUTPUTS), np.empty(PLANT_STATES + OUTPUTS)
    for column in range(PLANT_STATES + 2):
        at = column if column < PLANT_STATES else column - PLANT_STATES
        kept = moved[at] if column < PLANT_STATES else given[at]
        for sign in (1.0, -1.0):
            if column < PLANT_STATES:
                moved[at] = kept + sign * steps[column]
            else:
                given[at] = kept + sign * steps[column]
            plant_rates(craft, frozen, start, moved, given, flow, high if sign > 0.0 else low)
        if column < PLANT_STATES:
            moved[at] = kept
        else:
            given[at] = kept
        for row in range(PLANT_STATES + OUTPUTS):
            out[row, column] = (high[row] - low[row]) / (2.0 * steps[column])
