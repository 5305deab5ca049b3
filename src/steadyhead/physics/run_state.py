"""What the controller does with the throttle channel: off, waiting, soft or quick ramp, governed, idling.

The one transition that the time simulation, the exhaustive check and the comparison with a log all use.
"""

from enum import IntEnum
from typing import NamedTuple

from steadyhead.physics.kernel import kernel

AT_SPEED_FRACTION = 0.98
"""The ramp is over when the motor has this share of its set speed; common practice, no source."""
TURNING_FRACTION = 0.2
"""A head slower than this share of its set speed counts as standing; common practice, no source."""
NONE_S = -1.0
"""Stands for "no permission" where the time since a permission was given is asked."""
TINY_S = 1e-9


class Run(IntEnum):
    """What the motor is doing."""

    UNARMED = 0
    OFF = 1
    WAITING = 2
    SOFT = 3
    QUICK = 4
    GOVERNED = 5
    IDLING = 6


RUN_SAYS = {
    Run.UNARMED: "the motor is off; the controller waits for the low end of the channel",
    Run.OFF: "the motor is off",
    Run.WAITING: "a start is asked, the start delay runs",
    Run.SOFT: "the slow ramp runs",
    Run.QUICK: "the quick ramp runs",
    Run.GOVERNED: "the head is governed",
    Run.IDLING: "the motor idles",
}
UNARMED, OFF, WAITING, SOFT = int(Run.UNARMED), int(Run.OFF), int(Run.WAITING), int(Run.SOFT)
QUICK, GOVERNED, IDLING = int(Run.QUICK), int(Run.GOVERNED), int(Run.IDLING)


class RunRules(NamedTuple):
    """How a controller starts and stops its motor. Percent of the channel, s; the whole numbers are 0 or 1.

    The motor stops once the channel was below `stop_percent` for `stop_delay_s`, and starts above `start_percent`.
    A quick restart is permitted (`permits`) by a run of `governed_before_s`, for `permission_s`, until the channel was
    below `clear_percent` for `clear_after_s`. `arm_visits` visits of `arm_s` below the stop threshold arm it.
    """

    stop_percent: float
    start_percent: float
    start_delay_s: float
    stop_delay_s: float
    soft_spool_s: float
    quick_spool_s: float
    governed_before_s: float
    permission_s: float
    clear_percent: float
    clear_after_s: float
    arm_s: float
    permits: int
    idles_after_running: int
    idles_from_rest: int
    counts_spool_up: int
    needs_turning_head: int
    arms: int
    arm_visits: int


class RunState(NamedTuple):
    """Where the controller is. `run` is a Run; `permitted_s` is below 0 while no quick restart is permitted."""

    run: int
    in_run_s: float
    below_stop_s: float
    below_clear_s: float
    governed_s: float
    permitted_s: float
    visits: int


@kernel
def powered_up(rules: RunRules) -> RunState:
    """State of a controller whose pack has just been connected: off, nothing remembered, times in s.

    Valid: a controller that forgets everything without its pack.
    Source: definition of this tool; common practice, no source.
    """
    return RunState(UNARMED if rules.arms else OFF, 0.0, 0.0, 0.0, 0.0, NONE_S, 0)


