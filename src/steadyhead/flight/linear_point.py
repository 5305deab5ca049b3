"""The condition that a linear model is taken about: flight mode, load and charge, solved with the engine's kernels."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.level_flight import first_flow, level_flight
from steadyhead.flight.linear_rates import FIRST_RING, PLANT_STATES, Frozen, settle_inflow
from steadyhead.physics.conditions import Drive, Holding, flight_time, head_load, settled_source
from steadyhead.physics.craft import GRAVITY_M_S2, NO_LOADS, Acting, Craft, Held
from steadyhead.physics.drive import DrivePoint, drive_at
from steadyhead.physics.flight_step import slow_resistance, source_now
from steadyhead.physics.gears import Gears, motor_torque
from steadyhead.physics.heat import Warmth
from steadyhead.physics.rotor_flow import RINGS, TRIED
from steadyhead.physics.shaft import head_load as load_on_head
from steadyhead.physics.trim import Stop, collective_for_thrust
from steadyhead.physics.warmth import warm_point
from steadyhead.plan.loads import CLIMB, FAST_FORWARD, HARD_CYCLIC, HOVER
from steadyhead.words.errors import SolveError

SLOW_ROUNDS = 60
SHORT_HOLD_S = 1.0

Floats = NDArray[np.float64]
Flown = tuple[Acting, Held, Floats, Held]
"""What acts, the loads, the inflow of every ring, and what tilts the disc."""
HoverEnd = tuple[tuple[float, float, float], tuple[float, DrivePoint]]
"""Winding, case and controller, K; voltage over the pack's RC pair, V, and the drive."""


@dataclass(frozen=True, kw_only=True)
class Ambit:
    """What the conditions of one machine have in common. SI."""

    forward_m_s: float
    load_factor: float
    collective_max_rad: float
    reserve: float


@dataclass(frozen=True, kw_only=True)
class Point:
    """One condition, solved: states and inputs of the plant, loads and drive there. SI.

    Shapes: states (15,) as `linear_rates.plant_rates`, inputs (2,) duty and collective.
    `tilting` is what tilts the disc in forward flight; `held` is False where full duty does not hold the head speed.
    """

    load: str
    craft: Craft
    frozen: Frozen
    states: Floats
    inputs: Floats
    loads: Held
    tilting: Held
    drive: DrivePoint
    held: bool

    @property
    def speed_rad_s(self) -> float:
        """Head speed, rad/s."""
        return float(self.states[0])

    @property
    def torque_nm(self) -> float:
        """Torque of main and tail rotor at the head, N m."""
        return self.loads.torque_nm + self.loads.tail_nm


def points(rotors: "Rotors", charge: float, loads: tuple[str, ...]) -> tuple[Point, ...]:
    """Return the conditions of some loads at one head speed and charge; machine and pack come from the hover before.

    Raises: SolveError when the rotor cannot carry a load.
    """
    craft, speed_rad_s = rotors.craft, rotors.speed_rad_s
    hover_acting, hover_held, hover_flow, level = rotors.at(HOVER)
    warmth_k, (slow_v, point) = rotors.hover(charge)
    found = []
    for load in loads:
        acting, held, flow, tilting, slow, drive = hover_acting, hover_held, hover_flow, level, slow_v, point
        if load != HOVER:
            acting, held, flow, tilting = rotors.at(load)
            if load == FAST_FORWARD:
                slow, drive = _settled_slow(craft, charge, warmth_k[0], speed_rad_s, held)
            else:
                drive = _drive(craft, charge, slow, warmth_k[0], speed_rad_s, held)
        frozen = Frozen(charge, *warmth_k, acting.forward_m_s, acting.load_factor)
        states = np.empty(PLANT_STATES)
        states[:3] = speed_rad_s, 0.0, slow
        states[FIRST_RING:] = flow
        found.append(
            Point(
                load=load, craft=craft, frozen=frozen, states=states,
                inputs=np.array([drive.duty, acting.collective_rad]), loads=held, tilting=tilting, drive=drive,
                held=drive.code <= 1,
            )
        )  # fmt: skip
    return tuple(found)


