"""The safety rules by name, in words, and which settings each rests on."""

from dataclasses import dataclass

from steadyhead.channel.run_logic import Permission, Place, RunLogic
from steadyhead.physics.run_walk import Rule

NAMES = {
    Rule.HOLD_STOPS: "hold_ends_undriven",
    Rule.SOFT_FROM_REST: "only_soft_from_rest",
    Rule.AUTOROTATION_STAYS_OFF: "autorotation_never_starts",
    Rule.QUICK_IS_EARNED: "quick_only_after_governed",
    Rule.ONE_HOLD_IS_ENOUGH: "one_hold_is_enough",
    Rule.POWER_UP_IS_STILL: "power_up_is_still",
    Rule.BAIL_OUT_IS_QUICK: "bail_out_is_quick",
}
SAYS = {
    Rule.HOLD_STOPS: "throttle hold always ends in an undriven motor, within the stated time",
    Rule.SOFT_FROM_REST: "from rest only the slow ramp",
    Rule.AUTOROTATION_STAYS_OFF: "the autorotation position never starts the motor from rest",
    Rule.QUICK_IS_EARNED: "a quick restart only after a governed run, and never after throttle hold",
    Rule.ONE_HOLD_IS_ENOUGH: "throttle hold is never needed twice: after one stay there a flight mode starts the motor",
    Rule.POWER_UP_IS_STILL: "power-up with a flight mode selected does not spin the motor",
    Rule.BAIL_OUT_IS_QUICK: "a bail-out from an autorotation within the permission time is quick",
}
HOW_TO_MEASURE = {
    "channel.hold": "read the channel value of throttle hold off the transmitter",
    "channel.autorotation": "read the channel value of the autorotation position off the transmitter",
    "channel.cut_off": "with the motor idling, lower the channel one step at a time until it stops",
    "channel.start": "raise the channel one step at a time from the low end until the motor starts",
    "channel.ramp_rate": "time the channel from hold to a flight mode on the transmitter's display",
    "channel.hold_rate": "time the channel from a flight mode to throttle hold on the same display",
    "run_logic.permission": "read the manual; then run, select autorotation, go back, and see which ramp comes",
    "run_logic.quick_restart_window": "run, wait in autorotation longer each time, and note when a restart turns soft",
    "run_logic.governed_before": "run shorter and shorter before autorotation, and note when the restart turns soft",
    "run_logic.cleared_below": "run, lower the autorotation value step by step, and note when the restart turns soft",
    "run_logic.cleared_after": "run, select hold for a shorter and shorter time, and see that the restart stays soft",
    "run_logic.counts_spool_up": "break the soft start off for autorotation, go back, and see which ramp comes",
    "run_logic.needs_turning_head": "run, autorotation, wait until the head stands, go back, and see which ramp comes",
    "run_logic.idles_after_running": "run, select autorotation, and see whether the motor idles on",
    "run_logic.idles_from_rest": "from hold select autorotation, and see whether the motor stays still",
    "run_logic.arms_at_low_end": "connect the pack with a flight mode selected, well clear, and see that nothing turns",
    "run_logic.arm_time": "after power-up leave hold sooner and sooner, and note when it no longer starts",
    "run_logic.arm_visits": "after power-up count how often hold must be selected before it starts",
    "run_logic.stop_delay": "log duty and channel, select hold, and read the time from below the cut-off to zero duty",
    "limits.hold_stop": "state it in the machine file",
}
"""Every bench test: blades off, machine held down. A maker's manual may answer without a test."""
NAMED_LIKE = {
    "channel.ramp_rate": "ramp_rate_percent_s",
    "channel.hold_rate": "hold_rate_percent_s",
    "channel.cut_off": "stop_percent",
    "channel.start": "start_percent",
    "run_logic.start_delay": "start_delay_s",
    "run_logic.stop_delay": "stop_delay_s",
    "run_logic.permission": "permission",
    "run_logic.governed_before": "governed_before_s",
    "run_logic.quick_restart_window": "permission_s",
    "run_logic.cleared_below": "cleared_below_percent",
    "run_logic.cleared_after": "cleared_after_s",
    "run_logic.counts_spool_up": "counts_spool_up",
    "run_logic.needs_turning_head": "needs_turning_head",
    "run_logic.idles_after_running": "idles_after_running",
    "run_logic.idles_from_rest": "idles_from_rest",
    "run_logic.arms_at_low_end": "arms_at_low_end",
    "run_logic.arm_time": "arm_time_s",
    "run_logic.arm_visits": "arm_visits",
    "governor.soft_spool": "soft_spool_s",
    "governor.quick_spool": "quick_spool_s",
}
"""Key of the machine file: field of the run logic."""


