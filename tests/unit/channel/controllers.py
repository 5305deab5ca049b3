"""Invented controllers: right ones of three kinds, and wrong ones that each break a rule."""

from dataclasses import replace
from typing import Any

from steadyhead.channel.run_logic import Permission, Place, RunLogic, SwitchPosition


def positions(
    hold: float | None = 0.0,
    autorotation: float | None = 15.0,
    modes: tuple[float | None, ...] = (57.0, 70.0, 83.0),
    stick_down: float | None = None,
) -> tuple[SwitchPosition, ...]:
    names = ("normal", "idle-up 1", "idle-up 2")
    found = [
        SwitchPosition(name="throttle hold", place=Place.HOLD, percent=hold),
        SwitchPosition(name="autorotation", place=Place.AUTOROTATION, percent=autorotation),
    ]
    found += [SwitchPosition(name=name, place=Place.MODE, percent=at) for name, at in zip(names, modes, strict=False)]
    if stick_down is not None:
        found.append(SwitchPosition(name="normal, stick down", place=Place.STICK_DOWN, percent=stick_down))
    return tuple(found)


BY_BAND = RunLogic(
    positions=positions(),
    ramp_rate_percent_s=50.0,
    hold_rate_percent_s=5000.0,
    guard_percent=0.25,
    stop_percent=8.0,
    start_percent=22.0,
    start_delay_s=0.2,
    stop_delay_s=0.04,
    soft_spool_s=15.0,
    quick_spool_s=2.0,
    permission=Permission.IDLE_BAND,
    governed_before_s=5.0,
    permission_s=90.0,
    cleared_below_percent=None,
    cleared_after_s=0.0,
    counts_spool_up=False,
    needs_turning_head=False,
    idles_after_running=True,
    idles_from_rest=False,
    arms_at_low_end=True,
    arm_time_s=0.5,
    arm_visits=1,
)
"""The quick restart stays permitted while the channel stays in the idle band."""
BY_TIME = replace(
    BY_BAND,
    positions=positions(autorotation=5.0),
    permission=Permission.TIME,
    permission_s=30.0,
    cleared_below_percent=3.0,
    idles_after_running=False,
    needs_turning_head=True,
)
"""The motor is off in autorotation; the quick restart is permitted for 30 s, while the head turns."""
NEVER = replace(BY_BAND, permission=Permission.NONE)
"""No quick restart at all."""
INSTANT = replace(BY_BAND, ramp_rate_percent_s=2000.0, start_delay_s=0.0, stop_delay_s=0.0, arm_time_s=0.0)
"""A channel that jumps, a controller without delays."""
SLOW = replace(BY_BAND, ramp_rate_percent_s=20.0, start_delay_s=0.6)
"""A slow channel and a long start delay."""
RIGHT = {"by band": BY_BAND, "by time": BY_TIME, "never": NEVER, "instant": INSTANT, "slow": SLOW}


def changed(base: RunLogic, **fields: Any) -> RunLogic:
    return replace(base, **fields)


HOLD = "hold_ends_undriven"
REST = "only_soft_from_rest"
AUTOROTATION = "autorotation_never_starts"
EARNED = "quick_only_after_governed"
ONCE = "one_hold_is_enough"
POWER = "power_up_is_still"
BAIL_OUT = "bail_out_is_quick"

WRONG: dict[str, tuple[RunLogic, set[str]]] = {
    "stops 1 s late": (changed(BY_BAND, stop_delay_s=1.0), {HOLD}),
    "hold follows the slow channel": (changed(BY_BAND, hold_rate_percent_s=50.0), {HOLD}),
    "hold within jitter of the cut-off": (changed(BY_BAND, positions=positions(hold=7.9)), {HOLD, EARNED}),
    "hold inside the idle band, armed without it": (
        changed(NEVER, positions=positions(hold=10.0), arms_at_low_end=False),
        {HOLD, POWER},
    ),
    "hold above the cut-off, so that it never arms": (
        changed(BY_BAND, positions=positions(hold=10.0)),
        {HOLD, EARNED, ONCE},
    ),
    "quick by time, no look at the head": (changed(BY_TIME, needs_turning_head=False), {REST}),
    "quick by band, motor off in the band": (changed(BY_BAND, idles_after_running=False), {REST}),
    "autorotation above the start": (changed(BY_BAND, positions=positions(autorotation=30.0)), {AUTOROTATION}),
    "autorotation one step below the start": (
        changed(BY_BAND, positions=positions(autorotation=21.9)),
        {AUTOROTATION},
    ),
    "idles from rest": (changed(BY_BAND, idles_from_rest=True), {AUTOROTATION}),
    "hold does not clear": (changed(BY_TIME, cleared_below_percent=0.0), {EARNED}),
    "hold clears late": (changed(BY_BAND, cleared_after_s=2.0, needs_turning_head=True), {EARNED}),
    "the spool-up counts as governed": (changed(BY_BAND, counts_spool_up=True), {EARNED}),
    "arms at the second hold": (changed(BY_BAND, arm_visits=2), {ONCE}),
    "arms after 5 s of hold": (changed(BY_BAND, arm_time_s=5.0), {ONCE}),
    "arms anywhere": (changed(BY_BAND, arms_at_low_end=False), {POWER}),
    "arms with the stick down": (changed(BY_BAND, positions=positions(stick_down=0.0)), {POWER, BAIL_OUT}),
    "stick down below the clearing value": (
        changed(BY_TIME, positions=positions(autorotation=5.0, stick_down=2.0)),
        {POWER, BAIL_OUT},
    ),
    "stick down in the band, below the clearing value": (
        changed(BY_BAND, positions=positions(stick_down=10.0), permission=Permission.TIME, cleared_below_percent=11.0),
        {BAIL_OUT},
    ),
    "autorotation below the cut-off": (changed(BY_BAND, positions=positions(autorotation=5.0)), {BAIL_OUT}),
    "autorotation one step above the cut-off": (changed(BY_BAND, positions=positions(autorotation=8.1)), {BAIL_OUT}),
    "autorotation below the clearing value": (changed(BY_TIME, positions=positions(autorotation=2.0)), {BAIL_OUT}),
}
"""What is wrong: the controller, and the rules it breaks."""
