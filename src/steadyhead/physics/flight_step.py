"""One step of a flight: blade elements once, at the step's predicted middle; everything else exact for those loads.

Second order in the step: the middle is predicted with the loads of the step before, and the shafts are solved by the
implicit midpoint rule, so that a light motor on a stiff winding does not limit the step.
"""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.at_duty import point_at_duty
from steadyhead.physics.books import BEARING, GROUND, book_drive, book_flight, stored_energy
from steadyhead.physics.craft import GRAVITY_M_S2, Acting, Craft, Drawn, Held, State
from steadyhead.physics.disc_path import air_at_disc, drag_per_speed
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.kernel import inlined_kernel
from steadyhead.physics.one_way_bearing import common_speed
from steadyhead.physics.pack import (
    Source,
    charge_after,
    charge_factor,
    rest_voltage,
    slow_charge_factor,
    slow_voltage_after,
    temperature_factor,
)
from steadyhead.physics.rotor import Motion, RotorLoads
from steadyhead.physics.rotor_flow import NOW, RATE, RINGS, STILL_RAD_S, TRIED, flow_loads
from steadyhead.physics.shaft import (
    carried_torque,
    free_head_rate,
    locked_rate,
    middle_of_free,
    middle_of_locked,
    train_inertia,
)
from steadyhead.physics.tail_curve import tail_torque
from steadyhead.physics.warmth import warming

TILT_END = 0.7
TAIL_TURNS = 3


@inlined_kernel
def source_now(craft: Craft, charge: float, slow_v: float) -> Source:
    """What the pack offers at this moment: open-circuit voltage less that over its RC pair, behind its quick ohms.

    Valid: any charge; below empty the curve's end holds.
    Source: one-RC equivalent circuit; any circuits textbook.
    """
    quick = craft.pack.resistance_25c_ohm * charge_factor(charge) * temperature_factor(craft.body.pack_k)
    return Source(rest_voltage(craft.pack, charge) - slow_v, quick)


@inlined_kernel
def slow_resistance(craft: Craft, charge: float) -> float:
    """Resistance of the pack's RC pair, ohm.

    Valid: any charge.
    Source: `pack.slow_charge_factor`, `pack.temperature_factor`.
    """
    return craft.pack.slow_resistance_25c_ohm * slow_charge_factor(charge) * temperature_factor(craft.body.pack_k)


@inlined_kernel
def climb_rate(craft: Craft, state: State, acting: Acting, held: Held) -> float:
    """Vertical acceleration, m/s2, up positive; none while the machine stands on the ground or is held down.

    m dV/dt = lift - drag - n W + guide
    Valid: point mass; the ground carries what the rotor does not.
    Source: Newton's law.
    """
    lift = held.lift_n - held.drag_up_n + acting.guide_n
    rate = lift / craft.body.mass_kg - acting.load_factor * GRAVITY_M_S2
    if (
        craft.body.blades_on == 0.0
        or not math.isnan(acting.load_nm)
        or (state.height_m <= 0.0 and state.climb_m_s <= 0.0 and rate < 0.0)
    ):
        return 0.0
    return rate


@inlined_kernel
def main_loads(craft: Craft, acting: Acting, head_rad_s: float, climb_m_s: float, tilt_rad: float,
               flow: NDArray[np.float64]) -> RotorLoads:  # fmt: skip
    """Loads of the main rotor at the inflow tried; none with the blades off, the given torque where one is given.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`.
    Valid: as `rotor_flow.flow_loads`; the cyclic pitch that levels the disc in forward flight is left out (it changes
    the torque by a few per cent).
    Source: `rotor_flow.flow_loads`.
    """
    given = not math.isnan(acting.load_nm)
    if given or craft.body.blades_on == 0.0:
        torque = acting.load_nm if given and head_rad_s > STILL_RAD_S else 0.0
        return RotorLoads(0.0, torque, torque * head_rad_s, 0.0, 0.0, 0.0, 0.0, 0.0)
    through, edgewise = air_at_disc(acting.forward_m_s, climb_m_s, tilt_rad)
    motion = Motion(head_rad_s, acting.collective_rad, 0.0, through, edgewise)
    return flow_loads(craft.rotor, craft.section, craft.air, motion, flow)


@inlined_kernel
def disc_tilt(craft: Craft, acting: Acting, back_n: float, down_n: float, held: Held) -> float:
    """Angle of the disc, nose down, that the forward speed takes, rad.

    a = atan(B / V) + asin(H / sqrt(V^2 + B^2)), B = D_back + m dU/dt, V = n W + D_down, kept within 0.7
    The pilot sets it for steady flight: a disc that followed every change of thrust would lose thrust by tilting and
    tilt more for it, faster than any pilot, and run away above about 15 m/s.
    Valid: forward speed changing slowly; what the tilt does not pull at the moment comes from outside, see `books`.
    Source: balance of forces in steady flight; any rotor textbook.
    """
    if acting.forward_m_s == 0.0:
        return 0.0
    weight = GRAVITY_M_S2 * craft.body.mass_kg
    back = back_n + craft.body.mass_kg * acting.forward_rate_m_s2
    up = max(acting.load_factor * weight + down_n, 0.1 * weight)
    across = min(max(held.rearward_n / math.sqrt(up * up + back * back), -TILT_END), TILT_END)
    tilt = math.atan(back / up) + math.asin(across)
    return min(max(tilt, -TILT_END), TILT_END)


