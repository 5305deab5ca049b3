"""The books of a flight's energy: what the cells gave, and where every joule of it went."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.craft import GRAVITY_M_S2, Acting, Craft, Held, State
from steadyhead.physics.drive import DrivePoint
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.kernel import inlined_kernel, kernel

ENTRIES = (
    "cells_j", "pack_j", "copper_j", "iron_j", "ripple_j", "conduction_j", "switching_j", "freewheel_j", "gears_j",
    "bearing_j", "tail_j", "rotor_j", "drag_j", "ground_j", "outside_j",
)  # fmt: skip
"""Energy since the start, J. `cells_j` was given, all others were taken; `bearing_j` was lost in catch-ups."""
CELLS, PACK, COPPER, IRON, RIPPLE, CONDUCTION, SWITCHING, FREEWHEEL, GEARS = range(9)
BEARING, TAIL, ROTOR, DRAG, GROUND, OUTSIDE = range(9, 15)


@kernel
def stored_energy(craft: Craft, state: State, forward_m_s: float) -> float:
    """Kinetic energy of head, motor and flight, and potential energy, J.

    E = 1/2 J_h w^2 + 1/2 J_m w_m^2 + 1/2 m (V^2 + U^2) + m g h
    Valid: any; the inflow's own kinetic energy is counted with the rotor's books.
    Source: definition.
    """
    body = craft.body
    turning = body.head_kg_m2 * state.head_rad_s * state.head_rad_s
    turning += body.motor_kg_m2 * state.motor_rad_s * state.motor_rad_s
    moving = state.climb_m_s * state.climb_m_s + forward_m_s * forward_m_s
    return 0.5 * (turning + body.mass_kg * moving) + body.mass_kg * GRAVITY_M_S2 * state.height_m


@inlined_kernel
def book_drive(
    craft: Craft, before: State, after: State, point: DrivePoint, held: Held, sag_v: float, books: NDArray[np.float64],
    step_s: float,
) -> None:  # fmt: skip
    """Write one step of pack, controller, motor, gears and tail into the books.

    Shapes: books (15,) as ENTRIES.
    Valid: loads held over the step, `point` the drive at its middle.
    Source: power balance.
    """
    books[CELLS] += step_s * point.pack_current_a * (point.pack_voltage_v + sag_v)
    books[PACK] += step_s * point.pack_current_a * sag_v
    books[COPPER] += step_s * point.copper_loss_w
    books[IRON] += step_s * point.iron_loss_w
    books[RIPPLE] += step_s * point.ripple_loss_w
    books[CONDUCTION] += step_s * point.conduction_loss_w
    books[SWITCHING] += step_s * point.switching_loss_w
    books[FREEWHEEL] += step_s * point.freewheel_loss_w
    gears, body = craft.gears, craft.body
    head = 0.5 * (before.head_rad_s + after.head_rad_s)
    train = 0.5 * (before.motor_rad_s + after.motor_rad_s) / gears.ratio
    drag = gears.drag_torque_nm * train + body.head_drag_nm * head
    if after.locked > 0.0:
        inertial = body.motor_kg_m2 * (after.motor_rad_s - before.motor_rad_s) / step_s
        mesh = (1.0 - gears.efficiency) * gears.ratio * (point.motor_torque_nm - inertial) * train
        tail = held.tail_nm * head
    else:
        behind = held.tail_nm * (1.0 - body.tail_on_head)
        asked = gears.ratio * motor_torque(gears, behind) - gears.drag_torque_nm - behind
        mesh = asked * train
        tail = behind * train + held.tail_nm * body.tail_on_head * head
    books[GEARS] += step_s * (drag + mesh)
    books[TAIL] += step_s * tail


@inlined_kernel
def book_flight(
    craft: Craft, before: State, after: State, acting: Acting, held: Held, books: NDArray[np.float64], step_s: float
) -> None:
    """Write one step of rotor, airframe and everything outside into the books.

    Shapes: books (15,) as ENTRIES.
    Valid: loads held over the step.
    Source: power balance: what the shaft gives the rotor and the rotor does not give the machine is left in the air.
    """
    head = 0.5 * (before.head_rad_s + after.head_rad_s)
    climb, ahead = 0.5 * (before.climb_m_s + after.climb_m_s), acting.forward_m_s
    books[ROTOR] += step_s * (held.torque_nm * head - held.lift_n * climb - held.pull_n * ahead)
    books[DRAG] += step_s * (held.drag_up_n * climb + held.drag_back_n * ahead)
    extra = (acting.load_factor - 1.0) * craft.body.mass_kg * GRAVITY_M_S2
    moved = craft.body.mass_kg * acting.forward_rate_m_s2
    books[OUTSIDE] += step_s * ((extra - acting.guide_n) * climb + (held.pull_n - held.drag_back_n - moved) * ahead)
