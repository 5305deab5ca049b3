"""Turns the steps of a scenario into one row of commands for every pulse frame."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadyhead.channel.run_logic import Place, SwitchPosition
from steadyhead.flight.loop import CLIMB, COLLECTIVE, COMMANDS, FORWARD, HEIGHT, LOAD_FACTOR, RATE_OF, TARGET
from steadyhead.flight.rig import Rig
from steadyhead.flight.scenario import AUTOROTATION, HOLD, NEEDS_BLADES, NEEDS_MOTOR, Do, Scenario, Step
from steadyhead.physics.craft import GRAVITY_M_S2
from steadyhead.physics.trim import STOP_SAYS, Stop, collective_for_thrust
from steadyhead.words.errors import InputError, did_you_mean

LANDING_M = -3.0
"""Height that a landing pilot aims at: below the ground, so that he sets down and stays down."""
SWING_S = 0.1
"""Time in which collective and load pass from one side of a cyclic load to the other."""

Rows = NDArray[np.float64]


@dataclass
class _Hand:
    """Where the pilot's hands are as the steps are walked through."""

    position: SwitchPosition
    collective_rad: float
    forward_m_s: float


def commands(scenario: Scenario, rig: Rig, collective_rad: float) -> Rows:
    """Return the commands of a whole scenario, one row a pulse frame, as `loop.COMMANDS`.

    Raises: InputError naming the step that cannot be: a mode or collective the machine has not, flying with the motor
    off or without blades.
    """
    frame_s = rig.setting.clock.step_s * rig.setting.clock.steps_a_frame
    rows = np.full((max(1, math.ceil(scenario.duration_s / frame_s)), len(COMMANDS)), math.nan)
    hand = _Hand(switch_position(rig, scenario.switch, scenario.source), collective_rad, 0.0)
    begin = 0.0
    for step in scenario.steps:
        if step.switch is not None:
            hand.position = switch_position(rig, step.switch, f"{step.place}, switch")
        _refuse(step, hand, scenario, rig)
        first, last = round(begin / frame_s), round((begin + step.for_s) / frame_s)
        part = rows[first:last]
        time_s = np.arange(part.shape[0], dtype=np.float64) * frame_s
        to_hold = hand.position.place is Place.HOLD
        part[:, TARGET] = hand.position.percent
        part[:, RATE_OF] = rig.logic.hold_rate_percent_s if to_hold else rig.logic.ramp_rate_percent_s
        part[:, FORWARD], part[:, LOAD_FACTOR] = hand.forward_m_s, 1.0
        _fill(part, time_s, step, hand, rig)
        begin += step.for_s
    return rows


def switch_position(rig: Rig, words: str, at: str) -> SwitchPosition:
    """Return the switch position that a scenario names.

    Raises: InputError when the machine has none of that name.
    """
    modes = rig.logic.at(Place.MODE)
    known = {HOLD: rig.logic.at(Place.HOLD)[0], AUTOROTATION: rig.logic.at(Place.AUTOROTATION)[0]}
    known |= {f"mode {number}": mode for number, mode in enumerate(modes, start=1)}
    known |= {mode.name: mode for mode in modes}
    if words not in known:
        raise InputError(at, read=f'"{words}"', right=did_you_mean(words, known))
    return known[words]


def mode_number(rig: Rig, words: str, at: str) -> int:
    """Return the number, from 0, of the flight mode that a switch position is.

    Raises: InputError when it is none.
    """
    position = switch_position(rig, words, at)
    modes = rig.logic.at(Place.MODE)
    if position not in modes:
        raise InputError(at, read=f'"{words}"', right=did_you_mean(words, [mode.name for mode in modes]))
    return modes.index(position)