@inlined_kernel
def loads_at(
    craft: Craft, acting: Acting, held: Held, moving: tuple[float, float, float, float], flow: NDArray[np.float64]
) -> Held:
    """Loads at head speed, speed of the tail's drive (both rad/s at the head), climb m/s, and torque share to hold.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`; the inflow tried in row TRIED, its row RATE is renewed.
    Valid: vertical flight, or forward flight at the scenario's speed; drag area alike in all directions.
    Source: `rotor_flow.flow_loads`, `tail_curve.tail_torque`; drag of a body, any fluid mechanics textbook.
    """
    head, tail_speed, climb, reacting = moving
    per_speed = drag_per_speed(craft.air.density_kg_m3, craft.body.drag_area_m2, acting.forward_m_s, climb)
    back = per_speed * acting.forward_m_s
    tilt = disc_tilt(craft, acting, back, per_speed * climb, held)
    loads = main_loads(craft, acting, head, climb, tilt, flow)
    tail = tail_torque(craft.tail, tail_speed, reacting * loads.torque_nm) * craft.body.blades_on
    lift = loads.thrust_n * math.cos(tilt) + loads.drag_n * math.sin(tilt)
    pull = loads.thrust_n * math.sin(tilt) - loads.drag_n * math.cos(tilt)
    return Held(
        loads.thrust_n, loads.torque_nm, loads.drag_n, loads.inflow_m_s, loads.stalled_share, tail, tilt, lift, pull,
        per_speed * climb, back,
    )  # fmt: skip


@inlined_kernel
def loads_between(
    craft: Craft, state: State, acting: Acting, held: Held, flow: NDArray[np.float64], source: Source, step_s: float
) -> Held:
    """Loads at the middle of a step that is predicted with the loads of the step before.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`; its row RATE is renewed.
    Valid: step well below the inflow's own time (see `rotor_flow`).
    Source: explicit midpoint rule with the slope of the step before; any numerical analysis textbook.
    """
    half, locked = 0.5 * step_s, state.locked > 0.0
    rate = locked_rate(craft, source, acting, held, state, state.head_rad_s) if locked else free_head_rate(craft, held)
    head = max(state.head_rad_s + half * rate, 0.0)
    climb = state.climb_m_s + half * climb_rate(craft, state, acting, held)
    for ring in range(RINGS):
        flow[TRIED, ring] = flow[NOW, ring] + half * flow[RATE, ring]
    on_train = not locked and craft.body.tail_on_head == 0.0
    tail_speed = state.motor_rad_s / craft.gears.ratio if on_train else head
    new = loads_at(craft, acting, held, (head, tail_speed, climb, 0.0), flow)
    tail = tail_torque(craft.tail, tail_speed, 0.0) * craft.body.blades_on
    if locked:
        middle = locked_rate(craft, source, acting, held, state, head)
        tail = held.tail_nm
        for _ in range(TAIL_TURNS):
            reaction = shaft_reaction(craft, middle, held, new.torque_nm, tail)
            tail = tail_torque(craft.tail, tail_speed, reaction) * craft.body.blades_on
    return Held(
        new.thrust_n, new.torque_nm, new.rearward_n, new.inflow_m_s, new.stalled_share, tail, new.tilt_rad, new.lift_n,
        new.pull_n, new.drag_up_n, new.drag_back_n,
    )  # fmt: skip


@inlined_kernel
def shaft_reaction(craft: Craft, rate_rad_s2: float, before: Held, torque_nm: float, tail_nm: float) -> float:
    """Torque that the main shaft gives the rotor and so turns the airframe, N m: what the tail has to hold.

    q = q_rotor + J_h dw/dt, dw/dt with the loads before corrected for the change of rotor and tail; never below zero
    Valid: one-way bearing carrying. Steady it is the rotor's torque; it is nothing where the bearing lets go.
    Source: Newton's law for rotation.
    """
    inertia = craft.body.head_kg_m2
    more = torque_nm - before.torque_nm + tail_nm - before.tail_nm
    return max(torque_nm + inertia * (rate_rad_s2 - more / (inertia + train_inertia(craft))), 0.0)