@kernel
def advance(
    rules: RunRules,
    state: RunState,
    channel_percent: float,
    motor_speed_fraction: float,
    head_speed_fraction: float,
    dt_s: float,
) -> RunState:
    """State after `dt_s` seconds with the channel at one place, times in s.

    One change of run a step; a timer that is due at the end of the step acts in this step. Both speeds are those at
    the main shaft over the mode's set speed: the motor's own, and the head's, which may overrun it.
    Valid: dt > 0, short against the timers; any channel value.
    Source: definition of this tool; the order of the states is common practice, no source.
    """
    below_stop_s = state.below_stop_s + dt_s if channel_percent < rules.stop_percent else 0.0
    below_clear_s = state.below_clear_s + dt_s if channel_percent < rules.clear_percent else 0.0
    cleared = held(below_clear_s, rules.clear_after_s)
    permitted_s = state.permitted_s + dt_s if state.permitted_s >= 0.0 else NONE_S
    if cleared or permitted_s > rules.permission_s + TINY_S:
        permitted_s = NONE_S
    visits = state.visits
    if held(below_stop_s, rules.arm_s) and not held(state.below_stop_s, rules.arm_s):
        visits += 1
    counts = state.run == GOVERNED or (rules.counts_spool_up != 0 and state.run in (SOFT, QUICK))
    governed_s = state.governed_s + dt_s if counts else state.governed_s
    may_be_quick = permitted_s >= 0.0 and (rules.needs_turning_head == 0 or head_speed_fraction >= TURNING_FRACTION)
    waited = state.in_run_s + dt_s >= rules.start_delay_s - TINY_S
    stopped = held(below_stop_s, rules.stop_delay_s)
    run = next_run(rules, state.run, channel_percent, stopped, waited, may_be_quick)
    if run == state.run and run in (SOFT, QUICK) and motor_speed_fraction >= AT_SPEED_FRACTION:
        run = GOVERNED
    if run == UNARMED and visits >= rules.arm_visits:
        run = OFF
    earned = counts and rules.permits != 0 and governed_s >= rules.governed_before_s - TINY_S
    if earned and run in (OFF, IDLING) and not cleared:
        permitted_s = 0.0
    if run != state.run and run in (SOFT, GOVERNED):
        permitted_s = NONE_S
    if run != state.run and not (run == GOVERNED and rules.counts_spool_up != 0):
        governed_s = 0.0
    if run != UNARMED:
        visits = 0
    in_run_s = state.in_run_s + dt_s if run == state.run else 0.0
    return RunState(run, in_run_s, below_stop_s, below_clear_s, governed_s, permitted_s, visits)


@kernel
def next_run(rules: RunRules, run: int, channel_percent: float, stopped: bool, waited: bool, may_be_quick: bool) -> int:
    """Run that follows from where the channel stands; the head reaching its speed and arming are not in it.

    Valid: `stopped` and `waited` say that the stop delay and the start delay are over.
    Source: as `advance`.
    """
    asks = channel_percent > rules.start_percent
    start = QUICK if may_be_quick else SOFT
    if run == OFF:
        if asks:
            return start if rules.start_delay_s <= 0.0 else WAITING
        return IDLING if rules.idles_from_rest and channel_percent >= rules.stop_percent else OFF
    if run == WAITING:
        if not asks:
            return OFF
        return start if waited else WAITING
    if run == UNARMED:
        return UNARMED
    if stopped:
        return OFF
    if run == IDLING:
        return start if asks else IDLING
    if asks or channel_percent < rules.stop_percent:
        return run
    return IDLING if rules.idles_after_running else OFF


@kernel
def held(below_s: float, wanted_s: float) -> bool:
    """Whether the channel was below a threshold for as long as wanted, s; with 0 wanted, whether it is below at all.

    Valid: below_s is 0 while the channel is not below.
    Source: as `advance`.
    """
    return below_s > 0.0 and below_s >= wanted_s - TINY_S


@kernel
def is_driven(run: int) -> bool:
    """Whether the motor has any duty in this run: ramps, governed running and idling.

    Valid: every Run.
    Source: as `advance`.
    """
    return run in (SOFT, QUICK, GOVERNED, IDLING)


@kernel
def ramp_per_s(rules: RunRules, run: int) -> float:
    """Share of the set speed that the running ramp adds in a second, 1/s; 0 where no ramp runs.

    Valid: spool times above 0.
    Source: definition of a straight ramp; common practice, no source.
    """
    if run == SOFT:
        return 1.0 / rules.soft_spool_s
    return 1.0 / rules.quick_spool_s if run == QUICK else 0.0


@kernel
def moved_channel(channel_percent: float, target_percent: float, rate_percent_s: float, dt_s: float) -> float:
    """Channel value after `dt_s` on its way to a new position, percent.

    c = c + min(|target - c|, rate * dt) towards the target
    Valid: rate >= 0.
    Source: definition of a straight ramp.
    """
    most_percent = rate_percent_s * dt_s
    away_percent = target_percent - channel_percent
    if abs(away_percent) <= most_percent:
        return target_percent
    return channel_percent + most_percent if away_percent > 0.0 else channel_percent - most_percent