def _refuse(step: Step, hand: _Hand, scenario: Scenario, rig: Rig) -> None:
    """Refuse a step that cannot be flown."""
    if not scenario.blades and step.do in NEEDS_BLADES:
        raise InputError(step.place, read=f"{step.do} with the blades off", right="wait, or blades = true")
    if step.do in NEEDS_MOTOR and hand.position.place is not Place.MODE:
        raise InputError(
            step.place,
            read=f"{step.do} with the switch in {hand.position.name}: the motor does not drive",
            right='switch = "mode 1" in this step or before',
        )
    low, high = rig.setting.pilot.low_rad, rig.setting.pilot.high_rad
    for name, value in (("collective", step.collective_rad), ("low", step.low_rad)):
        if value is not None and not low - 1e-9 <= value <= high + 1e-9:
            raise InputError(
                f"{step.place}, {name}", read=f"{math.degrees(value):.3g} deg",
                right=f"from {math.degrees(low):.3g} to {math.degrees(high):.3g} deg, as the machine file sets it",
            )  # fmt: skip


def _fill(part: Rows, time_s: Rows, step: Step, hand: _Hand, rig: Rig) -> None:
    """Write one step's collective, height, climb, forward speed and load into its rows."""
    high = rig.setting.pilot.high_rad
    goal = step.collective_rad
    if step.do in (Do.HOVER, Do.LAND):
        height = LANDING_M if step.do is Do.LAND else step.height_m
        part[:, HEIGHT] = math.nan if height is None else height
        part[:, CLIMB] = step.climb_m_s or 0.0
        return
    if step.do is Do.PUMP:
        top, bottom = goal if goal is not None else high, step.low_rad if step.low_rad is not None else 0.0
        swing = 0.5 - 0.5 * np.cos(2.0 * np.pi * time_s / step.period_s)
        part[:, COLLECTIVE] = bottom + (top - bottom) * swing
        hand.collective_rad = bottom
        return
    if step.do is Do.CYCLIC:
        factor = step.load_factor if step.load_factor is not None else 2.5
        side = _square(time_s, step.period_s)
        part[:, LOAD_FACTOR] = factor * side
        part[:, COLLECTIVE] = loaded_collective(rig, hand, factor, step.place) * side
        hand.collective_rad = 0.0
        return
    if goal is None:
        goal = high if step.do is Do.CLIMB else hand.collective_rad
    ramp = np.minimum(time_s / step.over_s, 1.0)
    part[:, COLLECTIVE] = hand.collective_rad + (goal - hand.collective_rad) * ramp
    if step.do is Do.GLIDE and step.forward_m_s is not None:
        share = np.minimum(time_s / max(0.5 * step.for_s, 1e-6), 1.0)
        part[:, FORWARD] = hand.forward_m_s + (step.forward_m_s - hand.forward_m_s) * share
        hand.forward_m_s = step.forward_m_s
    hand.collective_rad = goal


def _square(time_s: Rows, period_s: float) -> Rows:
    """Return a wave between 1 and -1 that passes from side to side in SWING_S."""
    place = np.mod(time_s, period_s)
    edge = min(SWING_S, 0.25 * period_s)
    middle = np.clip((0.5 * period_s - place) / (0.5 * edge), -1.0, 1.0)
    return np.where(place > period_s - edge, np.clip((place - period_s + 0.5 * edge) / (0.5 * edge), -1.0, 1.0), middle)


def loaded_collective(rig: Rig, hand: _Hand, factor: float, at: str) -> float:
    """Return the collective that carries a load of so many weights in the present flight mode, rad, within its range.

    Raises: InputError when the blades stall before.
    """
    craft, mode = rig.craft, rig.logic.at(Place.MODE).index(hand.position)
    wanted = factor * craft.body.mass_kg * GRAVITY_M_S2
    collective, code = collective_for_thrust(craft.rotor, craft.section, craft.air, rig.set_rad_s[mode], wanted, 0.0)
    if code != Stop.DONE:
        raise InputError(
            f"{at}, load_factor", read=f"{factor:g}: {STOP_SAYS[Stop(code)]}", right="a smaller load factor"
        )
    return min(collective, rig.setting.pilot.high_rad)
