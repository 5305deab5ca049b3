"""A machine ready for bail-outs: the kernels' view of it, and the row of numbers that is one bail-out."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.channel.run_logic import Place
from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_columns import CASE
from steadyhead.flight.bail_out_kept import Limits
from steadyhead.flight.batches import WORKERS
from steadyhead.flight.device import Device
from steadyhead.flight.loop import Clock, Setting
from steadyhead.flight.rig import Rig, rig
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.at_duty import settled_at_duty
from steadyhead.physics.craft import GRAVITY_M_S2, Craft
from steadyhead.physics.drive import Load
from steadyhead.physics.flight_step import source_now
from steadyhead.physics.gears import motor_torque
from steadyhead.physics.point_mass import Glide, level_flight, slower_glide
from steadyhead.physics.rotor_map import Grade, RotorMap, rotor_map
from steadyhead.physics.tail_curve import tail_torque
from steadyhead.words.errors import SolveError

STEP_S = 4e-3
LONGEST_S = 40.0
IDLED_S = 4.0
"""How long the autorotation has lasted when the decision falls."""
CHARGE = 0.5
NEAR = 0.15
"""A map of the rotor serves a head speed and a weight so near to its own; it is in ratios and holds from 0.6 to 1.2."""
TYPICAL_PILOT = {
    "reaction_s": (0.7, 0.4), "recognition_s": (0.3, 0.3), "arrest_m_s2": (6.0, 2.5), "wait_rad": (0.0, 0.0175),
    "air_up_m_s": (0.0, 1.0), "head_share": (1.0, 0.04), "charge": (CHARGE, 0.3),
}  # fmt: skip
"""What a practised pilot, the air and the pack do: middle and half width of nine tenths; common practice, no source."""
DRAWN_KEYS = {
    columns.MASS: "airframe.mass", columns.DRAG_AREA: "airframe.drag_area", columns.HEAD_INERTIA: "rotor.inertia",
    columns.KV: "motor.kv", columns.WINDING: "motor.resistance", columns.NO_LOAD: "motor.no_load_current",
    columns.CONTROLLER: "controller.resistance", columns.PACK_OHM: "pack.resistance",
    columns.SLOW_OHM: "pack.slow_resistance", columns.EFFICIENCY: "gears.efficiency", columns.SERVO: "rotor.servo_lag",
}  # fmt: skip
"""Columns of a case that are one value of the machine file each."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Ready:
    """A machine in one flight mode, ready to be flown thousands of times."""

    machine: Machine
    rig: Rig
    mode: int
    craft: Craft
    map: RotorMap
    setting: Setting
    limits: Limits
    glide_rad_s: float
    """Head speed that the pilot glides with."""
    device: Device = Device.CPU
    """What flies the drawn ones."""
    threads: int = WORKERS
    """How many of this process share the drawn ones."""

    @property
    def set_rad_s(self) -> float:
        """The head speed of the mode, rad/s."""
        return self.rig.set_rad_s[self.mode]

    @property
    def quick_s(self) -> float:
        """Today's quick ramp as the run logic has it, s."""
        return self.setting.rules.quick_spool_s

    @property
    def grade(self) -> Grade:
        """The machine as described."""
        return Grade(self.craft.air.density_kg_m3, 1.0, 1.0)


def ready(
    machine: Machine, mode: int, glide_rad_s: float | None = None, *, device: Device = Device.CPU,
    like: Ready | None = None,
) -> Ready:  # fmt: skip
    """Return a machine ready to bail out in one flight mode, from a glide at a head speed: the mode's if left out.

    `like` is the same machine before a change: its map of the rotor serves again where that did not change.

    Raises: InputError when a value that the flight needs is known to nobody.
    """
    own = rig(machine, blades_on=True)
    craft, setting = own.craft, own.setting
    governor = setting.governor._replace(sample_s=STEP_S)
    fast = setting._replace(clock=Clock(STEP_S, round(columns.TICK_S / STEP_S), 1, 1), governor=governor)
    weight = craft.body.mass_kg * GRAVITY_M_S2
    play, stiffness = machine.value("gears.one_way_play"), machine.value("gears.train_stiffness")
    kept = like.map if like is not None and _same_rotor(like, own, mode) else None
    return Ready(
        machine=machine,
        rig=own,
        mode=mode,
        craft=craft,
        map=kept or rotor_map(craft.rotor, craft.section, craft.air, own.set_rad_s[mode], weight),
        setting=fast,
        limits=Limits(play.si if play else math.nan, stiffness.si if stiffness else math.nan, LONGEST_S),
        glide_rad_s=glide_rad_s or own.set_rad_s[mode],
        device=device,
    )


