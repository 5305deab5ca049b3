"""Replays the inputs of a log: its throttle channel, and its collective; where it has none, its current as torque."""

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.assumed import Assumption
from steadyhead.flight.begin import Arrays, at_rest, hovering
from steadyhead.flight.engine import flight_of
from steadyhead.flight.loop import COLLECTIVE, COMMANDS, FORWARD, GUIDE, LOAD, LOAD_FACTOR, RATE_OF, TARGET, Now
from steadyhead.flight.result import Flight
from steadyhead.flight.rig import Rig, rig
from steadyhead.flight.scenario import Do, Scenario, Start, Step
from steadyhead.machine.description import Machine
from steadyhead.physics.drive_seen import motor_current_seen
from steadyhead.physics.gears import head_torque
from steadyhead.physics.motor import shaft_torque
from steadyhead.physics.pack import cell_open_circuit
from steadyhead.trace.trace import Series, Trace
from steadyhead.words.errors import InputError
from steadyhead.words.progress import Say, silent

RPM = 30.0 / math.pi
AT_ONCE = 1e9
SMOOTH_S = 0.15
"""Logged speeds and heights are smoothed over this time before they are differenced."""
TURNING_RPM = 300.0
Rows = NDArray[np.float64]


class Learned(NamedTuple):
    """What the log itself tells: (channel percent, head speed rpm) pairs, whether it flew, how long spool-ups took."""

    law: tuple[tuple[float, float], ...]
    airborne: bool
    soft_spool_s: float | None
    quick_spool_s: float | None
    bare: bool = False
    """Whether the log's power is too small for blades to have been fitted."""


def replayed(
    machine: Machine, log: Trace, learned: Learned, *, step_s: float | None = None, say: Say = silent
) -> Flight:  # fmt: skip
    """Return the flight of a log's own inputs.

    Raises: InputError when the log has no throttle channel, or neither collective nor current.
    """
    throttle = log.get("throttle_percent")
    if throttle is None:
        raise InputError(log.source, read="no throttle channel", right="a log with the throttle channel to replay")
    collective = collective_of(machine, log)
    blades = learned.airborne or (collective is not None and not learned.bare)
    law = tuple((percent, rpm / RPM) for percent, rpm in learned.law)
    ready = _with_spools(rig(machine, blades_on=blades, step_s=step_s, seen=law), learned)
    clock = ready.setting.clock
    frame_s = clock.step_s * clock.steps_a_frame
    times = np.arange(max(1, math.ceil(log.duration_s / frame_s)), dtype=np.float64) * frame_s
    rows = np.full((times.size, len(COMMANDS)), math.nan)
    # A switch jumps: between two rows of the log the channel stays where it was, and is no ramp.
    seen = np.maximum(np.searchsorted(log.time_s, times + 1e-9, side="right") - 1, 0)
    rows[:, TARGET] = _bridged(log, throttle)[seen]
    rows[:, RATE_OF], rows[:, FORWARD], rows[:, LOAD_FACTOR], rows[:, COLLECTIVE] = AT_ONCE, 0.0, 1.0, 0.0
    told = list(ready.assumptions)
    if collective is not None:
        rows[:, COLLECTIVE] = np.interp(times, log.time_s, collective)
        height = log.get("height_m")
        if height is not None:
            rows[:, GUIDE] = np.interp(times, log.time_s, rate_of(log.time_s, _bridged(log, height)))
    elif blades:
        rows[:, LOAD] = np.interp(times, log.time_s, head_load_of(ready, log))
        told.append(Assumption(key="collective", says="the log has no collective: its current is replayed"))
    if not blades:
        why = "too little power for blades" if learned.bare else "no collective"
        told.append(Assumption(key="blades", says=f"a log with {why} that did not fly: blades off"))
    ready = replace(ready, assumptions=tuple(told))
    now, arrays = _begin(ready, log, rows)
    step = Step(do=Do.WAIT, for_s=log.duration_s, place=log.source)
    scenario = Scenario(
        name="replay", says=f"the inputs of {log.source}", source=log.source, blades=blades, start=Start.REST,
        switch="hold", height_m=0.0, charge=now.state.charge, steps=(step,),
    )  # fmt: skip
    return flight_of(machine, scenario, ready, now, arrays, rows, say)


def collective_of(machine: Machine, log: Trace) -> Series | None:
    """Return the logged collective, rad, from degrees or from the stick and the machine's greatest collective."""
    degrees = log.get("collective_deg")
    if degrees is not None:
        return np.radians(_bridged(log, degrees))
    stick, most = log.get("collective_percent"), machine.value("rotor.collective_max")
    if stick is None or most is None:
        return None
    return _bridged(log, stick) * (most.si / 100.0)