@dataclass(frozen=True, kw_only=True)
class Rotors:
    """The rotor at one head speed, each load flown level once: the pack's charge does not change it."""

    craft: Craft
    ambit: Ambit
    speed_rad_s: float
    known: dict[str, Flown] = field(default_factory=dict)
    hovers: dict[float, HoverEnd] = field(default_factory=dict)

    def at(self, load: str) -> Flown:
        """Return one load flown level.

        Raises: SolveError when the rotor cannot carry it.
        """
        if load not in self.known:
            self.known[load] = _rotor(self.craft, self.ambit, self.speed_rad_s, load)
        return self.known[load]

    def hover(self, charge: float) -> HoverEnd:
        """Return how warm a hover leaves the drive, and what it leaves over the pack's RC pair, at a charge.

        Raises: SolveError when the rotor cannot carry the hover.
        """
        if charge not in self.hovers:
            held = self.at(HOVER)[1]
            warmth_k = _warmth(self.craft, self.ambit, self.speed_rad_s, charge, held)
            slow = _settled_slow(self.craft, charge, warmth_k[0], self.speed_rad_s, held)
            self.hovers[charge] = warmth_k, slow
        return self.hovers[charge]


def _rotor(craft: Craft, ambit: Ambit, speed_rad_s: float, load: str) -> Flown:
    """Return one load flown level; the climb is its first moment."""
    weights = ambit.load_factor if load == HARD_CYCLIC else 1.0
    ahead = ambit.forward_m_s if load == FAST_FORWARD else 0.0
    weight = weights * craft.body.mass_kg * GRAVITY_M_S2
    start = NO_LOADS._replace(thrust_n=weight)
    flow = np.zeros((3, RINGS))
    if load == CLIMB:
        acting = Acting(0.0, ambit.collective_max_rad, 0.0, 0.0, 1.0)
        first_flow(craft, acting, speed_rad_s, flow)
        return acting, settle_inflow(craft, acting, start, speed_rad_s, 0.0, flow), flow[TRIED].copy(), start
    pitch, code = collective_for_thrust(craft.rotor, craft.section, craft.air, speed_rad_s, weight, 0.0)
    if code != Stop.DONE:
        raise SolveError(f"{load}: the blades stall before they carry the machine at this head speed")
    level = level_flight(craft, speed_rad_s, Acting(0.0, float(pitch), ahead, 0.0, weights), start, flow)
    if not level.found:
        raise SolveError(f"{load}: no collective carries the machine at this head speed")
    return Acting(0.0, level.collective_rad, ahead, 0.0, weights), level.held, flow[TRIED].copy(), level.tilting


def _whole_drive(craft: Craft) -> Drive:
    """Return the drive with all of the gear drag on one side, as the steady plan has it."""
    drag = craft.gears.drag_torque_nm + craft.body.head_drag_nm
    gears = Gears(craft.gears.ratio, craft.gears.efficiency, drag)
    return Drive(craft.motor, craft.controller, craft.pack, gears, craft.heats)


def _warmth(craft: Craft, ambit: Ambit, speed_rad_s: float, charge: float, held: Held) -> tuple[float, float, float]:
    """Return winding, case and controller temperature at a hover's end, K."""
    drive, body = _whole_drive(craft), craft.body
    load = head_load(drive.gears, held.torque_nm + held.tail_nm, speed_rad_s)
    time_s = flight_time(drive, load, Holding(body.air_k, SHORT_HOLD_S, ambit.reserve, body.pack_k))
    source, cool = settled_source(drive.pack, charge, body.pack_k), Warmth(body.air_k, body.air_k, body.air_k)
    warm = warm_point(drive.motor, drive.controller, source, drive.heats, load, body.air_k, cool, time_s).warmth
    return warm.winding_k, warm.case_k, warm.controller_k


def _drive(craft: Craft, charge: float, slow_v: float, winding_k: float, speed_rad_s: float, held: Held) -> DrivePoint:
    tail = held.tail_nm * (1.0 - craft.body.tail_on_head)
    torque = motor_torque(craft.gears, load_on_head(craft, held) + tail)
    source = source_now(craft, charge, slow_v)
    return drive_at(craft.motor, craft.controller, source, torque, craft.gears.ratio * speed_rad_s, winding_k)


def _settled_slow(
    craft: Craft, charge: float, winding_k: float, speed_rad_s: float, held: Held
) -> tuple[float, DrivePoint]:
    """Return the voltage that a load held long leaves over the pack's RC pair, and the drive there."""
    slow_v, ohm = 0.0, slow_resistance(craft, charge)
    point = _drive(craft, charge, slow_v, winding_k, speed_rad_s, held)
    for _ in range(SLOW_ROUNDS):
        wanted = point.pack_current_a * ohm
        if abs(wanted - slow_v) < 1e-9:
            break
        slow_v = wanted
        point = _drive(craft, charge, slow_v, winding_k, speed_rad_s, held)
    return slow_v, point
