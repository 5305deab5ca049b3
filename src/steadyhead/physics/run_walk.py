"""One tick of the controller with the flyer's side beside it, in whole numbers: what the exhaustive check walks over.

Times are ticks, the channel thousandths of a percent. A clock with a long limit keeps only its last few ticks apart:
before them it stands at 0, "far from due", and a jump brings it near. Clocks that could come due while the channel
moves are followed tick by tick.
"""

from enum import IntEnum
from typing import NamedTuple

from steadyhead.physics.kernel import kernel
from steadyhead.physics.run_state import (
    GOVERNED,
    IDLING,
    OFF,
    QUICK,
    SOFT,
    WAITING,
    RunRules,
    RunState,
    advance,
    is_driven,
    powered_up,
)
from steadyhead.physics.state_table import Whole

NO_CLOCK = -1
STEPS_PER_PERCENT = 1000.0


class Rule(IntEnum):
    """The safety rules, in the order in which they are told."""

    HOLD_STOPS = 0
    SOFT_FROM_REST = 1
    AUTOROTATION_STAYS_OFF = 2
    QUICK_IS_EARNED = 3
    ONE_HOLD_IS_ENOUGH = 4
    POWER_UP_IS_STILL = 5
    BAIL_OUT_IS_QUICK = 6


SOFT_FROM_REST, AUTOROTATION_STAYS_OFF = 1 << Rule.SOFT_FROM_REST, 1 << Rule.AUTOROTATION_STAYS_OFF
QUICK_IS_EARNED, POWER_UP_IS_STILL = 1 << Rule.QUICK_IS_EARNED, 1 << Rule.POWER_UP_IS_STILL
BAIL_OUT_IS_QUICK = 1 << Rule.BAIL_OUT_IS_QUICK
HOLD, AUTOROTATION, MODE, STICK_DOWN = 0, 1, 2, 3
"""What a position is for."""


class Course(NamedTuple):
    """What is fixed in a walk: the controller in whole ticks, and the positions.

    `percent_steps` and `places` have one entry for each position and for each way it may be off. `governed_near`,
    `permission_near`: how many ticks before its limit a clock is followed tick by tick.
    """

    rules: RunRules
    tick_s: float
    wait_ticks: int
    stop_ticks: int
    clear_ticks: int
    governed_ticks: int
    permission_ticks: int
    governed_near: int
    permission_near: int
    ramp_steps: int
    hold_steps: int
    hold_ticks: int
    stay_ticks: int
    start_ticks: int
    percent_steps: Whole
    places: Whole
    nominal: Whole
    """1 where the position is as set, 0 where it is off by jitter."""
    starts: Whole
    """1 where the position surely starts the motor."""


class Seen(NamedTuple):
    """Controller, channel and flyer at one moment. Ticks and steps; clocks as the module says.

    `turning`: the head turns. `earned`: governed since power-up and since the last throttle hold. `fresh`: only flight
    modes were selected since power-up. `promised`: clock of an autorotation that may count on a quick restart.
    `from_mode`: since the channel last asked for running in a flight mode, neither hold nor a stick at the bottom.
    """

    run: int
    waited: int
    below_stop: int
    below_clear: int
    governed: int
    permitted: int
    visits: int
    channel: int
    target: int
    turning: int
    hold: int
    earned: int
    fresh: int
    promised: int
    from_mode: int


@kernel
def packed(seen: Seen) -> tuple[int, int]:
    """Both whole numbers that stand for a state in the table.

    Valid: timers below 4096 ticks, shortened clocks up to 255, channel below 262 %, 64 positions.
    Source: definition.
    """
    first = seen.run | seen.waited << 3 | seen.below_stop << 15 | seen.below_clear << 27 | seen.hold << 39
    second = seen.channel | seen.target << 18 | seen.governed << 24 | (seen.permitted + 1) << 32
    second |= seen.visits << 41 | seen.turning << 45 | seen.earned << 46 | seen.fresh << 47 | seen.from_mode << 48
    second |= (seen.promised + 1) << 49
    return first, second


@kernel
def unpacked(first: int, second: int) -> Seen:
    """State that two whole numbers stand for: the reverse of `packed`.

    Valid: as `packed`.
    Source: definition.
    """
    return Seen(
        first & 7,
        first >> 3 & 4095,
        first >> 15 & 4095,
        first >> 27 & 4095,
        second >> 24 & 255,
        (second >> 32 & 511) - 1,
        second >> 41 & 15,
        second & 262143,
        second >> 18 & 63,
        second >> 45 & 1,
        first >> 39 & 4095,
        second >> 46 & 1,
        second >> 47 & 1,
        (second >> 49 & 511) - 1,
        second >> 48 & 1,
    )


