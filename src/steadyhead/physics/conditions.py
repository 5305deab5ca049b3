"""Many steady conditions of one drive in one call: flight modes, loads and pack states, and the time each flies."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.physics.controller import Controller
from steadyhead.physics.drive import DrivePoint, Load, controller_loss
from steadyhead.physics.gears import Gears
from steadyhead.physics.heat import Warmth
from steadyhead.physics.held import Heats
from steadyhead.physics.kernel import kernel
from steadyhead.physics.motor import Motor
from steadyhead.physics.pack import (
    Pack,
    Source,
    charge_factor,
    pack_source,
    slow_charge_factor,
    temperature_factor,
)
from steadyhead.physics.warmth import WarmPoint, warm_point, warmed_point

SIMPSON_PARTS = 6
CHARGE_HALVINGS = 12
FIRST_GUESS_S = 300.0

COLUMNS = (
    "code", "duty", "motor_speed_rad_s", "motor_current_a", "pack_current_a", "pack_voltage_v", "pack_power_w",
    "shaft_power_w", "motor_loss_w", "controller_loss_w", "pack_loss_w", "ceiling_rad_s", "winding_k", "controller_k",
    "held_s",
)  # fmt: skip
"""What the last axis of `drive_conditions` holds; `ceiling_rad_s` is of the motor."""


class Drive(NamedTuple):
    """The whole drive from pack to main shaft."""

    motor: Motor
    controller: Controller
    pack: Pack
    gears: Gears
    heats: Heats


class Holding(NamedTuple):
    """How loads are held: air temperature, the time of a short load, and the charge and pack of a whole flight. SI."""

    air_k: float
    short_hold_s: float
    reserve: float
    flight_pack_k: float


@kernel
def head_load(gears: Gears, head_torque_nm: float, head_speed_rad_s: float) -> Load:
    """The head's torque as the motor feels it, growing with speed squared; the gear drag stays the same.

    q = (q_head (w / w0)^2 + q_drag) / (ratio * efficiency)
    Valid: collective held while the speed changes; head driven by the motor.
    Source: rotor torque at fixed blade angle goes with speed squared; any rotor textbook.
    """
    passed = gears.ratio * gears.efficiency
    return Load(max(head_torque_nm, 0.0) / passed, head_speed_rad_s * gears.ratio, 2.0, gears.drag_torque_nm / passed)


@kernel
def after_hover(pack: Pack, charge: float, pack_k: float, hover_current_a: float, held_s: float) -> Source:
    """What the pack offers a load held for a time after a long hover: open-circuit V behind ohm.

    v = v_open - i_hover r1 exp(-held / tau); r = r0 + r1 (1 - exp(-held / tau))
    Valid: hover long against the pack's slow time; both currents steady.
    Source: one-RC equivalent circuit, step response in closed form; any circuits textbook.
    """
    fresh = pack_source(pack, charge, pack_k, 0.0)
    now = pack_source(pack, charge, pack_k, held_s)
    slow = pack.slow_resistance_25c_ohm * slow_charge_factor(charge) * temperature_factor(pack_k)
    left = fresh.resistance_ohm + slow - now.resistance_ohm
    return Source(now.open_circuit_v - hover_current_a * left, now.resistance_ohm)


@kernel
def settled_source(pack: Pack, charge: float, pack_k: float) -> Source:
    """What the pack offers a load held long against its slow time: open-circuit V behind ohm.

    r = (r0 f(s) + r1 g(s)) h(t)
    Valid: current steady for several times the slow time.
    Source: one-RC equivalent circuit; any circuits textbook.
    """
    quick = pack.resistance_25c_ohm * charge_factor(charge)
    slow = pack.slow_resistance_25c_ohm * slow_charge_factor(charge)
    open_v = pack_source(pack, charge, pack_k, 0.0).open_circuit_v
    return Source(open_v, (quick + slow) * temperature_factor(pack_k))


@kernel
def flown_point(drive: Drive, load: Load, charge: float, holding: Holding, held_s: float) -> DrivePoint:
    """A long load at one charge of a flight, the motor warmed by it from air temperature for a time.

    Valid: as `warmed_point`.
    Source: `warmed_point`, `settled_source`.
    """
    source = settled_source(drive.pack, charge, holding.flight_pack_k)
    start = Warmth(holding.air_k, holding.air_k, holding.air_k)
    point, _ = warmed_point(drive.motor, drive.controller, source, drive.heats, load, holding.air_k, start, held_s)
    return point


@kernel
def last_charge(drive: Drive, load: Load, holding: Holding, held_s: float) -> float:
    """Lowest charge, not below the reserve, down to which full duty holds the head speed; 1 when not even there.

    halving on the charge, since less charge is less voltage
    Valid: as `warm_point`.
    Source: `flown_point`.
    """
    low, high, tried = holding.reserve, 1.0, holding.reserve
    for _ in range(CHARGE_HALVINGS + 1):
        if flown_point(drive, load, tried, holding, held_s).code > 1:
            low = tried
        elif tried > holding.reserve:
            high = tried
        else:
            return tried
        tried = 0.5 * (low + high)
    return high


@kernel
def flight_time(drive: Drive, load: Load, holding: Holding) -> float:
    """Time that a steady load flies, s, from a full pack to the reserve or to where full duty no longer holds it.

    t = capacity * integral of ds / i(s) by Simpson's rule, the winding as warm as the middle current makes it
    Valid: steady load, pack at one temperature; capacity as stated.
    Source: charge counting; Simpson's rule.
    """
    end = last_charge(drive, load, holding, FIRST_GUESS_S)
    if end >= 1.0:
        return 0.0
    time, total = FIRST_GUESS_S, 0.0
    for part in range(-1, SIMPSON_PARTS + 1):
        share = 0.5 if part < 0 else part / SIMPSON_PARTS
        drawn_a = flown_point(drive, load, end + (1.0 - end) * share, holding, time).pack_current_a
        if part < 0:
            time = drive.pack.capacity_as * (1.0 - end) / drawn_a
        else:
            weight = 1.0 if part in (0, SIMPSON_PARTS) else (4.0 if part % 2 == 1 else 2.0)
            total += weight / drawn_a
    return drive.pack.capacity_as * total * (1.0 - end) / (3.0 * SIMPSON_PARTS)


@kernel
def write_point(out: NDArray[np.float64], warm: WarmPoint, open_v: float, held_s: float) -> None:
    """Write one condition into a row of COLUMNS; where the speed cannot be held, all but code and duty at full duty.

    Shapes: out (15,).
    Valid: any code.
    Source: definition.
    """
    point: DrivePoint = warm.point if warm.point.code <= 1 else warm.ceiling
    out[0] = warm.point.code
    out[1] = warm.point.duty
    out[2] = point.motor_speed_rad_s
    out[3] = point.motor_current_a
    out[4] = point.pack_current_a
    out[5] = point.pack_voltage_v
    out[6] = point.pack_power_w
    out[7] = point.shaft_power_w
    out[8] = point.copper_loss_w + point.iron_loss_w + point.ripple_loss_w
    out[9] = controller_loss(point)
    out[10] = (open_v - point.pack_voltage_v) * point.pack_current_a
    out[11] = warm.ceiling.motor_speed_rad_s
    out[12] = warm.warmth.winding_k
    out[13] = warm.warmth.controller_k
    out[14] = held_s


@kernel
def drive_conditions(
    drive: Drive,
    holding: Holding,
    torque_nm: NDArray[np.float64],
    speed_rad_s: NDArray[np.float64],
    is_long: NDArray[np.float64],
    states: NDArray[np.float64],
    out: NDArray[np.float64],
    times_s: NDArray[np.float64],
) -> None:
    """Solve every flight mode, load and pack state; load 0 is the hover, which warms machine and pack for short loads.

    Long loads are held for their own flight time from air temperature, short ones for short_hold_s after the hover.
    Shapes: torque_nm (m, l) at the head, speed_rad_s (m,) of the head, is_long (l,), states (s, 2) charge and K;
    out (m, l, s, 15) as COLUMNS, times_s (m, l), 0 for a short load.
    Valid: as `warm_point`.
    Source: `warm_point`, `flight_time`.
    """
    for mode in range(torque_nm.shape[0]):
        for load_number in range(torque_nm.shape[1]):
            load = head_load(drive.gears, torque_nm[mode, load_number], speed_rad_s[mode])
            times_s[mode, load_number] = flight_time(drive, load, holding) if is_long[load_number] > 0.0 else 0.0
        for state in range(states.shape[0]):
            charge, pack_k = states[state, 0], states[state, 1]
            settled = settled_source(drive.pack, charge, pack_k)
            hover_a, hovered = 0.0, Warmth(holding.air_k, holding.air_k, holding.air_k)
            for load_number in range(torque_nm.shape[1]):
                load = head_load(drive.gears, torque_nm[mode, load_number], speed_rad_s[mode])
                source, start, held = (
                    settled,
                    Warmth(holding.air_k, holding.air_k, holding.air_k),
                    times_s[mode, load_number],
                )
                if is_long[load_number] <= 0.0:
                    held, start = holding.short_hold_s, hovered
                    source = after_hover(drive.pack, charge, pack_k, hover_a, held)
                warm = warm_point(drive.motor, drive.controller, source, drive.heats, load, holding.air_k, start, held)
                if load_number == 0:
                    hovered = warm.warmth
                    hover_a = warm.point.pack_current_a if warm.point.code <= 1 else warm.ceiling.pack_current_a
                write_point(out[mode, load_number, state], warm, settled.open_circuit_v, held)
