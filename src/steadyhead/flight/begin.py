"""How a flight begins: at rest with the pack just connected, or in a steady governed hover."""

import math

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.loop import AGES, Now
from steadyhead.flight.rig import Rig
from steadyhead.physics.books import ENTRIES
from steadyhead.physics.craft import GRAVITY_M_S2, NO_LOADS, NOTHING_DRAWN, Acting, Craft, Drawn, Held, State
from steadyhead.physics.drive import DrivePoint, DriveStop, drive_at
from steadyhead.physics.flight_step import loads_at, source_now
from steadyhead.physics.flow_trim import Sought, collective_settled
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.governor import GovernorState
from steadyhead.physics.kernel import kernel
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import RATE, RINGS, settled_flow, still_flow
from steadyhead.physics.run_state import NONE_S, Run, RunState, powered_up
from steadyhead.physics.trim import STOP_SAYS, Stop
from steadyhead.words.errors import InputError

GOVERNED_LONG_S = 60.0
Arrays = tuple[NDArray[np.float64], NDArray[np.float64]]


def at_rest(rig: Rig, *, charge: float, collective_rad: float, channel_percent: float) -> tuple[Now, Arrays]:
    """Return the start at rest on the ground or bench, and the arrays of the rotor's flow and of the memory."""
    body = rig.craft.body
    state = State(0.0, 0.0, 0.0, 0.0, charge, 0.0, body.air_k, body.air_k, body.air_k, 1.0)
    governor = GovernorState(0.0, 0.0, 0.0, 0.0, 0.0)
    carried = (NO_LOADS, NOTHING_DRAWN)
    run = powered_up(rig.setting.rules)
    now = Now(
        state, carried, governor, run, channel_percent, collective_rad, collective_rad, hover_trim(rig, 0), 0.0, 0
    )
    return now, _arrays()


@kernel
def hover_loads(
    craft: Craft, head_rad_s: float, collective_rad: float, charge: float, winding_k: float, flow: NDArray[np.float64]
) -> tuple[Held, DrivePoint, float]:
    """Loads of a steady hover, the drive that holds it, and the torque in the one-way bearing, N m.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, left settled and at rest.
    Valid: as `rotor_flow.settled_flow`; pack rested, its RC pair empty.
    Source: `flight_step.loads_at`, `drive.drive_at`.
    """
    settled_flow(craft.rotor, craft.section, craft.air, Motion(head_rad_s, collective_rad, 0.0, 0.0, 0.0), flow)
    acting = Acting(0.0, collective_rad, 0.0, 0.0, 1.0, 0.0, math.nan)
    held = loads_at(craft, acting, NO_LOADS, (head_rad_s, head_rad_s, 0.0, 1.0), flow)
    for ring in range(RINGS):
        flow[RATE, ring] = 0.0
    head_nm = held.torque_nm + held.tail_nm + craft.body.head_drag_nm
    motor_nm, motor_rad_s = motor_torque(craft.gears, head_nm), head_rad_s * craft.gears.ratio
    source = source_now(craft, charge, 0.0)
    point = drive_at(craft.motor, craft.controller, source, motor_nm, motor_rad_s, winding_k)
    return held, point, head_nm


def hovering(rig: Rig, *, mode: int, channel_percent: float, height_m: float, charge: float) -> tuple[Now, Arrays]:
    """Return the start in a steady hover, governed for a minute, and the arrays of flow and memory.

    Raises: InputError when the machine cannot hover at that head speed, with the reason.
    """
    craft, head = rig.craft, rig.set_rad_s[mode]
    collective, air = hover_trim(rig, mode), craft.body.air_k
    flow, memory = _arrays()
    held, point, head_nm = hover_loads(craft, head, collective, charge, air + 20.0, flow)
    if point.code not in (DriveStop.DONE, DriveStop.IDLING):
        raise InputError(
            "the start in hover",
            read=f"{rig.modes[mode]}: full duty is not enough to hold it",
            right="a flight mode the drive holds",
        )
    governor = rig.setting.governor
    ahead = governor.speed_duty_s_rad * head + governor.collective_duty_per_rad * abs(collective)
    memory[-AGES:] = head
    motor = head * craft.gears.ratio
    state = State(head, motor, height_m, 0.0, charge, 0.0, air + 20.0, air + 10.0, air + 15.0, 1.0)
    return Now(
        state, (held, Drawn(head_nm, point.pack_current_a, 0.0, 0.0, 0.0)),
        GovernorState(point.duty - ahead, head, head, 0.0, point.duty),
        RunState(int(Run.GOVERNED), GOVERNED_LONG_S, 0.0, 0.0, GOVERNED_LONG_S, NONE_S, 0), channel_percent,
        collective, collective, collective, 0.0, 0,
    ), (flow, memory)  # fmt: skip


def hover_trim(rig: Rig, mode: int) -> float:
    """Return the collective that hovers at the set speed of a mode, rad; 0 with the blades off.

    Raises: InputError when the blades stall before they carry the machine.
    """
    craft = rig.craft
    if craft.body.blades_on == 0.0:
        return 0.0
    sought = Sought(craft.body.mass_kg * GRAVITY_M_S2, rig.set_rad_s[mode], 0.0)
    collective, code = collective_settled(craft.rotor, craft.section, craft.air, sought, still_flow())
    if code != Stop.DONE:
        raise InputError(
            f"hover in {rig.modes[mode]}", read=STOP_SAYS[Stop(code)], right="a higher head speed or less mass"
        )
    if not math.isfinite(collective):
        raise InputError(f"hover in {rig.modes[mode]}", read="no collective", right="a rotor that can hover")
    return collective


def _arrays() -> Arrays:
    return still_flow(), np.zeros(len(ENTRIES) + AGES)
