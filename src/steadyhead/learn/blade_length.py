"""What steady hovering says of the rotor's radius: the pitch it takes and the torque it asks, at a known weight."""

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.pieces import line
from steadyhead.learn.joint import Joint
from steadyhead.learn.model import LogModel
from steadyhead.learn.not_shown import RADIUS
from steadyhead.learn.rows import Driven
from steadyhead.machine.description import Machine
from steadyhead.physics.log_balance import motor_current_from
from steadyhead.physics.motor import shaft_torque
from steadyhead.physics.trim import Stop
from steadyhead.plan.loads import HOVER
from steadyhead.plan.trims import aircraft, trim
from steadyhead.trace.trace import Series

DRAG = "rotor.drag_factor"
FEWEST_HOVERS = 6
"""Windows of half a second, three seconds in all."""
LEVEL_M_S = 0.5
STEADY_DEG = 0.3
LEVEL_S = 1.0
ONE_SPEED_SHARE = 0.02
CLEAR_OF_GROUND = 3.0
"""Radii above the ground from which its cushion is left out; ground effect is under 3 % there, any textbook."""
PITCH_OFF_DEG = 0.5
"""A logged collective is half a degree off, give or take; 90 %."""
POWER_OFF_SHARE = 0.03
"""Current sensor, 2 %, and the loss of the drive; 90 %."""
HOVER_MODEL_SHARE = 0.05
"""Torque of a hover by blade elements beside measured ones; 90 %. All: common practice, no source."""
RESTS_ON = ("airframe.mass", "rotor.lift_factor", "rotor.chord", "site.elevation", "site.temperature")
STEP = 0.02
MOST_STEPS = 6
FARTHEST = math.log(1.6)
Floats = NDArray[np.float64]


class Hover(NamedTuple):
    """What a log shows of hovering: head speed, logged collective and torque at the head. SI."""

    head_rad_s: float
    collective_rad: float
    torque_nm: float


def radius_seen(machine: Machine, made: Joint) -> tuple[float, float] | None:
    """Return the 90 % interval of the rotor's radius, m, if the steady level stretches of the logs are hovers.

    Pitch and torque of a hover at the known weight, by blade elements, as functions of the radius; least squares of
    both, held by their doubts. Where flat running told the profile drag, its product with R^4 is what is held.
    None where collective, height or climb speed, current, duty or voltage is not logged, or nothing is steady.
    Valid: no wind and no forward speed: a log holds neither. Forward flight makes blades look longer than they are.
    Source: blade-element momentum theory, J. G. Leishman, Principles of Helicopter Aerodynamics, 2006, 2.3 and 3.2;
    generalised least squares, any statistics textbook.
    """
    numbers = made.fitted.numbers()
    seen = [hover for model in made.models if (hover := hover_of(model, numbers)) is not None]
    ends = [end for hover in seen if (end := _radius(machine, made, hover)) is not None]
    if not ends:
        return None
    weights = [1.0 / half**2 for _, half in ends]
    middle = sum(w * r for w, (r, _) in zip(weights, ends, strict=True)) / sum(weights)
    half = min(half for _, half in ends)  # what is not known is the same in every log
    stated = _si(machine, RADIUS)
    return stated * math.exp(middle - half), stated * math.exp(middle + half)


def hover_of(model: LogModel, numbers: Mapping[str, float]) -> Hover | None:
    """Return what one log shows of hovering; None where it does not."""
    driven, signals = model.evidence.driven, model.evidence.found.signals
    if driven is None or signals.collective_deg is None or not model.evidence.blades_on:
        return None
    level = np.array([*_level(model, driven)])
    if int(level.sum()) < FEWEST_HOVERS:
        return None
    usual = float(np.median(driven.head_rad_s[level]))
    level &= np.abs(driven.head_rad_s - usual) <= ONE_SPEED_SHARE * usual
    if int(level.sum()) < FEWEST_HOVERS:
        return None
    pitch = np.interp(driven.time_s[level], signals.time_s, signals.collective_deg)
    torque = _head_torque(model, driven, dict(numbers))[level]
    return Hover(usual, math.radians(float(np.median(pitch))), float(np.median(torque)))