def head_load_of(ready: Rig, log: Trace) -> Series:
    """Return the torque of rotor and tail together that a log's current tells, N m at the head, less the tail's share.

    q = eta n q_motor(i) - q_drag - J dw/dt
    Raises: InputError when the log lacks current, voltage or speed.
    """
    current, voltage = log.get("pack_current_a"), log.get("pack_voltage_v")
    speed = log.get("head_speed_rpm")
    speed = log.get("motor_side_speed_rpm") if speed is None else speed
    if current is None or voltage is None or speed is None:
        raise InputError(log.source, read="neither collective nor current, voltage and speed", right="a log to replay")
    craft = ready.craft
    turn = smooth(log.time_s, _bridged(log, speed)) / RPM
    seen = np.array([
        motor_current_seen(craft.motor, craft.controller, v, i, w * craft.gears.ratio, craft.body.air_k + 30.0)
        for v, i, w in zip(_bridged(log, voltage), _bridged(log, current), turn, strict=True)
    ])  # fmt: skip
    given = [shaft_torque(craft.motor, i, w * craft.gears.ratio) for i, w in zip(seen, turn, strict=True)]
    torque = np.array([head_torque(craft.gears, motor_nm) for motor_nm in given])
    inertia = craft.body.head_kg_m2 + craft.gears.ratio**2 * craft.body.motor_kg_m2
    load = torque - craft.body.head_drag_nm - inertia * rate_of(log.time_s, turn)
    return np.maximum(load / (1.0 + TAIL_SHARE), 0.0)


TAIL_SHARE = 0.09
"""Tail torque at the main shaft over main torque in hover; common practice, no source."""


def smooth(time_s: Series, values: Series) -> Series:
    """Return values averaged over SMOOTH_S. Shapes: time_s (n,), values (n,) -> (n,)."""
    interval = max(float(np.median(np.diff(time_s))), 1e-4)
    width = 2 * max(1, round(0.5 * SMOOTH_S / interval)) + 1
    if values.size <= width:
        return values
    padded = np.pad(values, width // 2, mode="edge")
    return np.convolve(padded, np.full(width, 1.0 / width), mode="valid")


def rate_of(time_s: Series, values: Series) -> Series:
    """Return how fast smoothed values change, per s. Shapes: time_s (n,), values (n,) -> (n,)."""
    return np.asarray(np.gradient(smooth(time_s, values), time_s), dtype=np.float64)


def _bridged(log: Trace, values: Series) -> Series:
    known = np.isfinite(values)
    return np.interp(log.time_s, log.time_s[known], values[known])


def _with_spools(ready: Rig, learned: Learned) -> Rig:
    """Return the rig with the spool-up times that the log shows, where it shows them."""
    seen = {name: s for name in ("soft_spool_s", "quick_spool_s") if (s := getattr(learned, name)) is not None}
    keys = {f"governor.{name.removesuffix('_s')}" for name in seen}
    kept = tuple(told for told in ready.assumptions if told.key not in keys)
    rules = ready.setting.rules._replace(**seen)
    return replace(ready, setting=ready.setting._replace(rules=rules), assumptions=kept)


def charge_of(ready: Rig, log: Trace) -> float:
    """Return the charge that the log's first voltage tells, 0 to 1; full where it tells none.

    Valid: open-circuit curves of makes differ by 0.08 V a cell: a few per cent of charge near full, 15 % in the middle.
    """
    voltage, current = log.get("pack_voltage_v"), log.get("pack_current_a")
    if voltage is None:
        return 1.0
    first = slice(0, max(3, voltage.size // 500))
    drawn = float(np.nanmedian(current[first])) if current is not None else 0.0
    rested = float(np.nanmedian(voltage[first])) + max(drawn, 0.0) * ready.craft.pack.resistance_25c_ohm
    return max(charge_at(rested / ready.craft.pack.cells - ready.craft.pack.cell_rest_offset_v), 0.02)


def charge_at(cell_v: float) -> float:
    """Return the charge of a rested cell at a voltage, 0 to 1; the rest offset of its make is taken out before."""
    places = np.linspace(0.0, 1.0, 201)
    curve = [cell_open_circuit(float(place)) for place in places]
    return float(np.interp(cell_v, curve, places))


def _begin(ready: Rig, log: Trace, rows: Rows) -> tuple[Now, Arrays]:
    """Return the start: at rest, or governed when the log begins with the rotor turning."""
    speed = log.get("head_speed_rpm")
    speed = log.get("motor_side_speed_rpm") if speed is None else speed
    percent = float(rows[0, TARGET])
    full = charge_of(ready, log)
    if speed is None or not float(np.nanmedian(speed[: max(3, speed.size // 500)])) > TURNING_RPM:
        return at_rest(ready, charge=full, collective_rad=float(rows[0, COLLECTIVE]), channel_percent=percent)
    first = float(np.nanmedian(speed[: max(3, speed.size // 500)])) / RPM
    mode = int(np.argmin([abs(rad_s - first) for rad_s in ready.set_rad_s]))
    near = replace(ready, set_rad_s=tuple(first if k == mode else s for k, s in enumerate(ready.set_rad_s)))
    height = log.get("height_m")
    now, arrays = hovering(
        near, mode=mode, channel_percent=percent, height_m=float(height[0]) if height is not None else 0.0, charge=full
    )
    return now, arrays
