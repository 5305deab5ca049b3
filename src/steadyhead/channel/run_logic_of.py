"""The run logic of a machine file, as plain numbers; and what each setting is called in that file."""

from steadyhead.channel.machine_setting import channel_setting
from steadyhead.channel.pulse import guard_us, landed_percent, us_per_percent
from steadyhead.channel.run_logic import Permission, Place, RunLogic, SwitchPosition
from steadyhead.channel.setting import ChannelSetting, Doubted
from steadyhead.machine.description import Machine

PERCENT = 100.0
HOLD, AUTOROTATION = "throttle hold", "autorotation"


def run_logic(machine: Machine) -> RunLogic:
    """Return what the controller of a machine does and what its switches send; None where the file does not say.

    A flight mode without a channel value has the one that its head speed asks for, where the readings tell a law.
    Raises: InputError when the channel of the file is not one.
    """
    setting = channel_setting(machine)
    table = machine.run_logic
    permission = Permission(table.permission) if table.permission is not None else None
    stop, start = setting.cut_off_percent, setting.start_percent
    limit = machine.limit("limits.hold_stop")
    visits = table.arm_visits
    return RunLogic(
        positions=tuple(_positions(machine, setting)),
        ramp_rate_percent_s=setting.ramp_rate_percent_s.figure if setting.ramp_rate_percent_s else None,
        hold_rate_percent_s=_percent(machine, "channel.hold_rate"),
        guard_percent=_guard_percent(setting, stop),
        stop_percent=stop.figure if stop else None,
        stop_spread_percent=stop.spread if stop else 0.0,
        start_percent=start.figure if start else None,
        start_spread_percent=start.spread if start else 0.0,
        start_delay_s=_seconds(machine, "run_logic.start_delay"),
        stop_delay_s=_seconds(machine, "run_logic.stop_delay"),
        soft_spool_s=_seconds(machine, "governor.soft_spool"),
        quick_spool_s=_seconds(machine, "governor.quick_spool"),
        permission=permission,
        governed_before_s=_seconds(machine, "run_logic.governed_before"),
        permission_s=_seconds(machine, "run_logic.quick_restart_window"),
        cleared_below_percent=_percent(machine, "run_logic.cleared_below"),
        cleared_after_s=_seconds(machine, "run_logic.cleared_after"),
        counts_spool_up=table.counts_spool_up,
        needs_turning_head=table.needs_turning_head,
        idles_after_running=table.idles_after_running,
        idles_from_rest=table.idles_from_rest,
        arms_at_low_end=table.arms_at_low_end,
        arm_time_s=_seconds(machine, "run_logic.arm_time"),
        arm_visits=int(visits.number) if visits is not None else None,
        hold_is_stated=setting.hold_is_stated,
        hold_stop_s=limit.value if limit else 0.1,
        hold_stop_origin=limit.origin if limit else "common practice, no source",
    )


def _positions(machine: Machine, setting: ChannelSetting) -> list[SwitchPosition]:
    """Return throttle hold, autorotation and every flight mode, each at the percent where its pulse lands."""

    def lands(percent: float | None) -> float | None:
        return None if percent is None else landed_percent(setting.pulse, percent)

    found = [
        SwitchPosition(name=HOLD, place=Place.HOLD, percent=lands(setting.hold_percent)),
        SwitchPosition(name=AUTOROTATION, place=Place.AUTOROTATION, percent=lands(setting.autorotation_percent)),
    ]
    to_set = _curve_percents(machine, setting)
    for row, mode in zip(machine.flight_mode, setting.modes, strict=True):
        percent = mode.today_percent if mode.today_percent is not None else to_set.get(mode.name)
        found.append(SwitchPosition(name=mode.name, place=Place.MODE, percent=lands(percent)))
        if row.channel_low is not None:
            low = lands(round(row.channel_low.si * PERCENT, 9))
            found.append(SwitchPosition(name=f"{mode.name}, stick down", place=Place.STICK_DOWN, percent=low))
    return found


def _curve_percents(machine: Machine, setting: ChannelSetting) -> dict[str, float]:
    """Return the curve value to set for every mode that has none today, where a law is known."""
    if not machine.reading or all(mode.today_percent is not None for mode in setting.modes):
        return {}
    from steadyhead.channel.answer import curves

    return {mode.mode: mode.curve_percent for mode in curves(machine, setting) if mode.curve_percent is not None}


def _guard_percent(setting: ChannelSetting, near: Doubted | None) -> float:
    """Jitter and one step as percent of the channel, on the side where the thresholds lie."""
    return guard_us(setting.pulse) / us_per_percent(setting.pulse, near.figure if near else 0.0)


def _seconds(machine: Machine, key: str) -> float | None:
    value = machine.value(key)
    return round(value.si, 9) if value is not None else None


def _percent(machine: Machine, key: str) -> float | None:
    value = machine.value(key)
    return round(value.si * PERCENT, 9) if value is not None else None
