"""From a run logic to what the walk over every switch sequence takes: whole ticks, and each position as it may be off.

A tick is 0.05 s: two or three frames of a radio, and shorter than a hand. Delays are rounded up to ticks, long times to
the nearest. A channel that takes over 100 s from end to end gets a longer tick.
"""

import math
from dataclasses import dataclass

import numpy as np

from steadyhead.channel.run_logic import Place, RunLogic, SwitchPosition, kindest, run_rules
from steadyhead.physics.run_state import RunRules
from steadyhead.physics.run_walk import STEPS_PER_PERCENT, Course

TICK_S = 0.05
MOST_TICKS = 2000
STAY_S = 1.0
"""How long one stay in throttle hold lasts after the motor should be off; common practice, no source."""
SLACK_TICKS = 3
NEAR_TICKS = 4
MOST_CLOCK_TICKS = 255
MOST_STEPS = 300_000
PLACES = {Place.HOLD: 0, Place.AUTOROTATION: 1, Place.MODE: 2, Place.STICK_DOWN: 3}


@dataclass(frozen=True, kw_only=True)
class Variant:
    """One position of the switches at the percent that the controller may see there; `off_percent` by jitter."""

    position: SwitchPosition
    percent: float
    off_percent: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Walkable:
    """A run logic made ready for the walk."""

    logic: RunLogic
    rules: RunRules
    """With the times as they are, not in ticks."""
    variants: tuple[Variant, ...]
    course: Course

    @property
    def hold_s(self) -> float:
        """How long throttle hold must have been selected before the motor must be off, s."""
        return float(self.course.hold_ticks * self.course.tick_s)

    @property
    def stay_s(self) -> float:
        """How long one stay in throttle hold lasts, s."""
        return float(self.course.stay_ticks * self.course.tick_s)

    @property
    def start_s(self) -> float:
        """Longest time in which a start from hold must come, s."""
        return float(self.course.start_ticks * self.course.tick_s)


def walkable(logic: RunLogic, guard_percent: float) -> Walkable:
    """Return the course of a logic whose positions may each be off by `guard_percent`.

    Valid: both thresholds known; unknown settings at their kindest.
    """
    full, rules = kindest(logic), run_rules(logic)
    ramp, hold_rate = full.ramp_rate_percent_s or 0.1, full.hold_rate_percent_s or 0.1
    variants = tuple(_variants(_walked(full, rules, guard_percent), rules, guard_percent))
    slowest_s = max(100.0 / ramp, 100.0 / hold_rate, rules.start_delay_s, rules.arm_s, rules.clear_after_s)
    hold_s = max(hold_takes_s(logic) or 0.0, logic.hold_stop_s)
    tick_s = max(TICK_S, slowest_s / MOST_TICKS)
    rise = max(rules.start_percent - min((variant.percent for variant in variants), default=0.0), 0.0)
    hold_ticks = _up(hold_s, tick_s) + 2
    rounded = _rounded(rules, tick_s)
    course = Course(
        rules=rounded,
        tick_s=tick_s,
        wait_ticks=_up(rules.start_delay_s, tick_s),
        stop_ticks=max(_up(rules.stop_delay_s, tick_s), _up(rules.arm_s, tick_s), 1),
        clear_ticks=max(_up(rules.clear_after_s, tick_s), 1),
        governed_ticks=_up(rounded.governed_before_s, tick_s),
        permission_ticks=_up(rounded.permission_s, tick_s),
        governed_near=_near(_up(rounded.governed_before_s, tick_s), 100.0 / ramp / tick_s),
        permission_near=_near(_up(rounded.permission_s, tick_s), 100.0 / ramp / tick_s),
        ramp_steps=_steps(ramp * tick_s),
        hold_steps=_steps(hold_rate * tick_s),
        hold_ticks=hold_ticks,
        stay_ticks=hold_ticks + _up(STAY_S, tick_s),
        start_ticks=_up(rise / ramp + rules.start_delay_s, tick_s) + SLACK_TICKS,
        percent_steps=np.array([round(v.percent * STEPS_PER_PERCENT) for v in variants], np.int64),
        places=np.array([PLACES[v.position.place] for v in variants], np.int64),
        nominal=np.array([v.off_percent == 0.0 for v in variants], np.int64),
        starts=np.array([_surely_starts(v, rules, guard_percent) for v in variants], np.int64),
    )
    return Walkable(logic=logic, rules=rules, variants=variants, course=course)


