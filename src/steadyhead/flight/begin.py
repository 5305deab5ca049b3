"""How a flight begins: at rest with the pack just connected, or in a steady governed hover."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.loop import AGES, Now, Setting
from steadyhead.flight.rig import Rig
from steadyhead.physics.books import ENTRIES
from steadyhead.physics.craft import GRAVITY_M_S2, NO_LOADS, NOTHING_DRAWN, Acting, Craft, Drawn, Held, State
from steadyhead.physics.drive import DrivePoint, DriveStop, drive_at
from steadyhead.physics.flight_step import loads_at, source_now
from steadyhead.physics.flow_trim import Sought, collective_settled
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.governor import GovernorState
from steadyhead.physics.kernel import kernel, source_of
from steadyhead.physics.rotor import Motion
from steadyhead.physics.rotor_flow import RATE, RINGS, settled_flow, still_flow
from steadyhead.physics.run_state import GOVERNED, NONE_S, RunState, powered_up
from steadyhead.physics.trim import STOP_SAYS, Stop
from steadyhead.words.errors import InputError

GOVERNED_LONG_S = 60.0
IDLING = int(DriveStop.IDLING)
Arrays = tuple[NDArray[np.float64], NDArray[np.float64]]


class Placed(NamedTuple):
    """Where a flight begins. SI; `at_rest` 1: on the ground, `head_rad_s` then is the speed whose hover gives the trim.

    `charge` is that of the pack, `channel_percent` where the channel stands.
    """

    at_rest: int
    head_rad_s: float
    channel_percent: float
    height_m: float
    charge: float


def at_rest(rig: Rig, *, charge: float, collective_rad: float, channel_percent: float) -> tuple[Now, Arrays]:
    """Return the start at rest on the ground or bench, and the arrays of the rotor's flow and of the memory."""
    placed = Placed(1, 0.0, channel_percent, 0.0, charge)
    now = source_of(rest_now)(rig.craft, rig.setting, placed, hover_trim(rig, 0))
    return now._replace(asked_rad=collective_rad, collective_rad=collective_rad), _arrays()


@kernel
def rest_now(craft: Craft, setting: Setting, placed: Placed, trim_rad: float) -> Now:
    """The start at rest, collective at zero, rad; `trim_rad` is what the pilot thinks a hover takes.

    Valid: the pack just connected, everything as warm as the air.
    Source: definition.
    """
    air = craft.body.air_k
    state = State(0.0, 0.0, 0.0, 0.0, placed.charge, 0.0, air, air, air, 1.0)
    governor, run = GovernorState(0.0, 0.0, 0.0, 0.0, 0.0), powered_up(setting.rules)
    return Now(state, (NO_LOADS, NOTHING_DRAWN), governor, run, placed.channel_percent, 0.0, 0.0, trim_rad, 0.0, 0)


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


@kernel
def hover_now(
    craft: Craft, setting: Setting, placed: Placed, collective_rad: float, flow: NDArray[np.float64],
    ages_rad_s: NDArray[np.float64],
) -> tuple[Now, int]:  # fmt: skip
    """The start in a steady hover, governed for a minute, and the code of the drive that holds it.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, ages_rad_s (64,) as `loop.sampled`.
    Valid: as `hover_loads`.
    Source: `hover_loads`.
    """
    head, air, governor = placed.head_rad_s, craft.body.air_k, setting.governor
    held, point, head_nm = hover_loads(craft, head, collective_rad, placed.charge, air + 20.0, flow)
    ahead = governor.speed_duty_s_rad * head + governor.collective_duty_per_rad * abs(collective_rad)
    for number in range(ages_rad_s.shape[0]):
        ages_rad_s[number] = head
    state = State(
        head, head * craft.gears.ratio, placed.height_m, 0.0, placed.charge, 0.0, air + 20.0, air + 10.0, air + 15.0,
        1.0,
    )  # fmt: skip
    now = Now(
        state, (held, Drawn(head_nm, point.pack_current_a, 0.0, 0.0, 0.0)),
        GovernorState(point.duty - ahead, head, head, 0.0, point.duty),
        RunState(GOVERNED, GOVERNED_LONG_S, 0.0, 0.0, GOVERNED_LONG_S, NONE_S, 0), placed.channel_percent,
        collective_rad, collective_rad, collective_rad, 0.0, 0,
    )  # fmt: skip
    return now, point.code


@kernel
def started(
    craft: Craft, setting: Setting, placed: Placed, flow: NDArray[np.float64], ages_rad_s: NDArray[np.float64]
) -> tuple[Now, int]:
    """How a flight begins, and 0 where it can: where the blades carry the machine and the drive holds it.

    Shapes: flow (3, 12) as `rotor_flow.flow_loads`, all zero, ages_rad_s (64,) as `loop.sampled`.
    Valid: as `hover_now`, `rest_now`; at rest without blades there is no trim.
    Source: `flow_trim.collective_settled`.
    """
    trim, code = 0.0, 0
    if craft.body.blades_on != 0.0:
        sought = Sought(craft.body.mass_kg * GRAVITY_M_S2, placed.head_rad_s, 0.0)
        trim, code = collective_settled(craft.rotor, craft.section, craft.air, sought, flow)
    if placed.at_rest != 0:
        for ring in range(RINGS):
            flow[0, ring] = flow[1, ring] = flow[2, ring] = 0.0
        return rest_now(craft, setting, placed, trim), code
    now, drive = hover_now(craft, setting, placed, trim, flow, ages_rad_s)
    return now, code if code != 0 or drive <= IDLING else drive


def hovering(rig: Rig, *, mode: int, channel_percent: float, height_m: float, charge: float) -> tuple[Now, Arrays]:
    """Return the start in a steady hover, governed for a minute, and the arrays of flow and memory.

    Raises: InputError when the machine cannot hover at that head speed, with the reason.
    """
    flow, memory = _arrays()
    placed = Placed(0, rig.set_rad_s[mode], channel_percent, height_m, charge)
    now, code = hover_now(rig.craft, rig.setting, placed, hover_trim(rig, mode), flow, memory[-AGES:])
    if code > IDLING:
        raise InputError(
            "the start in hover",
            read=f"{rig.modes[mode]}: full duty is not enough to hold it",
            right="a flight mode the drive holds",
        )
    return now, (flow, memory)


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