def _same_rotor(like: Ready, own: Rig, mode: int) -> bool:
    """Return whether one map serves two machines: rotor, blade section and air the same, head speed and weight near."""
    was, will = like.craft, own.craft
    same = (was.rotor, was.air, was.section[2:]) == (will.rotor, will.air, will.section[2:])
    same = same and np.array_equal(was.section.polar, will.section.polar)
    near = (own.set_rad_s[mode] / like.map.speed_rad_s, will.body.mass_kg / was.body.mass_kg)
    return same and all(abs(ratio - 1.0) <= NEAR for ratio in near)


def glide(own: Ready, forward_m_s: float) -> tuple[Glide, float]:
    """Return the steady autorotation at a forward speed by the map, and its head speed, rad/s.

    That is the one that the pilot glides with, or the next lower one that the air can keep.
    Raises: SolveError when the air keeps none of them.
    """
    body = own.craft.body
    taken = body.head_drag_nm + body.tail_on_head * tail_torque_of(own, own.glide_rad_s)
    found, head = slower_glide(own.craft, own.map, own.grade, own.glide_rad_s, forward_m_s, taken)
    if found.code:
        raise SolveError(f"{own.rig.modes[own.mode]}: no autorotation at {forward_m_s:g} m/s within the rotor's map")
    return found, head


def tail_torque_of(own: Ready, head_rad_s: float) -> float:
    """Return what the tail takes from the head while it holds nothing, N m."""
    return float(tail_torque(own.craft.tail, head_rad_s, 0.0))


def least_sink_speed(own: Ready) -> float:
    """Return the forward speed at which the autorotation sinks least, m/s, to half a metre a second."""
    speeds = np.arange(0.0, 20.1, 0.5)
    sinks = [steady_sink(own, float(speed)) for speed in speeds]
    return float(speeds[int(np.argmin(sinks))])


def steady_sink(own: Ready, forward_m_s: float) -> float:
    """Return the sink of the autorotation at a forward speed, m/s; infinite where there is none."""
    try:
        return glide(own, forward_m_s)[0].sink_m_s
    except SolveError:
        return math.inf


def idle_speed(own: Ready, charge: float) -> float:
    """Return the speed at which the motor idles, rad/s."""
    craft = own.craft
    behind = tail_torque_of(own, own.set_rad_s) * (1.0 - craft.body.tail_on_head)
    load = Load(0.0, 1.0, 2.0, motor_torque(craft.gears, behind))
    source = source_now(craft, charge, 0.0)
    idling = settled_at_duty(
        craft.motor, craft.controller, source, load, own.setting.idle_duty, craft.body.air_k + 20.0
    )
    return float(idling.motor_speed_rad_s)


def machine_case(own: Ready) -> Floats:
    """Return the case of the machine as described without any flight in it.

    Shapes: -> (33,) as `bail_out_columns.CASE`.
    """
    case = np.zeros(len(CASE))
    for column, key in DRAWN_KEYS.items():
        case[column] = si.number(own.machine, key)
    case[columns.DENSITY], case[columns.LIFT], case[columns.DRAG] = own.grade
    case[columns.CHARGE], case[columns.GEAR_DRAG] = CHARGE, 1.0
    return case


def base_case(own: Ready, forward_m_s: float, *, from_level: bool = False) -> Floats:
    """Return the case of the machine as described: a steady glide, or level flight with the motor just gone.

    Shapes: -> (33,) as `bail_out_columns.CASE`.
    Raises: SolveError when there is no such glide.
    """
    craft, set_rad_s = own.craft, own.set_rad_s
    found, head = glide(own, forward_m_s)
    level = level_flight(craft, own.map, own.grade, set_rad_s, forward_m_s)
    case = machine_case(own)
    case[columns.SINK] = 0.0 if from_level else found.sink_m_s
    case[columns.HEAD], case[columns.FORWARD] = set_rad_s if from_level else head, forward_m_s
    case[columns.COLLECTIVE] = level.collective_rad if from_level else found.collective_rad
    case[columns.TILT] = level.tilt_rad if from_level else found.tilt_rad
    case[columns.MOTOR] = set_rad_s * craft.gears.ratio if from_level else idle_speed(own, CHARGE)
    for column, name in ((columns.REACTION, "reaction_s"), (columns.RECOGNITION, "recognition_s")):
        case[column] = TYPICAL_PILOT[name][0]
    case[columns.ARREST] = TYPICAL_PILOT["arrest_m_s2"][0]
    case[columns.SPOOL] = own.quick_s
    case[columns.WAIT], case[columns.LEVEL] = found.collective_rad, level.collective_rad
    case[columns.FROM] = own.rig.logic.at(Place.AUTOROTATION)[0].percent or 0.0
    case[columns.TARGET] = own.rig.logic.at(Place.MODE)[own.mode].percent or 0.0
    case[columns.RATE] = own.rig.logic.ramp_rate_percent_s
    case[columns.IDLED] = 0.0 if from_level else IDLED_S
    return case