def _level(model: LogModel, driven: Driven) -> Iterator[bool]:
    """Yield for each window whether the machine then hung in the air, clear of the ground, with the collective held."""
    signals = model.evidence.found.signals
    height, climb, pitch = signals.height_m, signals.climb_m_s, signals.collective_deg
    clear_m = signals.ground_m + CLEAR_OF_GROUND * _si(model.machine, RADIUS)
    for stamp, flat in zip(driven.time_s, driven.flat, strict=True):
        part = signals.within(float(stamp) - LEVEL_S, float(stamp) + LEVEL_S)
        if flat or pitch is None or part.stop - part.start < 8 or np.std(pitch[part]) > STEADY_DEG:
            yield False
        elif height is not None:
            slope, _ = line(signals.time_s[part] - float(stamp), height[part])[:2]
            yield abs(slope) <= LEVEL_M_S and float(np.mean(height[part])) > clear_m
        else:
            yield climb is not None and float(np.mean(np.abs(climb[part]))) <= LEVEL_M_S


def _head_torque(model: LogModel, driven: Driven, numbers: dict[str, float]) -> Series:
    """Return what the motor gives the head, drag of the gears taken off, N m. Shapes: -> (n,)."""
    controller, motor = model.controller(numbers), model.motor(numbers)
    amperes = (driven.current_a - numbers[f"standby {model.number}"]) * numbers["current_scale"]
    volts = driven.voltage_v * numbers["voltage_scale"]
    rows = zip(amperes, volts, driven.duty, driven.head_rad_s * model.ratio, strict=True)
    shaft = [shaft_torque(motor, motor_current_from(controller, motor, i, v, d), w) for i, v, d, w in rows]
    return numbers["gears.efficiency"] * model.ratio * np.array(shaft) - numbers["gears.drag_torque"]


def _radius(machine: Machine, made: Joint, hover: Hover) -> tuple[float, float] | None:
    """Return the logarithm of radius over the file's, and the half width of its 90 % interval; None out of range."""
    told = DRAG in made.told
    drag = made.fitted.numbers()[DRAG] if told else _si(machine, DRAG)
    drag_half = made.fitted.half(DRAG) if told else _spread(machine, DRAG) / drag

    def asked(longer: float, moved: Mapping[str, float]) -> Floats | None:
        factor = drag * math.exp(moved.get(DRAG, 0.0) - (4.0 * longer if told else 0.0))
        values = {key: _si(machine, key) + moved.get(key, 0.0) * _spread(machine, key) for key in RESTS_ON}
        radius = _si(machine, RADIUS) * math.exp(longer)
        return _hover_asks(machine.replaced({**values, RADIUS: radius, DRAG: factor}), hover.head_rad_s)

    seen, longer = np.array([hover.collective_rad, math.log(max(hover.torque_nm, 1e-6))]), 0.0
    for _ in range(MOST_STEPS):
        here, there = asked(longer, {}), asked(longer + STEP, {})
        if here is None or there is None:
            return None
        slope = (there - here) / STEP
        doubts = [_halved(asked(longer, {key: 1.0}), here) for key in RESTS_ON]
        doubts += [_halved(asked(longer, {DRAG: drag_half}), here)]
        doubts += [np.array([math.radians(PITCH_OFF_DEG), 0.0]), np.array([0.0, POWER_OFF_SHARE])]
        doubts += [np.array([0.0, HOVER_MODEL_SHARE])]
        inverse = np.linalg.inv(sum((np.outer(d, d) for d in doubts), np.zeros((2, 2))))
        told_by = float(slope @ inverse @ slope)
        step = float(slope @ inverse @ (seen - here)) / told_by
        longer += step
        if abs(longer) > FARTHEST:
            return None
        if abs(step) < 1e-3:
            return longer, 1.0 / math.sqrt(told_by)
    return None


def _hover_asks(machine: Machine, head_rad_s: float) -> Floats | None:
    """Return collective, rad, and the logarithm of the head's torque, N m, of a hover; None where it cannot."""
    craft = aircraft(machine)
    found = trim(craft, HOVER, head_rad_s)
    if found.code != Stop.DONE:
        return None
    torque = found.loads.torque_nm + craft.tail.ratio * found.tail_loads.torque_nm
    return np.array([found.collective_rad, math.log(torque)])


def _halved(moved: Floats | None, here: Floats) -> Floats:
    """Return by how much a value's 90 % half width moves what is asked; nothing where it cannot be flown."""
    return np.zeros(2) if moved is None else moved - here


def _si(machine: Machine, key: str) -> float:
    value = machine.value(key)
    return value.si if value else 0.0


def _spread(machine: Machine, key: str) -> float:
    value = machine.value(key)
    return value.spread_si if value else 0.0