@inlined_kernel
def shafts_after(
    craft: Craft, source: Source, acting: Acting, held: Held, state: State, step_s: float
) -> tuple[float, float, float, float, float]:
    """Head and motor speed after a step, rad/s, motor speed at its middle, bearing torque N m, and whether it carries.

    Valid: loads steady over the step; the moment of letting go is taken at the step's start.
    Source: implicit midpoint rule; `shaft.carried_torque`.
    """
    ratio = craft.gears.ratio
    if state.locked > 0.0:
        middle = middle_of_locked(craft, source, acting, held, state, step_s)
        after = max(2.0 * middle - state.head_rad_s, 0.0)
        carried = carried_torque(craft, held, (after - state.head_rad_s) / step_s)
        if carried >= 0.0:
            return after, after * ratio, middle * ratio, carried, 1.0
    head = max(state.head_rad_s + step_s * free_head_rate(craft, held), 0.0)
    middle = middle_of_free(craft, source, acting, held, state, step_s)
    return head, max(2.0 * middle - state.motor_rad_s, 0.0), middle, 0.0, 0.0


@inlined_kernel
def flight_step(
    craft: Craft,
    state: State,
    acting: Acting,
    carried: tuple[Held, Drawn],
    flow: NDArray[np.float64],
    books: NDArray[np.float64],
    step_s: float,
) -> tuple[State, tuple[Held, Drawn], DrivePoint]:
    """State after one step, what was held and drawn over it, and the drive at its middle.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, books (15,) as `books.ENTRIES`.
    Valid: step below about half the inflow's own time; second order where nothing jumps.
    Source: midpoint rules; any numerical analysis textbook.
    """
    half, before, before_a = 0.5 * step_s, state, carried[1].pack_current_a
    slow_ohm = slow_resistance(craft, state.charge)
    slow_v = state.slow_v + half * (before_a * slow_ohm - state.slow_v) / craft.pack.slow_time_s
    charge = charge_after(state.charge, before_a, craft.pack.capacity_as, half)
    source = source_now(craft, charge, slow_v)
    drawn = carried[1]
    state = State(
        state.head_rad_s, state.motor_rad_s, state.height_m, state.climb_m_s, state.charge, state.slow_v,
        state.winding_k + half * drawn.winding_k_s, state.case_k + half * drawn.case_k_s,
        state.controller_k + half * drawn.controller_k_s, state.locked,
    )  # fmt: skip
    held = loads_between(craft, state, acting, carried[0], flow, source, step_s)
    head, motor, motor_middle, torque, locked = shafts_after(craft, source, acting, held, state, step_s)
    point = point_at_duty(craft.motor, craft.controller, source, acting.duty, motor_middle, state.winding_k)
    for ring in range(RINGS):
        flow[NOW, ring] += step_s * flow[RATE, ring]
    climb = state.climb_m_s + step_s * climb_rate(craft, state, acting, held)
    warm = warming(craft.heats, state.winding_k, state.case_k, state.controller_k, point, craft.body.air_k)
    after = State(
        head,
        motor,
        state.height_m + half * (state.climb_m_s + climb),
        climb,
        charge_after(state.charge, point.pack_current_a, craft.pack.capacity_as, step_s),
        slow_voltage_after(state.slow_v, point.pack_current_a, slow_ohm, craft.pack.slow_time_s, step_s),
        before.winding_k + step_s * warm[0],
        before.case_k + step_s * warm[1],
        before.controller_k + step_s * warm[2],
        locked,
    )
    sag_v = slow_v + point.pack_current_a * source.resistance_ohm
    book_drive(craft, state, after, point, held, sag_v, books, step_s)
    book_flight(craft, state, after, acting, held, books, step_s)
    return settled_contacts(craft, after, books), (held, Drawn(torque, point.pack_current_a, *warm)), point


@inlined_kernel
def settled_contacts(craft: Craft, after: State, books: NDArray[np.float64]) -> State:
    """State after the train has caught the head, and after the machine has touched the ground.

    Shapes: books (15,) as `books.ENTRIES`.
    Valid: inelastic both: the common speed keeps angular momentum, the ground takes what is left of the sink.
    Source: `one_way_bearing.common_speed`.
    """
    body, ratio = craft.body, craft.gears.ratio
    head, motor, height, climb, locked = (
        after.head_rad_s, after.motor_rad_s, after.height_m, after.climb_m_s, after.locked,
    )  # fmt: skip
    caught = locked == 0.0 and motor >= head * ratio
    if not caught and height >= 0.0:
        return after
    if caught:
        head = common_speed(head, body.head_kg_m2, motor / ratio, train_inertia(craft))
        motor, locked = head * ratio, 1.0
    if height < 0.0:
        height, climb = 0.0, max(climb, 0.0)
    settled = State(
        head,
        motor,
        height,
        climb,
        after.charge,
        after.slow_v,
        after.winding_k,
        after.case_k,
        after.controller_k,
        locked,
    )
    lost = stored_energy(craft, after, 0.0) - stored_energy(craft, settled, 0.0)
    books[BEARING if caught else GROUND] += lost
    return settled