def hold_takes_s(logic: RunLogic) -> float | None:
    """Time from selecting throttle hold until the motor is off, from the highest position, s; None when unknown.

    t = (highest position - stop threshold) / rate of the channel to hold + stop delay
    Valid: hold below the stop threshold; a delay of 0 and an instant channel stand for what is unknown.
    Source: arithmetic.
    """
    highest = max((p.percent for p in logic.positions if p.percent is not None), default=None)
    if highest is None or logic.stop_percent is None:
        return None
    full = kindest(logic)
    rate = full.hold_rate_percent_s or 0.1
    return max(highest - logic.stop_percent, 0.0) / rate + (full.stop_delay_s or 0.0)


def _walked(logic: RunLogic, rules: RunRules, guard_percent: float) -> list[SwitchPosition]:
    """Return the positions to walk over: of the modes that surely run, the lowest and the highest stand for all."""
    known = [position for position in logic.positions if position.percent is not None]
    running = [p for p in known if p.place is Place.MODE and (p.percent or 0.0) - guard_percent > rules.start_percent]
    ends = {min(running, key=_percent).name, max(running, key=_percent).name} if running else set()
    return [p for p in known if p not in running or p.name in ends]


def _percent(position: SwitchPosition) -> float:
    return position.percent or 0.0


def _variants(positions: list[SwitchPosition], rules: RunRules, guard_percent: float) -> list[Variant]:
    """Return every position as set, and moved by the guard where that carries it over a threshold."""
    found = []
    for position in positions:
        percent = _percent(position)
        found.append(Variant(position=position, percent=percent))
        for off in (-guard_percent, guard_percent):
            moved = max(percent + off, 0.0)
            if _side(moved, rules) != _side(percent, rules):
                found.append(Variant(position=position, percent=moved, off_percent=off))
    return found


def _side(percent: float, rules: RunRules) -> tuple[bool, bool, bool]:
    return percent < rules.stop_percent, percent < rules.clear_percent, percent > rules.start_percent


def _surely_starts(variant: Variant, rules: RunRules, guard_percent: float) -> bool:
    is_mode = variant.position.place is Place.MODE
    return is_mode and variant.off_percent == 0.0 and variant.percent - guard_percent > rules.start_percent


def _rounded(rules: RunRules, tick_s: float) -> RunRules:
    return rules._replace(
        start_delay_s=_up(rules.start_delay_s, tick_s) * tick_s,
        stop_delay_s=_up(rules.stop_delay_s, tick_s) * tick_s,
        clear_after_s=_up(rules.clear_after_s, tick_s) * tick_s,
        arm_s=_up(rules.arm_s, tick_s) * tick_s,
        governed_before_s=round(rules.governed_before_s / tick_s) * tick_s,
        permission_s=round(rules.permission_s / tick_s) * tick_s,
    )


def _near(limit_ticks: int, travel_ticks: float) -> int:
    """How many ticks before its limit a clock is followed tick by tick: all, where it may come due in two travels."""
    return limit_ticks if limit_ticks <= min(2.0 * travel_ticks + NEAR_TICKS, MOST_CLOCK_TICKS) else NEAR_TICKS


def _up(time_s: float, tick_s: float) -> int:
    return math.ceil(time_s / tick_s - 1e-9)


def _steps(percent: float) -> int:
    return min(max(round(percent * STEPS_PER_PERCENT), 1), MOST_STEPS)