@dataclass(frozen=True, kw_only=True)
class Basis:
    """What a rule rests on: settings that decide it, and settings of which an unknown one can only make it worse."""

    decides: tuple[str, ...]
    worsens: tuple[str, ...] = ()


def basis(rule: Rule, logic: RunLogic) -> Basis:
    """Return which keys of the machine file a rule rests on, for this logic."""
    is_armed = logic.arms_at_low_end is not False
    arming = ("run_logic.arms_at_low_end", *(("run_logic.arm_time", "run_logic.arm_visits") if is_armed else ()))
    modes = tuple(_mode_keys(logic))
    quick = ("run_logic.permission", *_permission_keys(logic))
    grants = ("run_logic.cleared_after", "run_logic.counts_spool_up") if logic.permits else ()
    if rule is Rule.HOLD_STOPS:
        return Basis(
            decides=("channel.hold", "channel.cut_off", *modes), worsens=("channel.hold_rate", "run_logic.stop_delay")
        )
    if rule is Rule.SOFT_FROM_REST:
        rest = ("run_logic.idles_after_running", "run_logic.needs_turning_head") if logic.permits else ()
        return Basis(decides=quick, worsens=rest)
    if rule is Rule.AUTOROTATION_STAYS_OFF:
        return Basis(decides=("channel.autorotation", "channel.start"), worsens=("run_logic.idles_from_rest",))
    if rule is Rule.QUICK_IS_EARNED:
        return Basis(decides=quick, worsens=grants)
    if rule is Rule.ONE_HOLD_IS_ENOUGH:
        return Basis(decides=("channel.hold", "channel.cut_off", "channel.start", *modes), worsens=arming)
    if rule is Rule.POWER_UP_IS_STILL:
        return Basis(decides=("channel.cut_off", "channel.start", *modes), worsens=arming[:1])
    waits = ("run_logic.governed_before", "run_logic.quick_restart_window", "run_logic.needs_turning_head")
    return Basis(decides=(*quick, "channel.start", *modes), worsens=waits if logic.permits else ())


def _permission_keys(logic: RunLogic) -> tuple[str, ...]:
    """Return what decides where a quick restart that is permitted at all is lost."""
    if not logic.permits:
        return ()
    by_time = ("run_logic.cleared_below",) if logic.permission is Permission.TIME else ()
    return ("channel.hold", "channel.autorotation", "channel.cut_off", *by_time)


def _mode_keys(logic: RunLogic) -> list[str]:
    """Return the keys of the flight modes whose channel value is not known, or the table where there is none."""
    modes = logic.at(Place.MODE)
    if not modes:
        return ["flight_mode"]
    return [f"flight_mode.{k}.channel" for k, mode in enumerate(modes, start=1) if mode.percent is None]


def unknown(keys: tuple[str, ...], logic: RunLogic) -> tuple[str, ...]:
    """Return those of the keys that the logic does not know; a hold value that is only typical is not known."""
    found = []
    for key in dict.fromkeys(keys):
        if key == "channel.hold":
            hold = logic.at(Place.HOLD)
            is_known = bool(hold) and hold[0].percent is not None and logic.hold_is_stated
        elif key == "channel.autorotation":
            position = logic.at(Place.AUTOROTATION)
            is_known = bool(position) and position[0].percent is not None
        else:
            is_known = key in NAMED_LIKE and getattr(logic, NAMED_LIKE[key]) is not None
        if not is_known:
            found.append(key)
    return tuple(found)


def how_to_measure(key: str) -> str:
    """Return how a setting is found out, for the end of a sentence."""
    return HOW_TO_MEASURE.get(key, "state it in the machine file")