@kernel
def begun(course: Course, target: int) -> Seen:
    """State at power-up with the switches at one position: head at rest, channel where the position lies.

    Valid: any position of the course.
    Source: definition.
    """
    run = powered_up(course.rules).run
    place = course.places[target]
    fresh = 1 if place in (MODE, STICK_DOWN) else 0
    channel = int(course.percent_steps[target])
    return Seen(run, 0, 0, 0, 0, NO_CLOCK, 0, channel, target, 0, 0, 0, fresh, NO_CLOCK, 0)


@kernel
def switched(course: Course, seen: Seen, target: int) -> Seen:
    """State after the switches were moved, before any time has passed.

    Valid: any position of the course.
    Source: definition.
    """
    place = course.places[target]
    fresh = seen.fresh if place in (MODE, STICK_DOWN) else 0
    promised = NO_CLOCK if place == HOLD else seen.promised
    hold = seen.hold if place == HOLD else 0
    from_mode = seen.from_mode if place in (MODE, AUTOROTATION) else 0
    return Seen(
        seen.run, seen.waited, seen.below_stop, seen.below_clear, seen.governed, seen.permitted, seen.visits,
        seen.channel, target, seen.turning, hold, seen.earned, fresh, promised, from_mode,
    )  # fmt: skip


@kernel
def come_to_rest(seen: Seen) -> Seen:
    """State with the head at rest.

    Valid: an undriven motor.
    Source: definition.
    """
    return Seen(
        seen.run, seen.waited, seen.below_stop, seen.below_clear, seen.governed, seen.permitted, seen.visits,
        seen.channel, seen.target, 0, seen.hold, seen.earned, seen.fresh, seen.promised, seen.from_mode,
    )  # fmt: skip


@kernel
def clock_ticks(clock: int, limit: int, near: int) -> int:
    """Ticks that a shortened clock stands for.

    Valid: clock 0 of a long limit stands for every time that is far from it.
    Source: definition.
    """
    return clock + max(limit - near, 0) if clock > 0 else 0


@kernel
def clock_of(ticks: int, limit: int, near: int) -> int:
    """Shortened clock of a time in ticks, not beyond its limit.

    Valid: as `clock_ticks`.
    Source: definition.
    """
    return max(min(ticks, limit) - max(limit - near, 0), 0)


@kernel
def may_jump(course: Course, seen: Seen) -> bool:
    """Whether waiting long would bring any clock near its limit.

    Valid: any state.
    Source: definition.
    """
    counts = seen.run == GOVERNED or (course.rules.counts_spool_up != 0 and seen.run in (SOFT, QUICK))
    if counts and seen.governed == 0 and course.governed_ticks > course.governed_near:
        return True
    return (seen.permitted == 0 or seen.promised == 0) and course.permission_ticks > course.permission_near


@kernel
def clocks(course: Course, seen: Seen, jump: bool) -> tuple[int, int, int]:
    """Ticks on the clocks of governed running, permission and promise, the coming tick not yet counted.

    `jump`: after a wait that brings those that are far near to their limit.
    Valid: any state.
    Source: definition.
    """
    governed = clock_ticks(seen.governed, course.governed_ticks, course.governed_near)
    permitted = clock_ticks(seen.permitted, course.permission_ticks, course.permission_near)
    promised = clock_ticks(seen.promised, course.permission_ticks, course.permission_near)
    if jump and seen.governed == 0:
        governed = max(course.governed_ticks - course.governed_near, 0)
    if jump and seen.permitted == 0:
        permitted = max(course.permission_ticks - course.permission_near, 0)
    if jump and seen.promised == 0:
        promised = max(course.permission_ticks - course.permission_near, 0)
    return governed, permitted, promised


@kernel
def channel_after(course: Course, seen: Seen) -> int:
    """Channel one tick on its way to the position selected, in steps.

    Valid: any state.
    Source: definition of a straight ramp.
    """
    target = course.percent_steps[seen.target]
    most = course.hold_steps if course.places[seen.target] == HOLD else course.ramp_steps
    return int(min(max(target, seen.channel - most), seen.channel + most))


@kernel
def ticked(course: Course, seen: Seen, at_speed: bool, jump: bool) -> tuple[Seen, int]:
    """State one tick later, and the rules broken in it as bits.

    `at_speed`: the motor reaches the set speed. `jump`: a long wait first. The head turns on; see `come_to_rest`.
    Valid: any state of the course.
    Source: `run_state.advance`; rules of this tool.
    """
    tick_s = course.tick_s
    channel = channel_after(course, seen)
    governed, permitted, promised = clocks(course, seen, jump)
    permission, near = course.permission_ticks, course.permission_near
    before = RunState(
        seen.run,
        seen.waited * tick_s,
        seen.below_stop * tick_s,
        seen.below_clear * tick_s,
        governed * tick_s,
        permitted * tick_s if seen.permitted >= 0 else -1.0,
        seen.visits,
    )
    speed = 1.0 if at_speed else 0.5
    after = advance(course.rules, before, channel / STEPS_PER_PERCENT, speed, 0.5 * seen.turning, tick_s)
    broken = rules_broken(course, seen, after.run, channel)
    asks = channel > course.rules.start_percent * STEPS_PER_PERCENT
    asks_in_mode = asks and course.places[seen.target] == MODE
    left = seen.run == GOVERNED and after.run in (OFF, IDLING)
    if seen.promised >= 0:
        promised += 1
    has_promise = seen.promised >= 0 and promised < permission and after.run not in (SOFT, QUICK)
    in_autorotation = course.places[seen.target] == AUTOROTATION and seen.from_mode == 1
    if left and course.rules.permits != 0 and in_autorotation:
        has_promise = has_promise or governed + 1 >= course.governed_ticks
        promised = 0
    hold = min(seen.hold + 1, course.hold_ticks) if course.places[seen.target] == HOLD else 0
    earned = 1 if after.run == GOVERNED else seen.earned
    if hold == course.hold_ticks:
        earned = 0
    return Seen(
        after.run,
        min(in_ticks(after.in_run_s, tick_s), course.wait_ticks) if after.run == WAITING else 0,
        min(in_ticks(after.below_stop_s, tick_s), course.stop_ticks),
        min(in_ticks(after.below_clear_s, tick_s), course.clear_ticks),
        clock_of(in_ticks(after.governed_s, tick_s), course.governed_ticks, course.governed_near),
        clock_of(in_ticks(after.permitted_s, tick_s), permission, near) if after.permitted_s >= 0.0 else NO_CLOCK,
        after.visits,
        channel,
        seen.target,
        1 if seen.turning or is_driven(seen.run) or at_speed else 0,
        hold,
        earned,
        seen.fresh,
        clock_of(promised, permission, near) if has_promise else NO_CLOCK,
        1 if seen.from_mode or asks_in_mode else 0,
    ), broken


@kernel
def in_ticks(time_s: float, tick_s: float) -> int:
    """Whole ticks of a time, s.

    Valid: times that are whole ticks but for rounding.
    Source: arithmetic.
    """
    return int(time_s / tick_s + 0.5)


@kernel
def is_still(before: Seen, after: Seen) -> bool:
    """Whether a tick changed nothing but the clocks that may run for long, so that waiting longer changes nothing.

    Valid: `after` is the tick after `before`.
    Source: definition.
    """
    if before.channel != after.channel or before.run != after.run or before.waited != after.waited:
        return False
    if before.below_stop != after.below_stop or before.below_clear != after.below_clear:
        return False
    return before.visits == after.visits


@kernel
def rules_broken(course: Course, seen: Seen, run: int, channel: int) -> int:
    """Rules that a change of run breaks, as bits.

    Valid: `seen` is the state before, `run` and `channel` those after.
    Source: rules of this tool; common practice, no source.
    """
    broken = 0
    if run == QUICK and seen.run != QUICK:
        if seen.turning == 0:
            broken |= SOFT_FROM_REST
        if seen.earned == 0:
            broken |= QUICK_IS_EARNED
    if run == SOFT and seen.run != SOFT and seen.promised >= 0 and seen.turning:
        broken |= BAIL_OUT_IS_QUICK
    if is_driven(run) and not is_driven(seen.run):
        came_up = channel <= course.percent_steps[seen.target]
        if course.places[seen.target] == AUTOROTATION and came_up and seen.turning == 0:
            broken |= AUTOROTATION_STAYS_OFF
        if seen.fresh:
            broken |= POWER_UP_IS_STILL
    return broken
