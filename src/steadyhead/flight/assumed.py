"""What a flight has to take for granted, because the machine file does not say it; each is told, none is evidence."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from steadyhead.channel.run_logic import KIND, Place, RunLogic, SwitchPosition
from steadyhead.machine.description import Machine
from steadyhead.words.verdict import Outcome, Verdict

STOP_ABOVE_HOLD_PERCENT = 8.0
START_ABOVE_HOLD_PERCENT = 20.0
MODE_PERCENT = (60.0, 70.0, 80.0, 90.0)
RAMP_PERCENT_S = 1000.0
"""Stand-ins for a channel that nobody described: common practice, no source."""

KEYS = {
    "stop_percent": "channel.cut_off", "start_percent": "channel.start", "ramp_rate_percent_s": "channel.ramp_rate",
    "hold_rate_percent_s": "channel.hold_rate", "start_delay_s": "run_logic.start_delay",
    "stop_delay_s": "run_logic.stop_delay", "soft_spool_s": "governor.soft_spool",
    "quick_spool_s": "governor.quick_spool", "permission": "run_logic.permission",
    "governed_before_s": "run_logic.governed_before", "permission_s": "run_logic.quick_restart_window",
    "cleared_after_s": "run_logic.cleared_after", "counts_spool_up": "run_logic.counts_spool_up",
    "needs_turning_head": "run_logic.needs_turning_head", "idles_after_running": "run_logic.idles_after_running",
    "idles_from_rest": "run_logic.idles_from_rest", "arms_at_low_end": "run_logic.arms_at_low_end",
    "arm_time_s": "run_logic.arm_time", "arm_visits": "run_logic.arm_visits",
}  # fmt: skip
RESTS_ON = {
    "soft_start_time": ("governor.soft_spool",),
    "quick_restart_granted": (
        "run_logic.permission", "run_logic.governed_before", "run_logic.quick_restart_window", "channel.cut_off",
        "channel.start", "channel.autorotation", "governor.quick_spool",
    ),
    "quick_restart_time": ("governor.quick_spool", "run_logic.permission", "channel.ramp_rate"),
    "quick_restart_prompt": ("run_logic.start_delay", "channel.ramp_rate", "channel.start", "channel.autorotation"),
    "no_start_in_autorotation_position": ("channel.autorotation", "channel.start", "run_logic.idles_from_rest"),
    "hold_stops_motor": ("channel.hold_rate", "channel.cut_off", "run_logic.stop_delay"),
    "hold_clears_quick_restart": ("run_logic.permission", "run_logic.cleared_after", "channel.cut_off"),
}  # fmt: skip
"""Which checks of the run logic rest on which keys."""
GOVERNING = ("steady_band", "climb_droop", "overspeed", "recovery", "no_hunting")
GAINS = ("governor.gain", "governor.integral_time", "governor.collective_feed", "governor.rate")


@dataclass(frozen=True, kw_only=True)
class Assumption:
    """One setting that the flight takes for granted, and what it takes."""

    key: str
    says: str


def with_stand_ins(logic: RunLogic) -> tuple[RunLogic, tuple[Assumption, ...]]:
    """Return the run logic with every gap filled, and each gap in words."""
    hold = next((p.percent for p in logic.at(Place.HOLD) if p.percent is not None), 0.0)
    fills = {
        **KIND,
        "stop_percent": hold + STOP_ABOVE_HOLD_PERCENT,
        "start_percent": hold + START_ABOVE_HOLD_PERCENT,
        "ramp_rate_percent_s": RAMP_PERCENT_S,
        "hold_rate_percent_s": RAMP_PERCENT_S,
    }
    gaps = {name: fills[name] for name in KEYS if getattr(logic, name) is None}
    full = replace(logic, **gaps)
    positions, placed = _placed(full, hold)
    told = [
        Assumption(key=KEYS[name], says=f"{KEYS[name]} is not known: {_shown(fill)} taken")
        for name, fill in gaps.items()
    ]
    return replace(full, positions=positions), (*told, *placed)


def doubted(checks: Iterable[Verdict], assumptions: Iterable[Assumption], machine: Machine) -> tuple[Verdict, ...]:
    """Return the checks of a simulated flight: a pass that rests on something assumed or merely typical is unknown."""
    gone = {assumption.key for assumption in assumptions}
    typical = set(machine.typical())
    return tuple(_doubted(check, gone, typical) for check in checks)


def _doubted(check: Verdict, gone: set[str], typical: set[str]) -> Verdict:
    if check.verdict is not Outcome.PASS:
        return check
    weak = [key for key in RESTS_ON.get(check.check, ()) if key in gone]
    if check.check == "pack_resistance":
        why = "a simulation only returns the resistance it was given"
        return replace(check, verdict=Outcome.UNKNOWN, reason=f"{check.reason}; {why}", needs=(*check.needs, "a log"))
    if check.check in GOVERNING:
        weak = [key for key in GAINS if key in typical]
    if not weak:
        return check
    why = (
        f"it holds in the simulation, but {', '.join(weak)} {'is' if len(weak) == 1 else 'are'} not this machine's own"
    )
    return replace(check, verdict=Outcome.UNKNOWN, reason=f"{check.reason}; {why}", needs=(*check.needs, *weak))


def _placed(logic: RunLogic, hold: float) -> tuple[tuple[SwitchPosition, ...], list[Assumption]]:
    """Return the switch positions with a channel value each, and what was taken for those that have none."""
    placed, told, mode = [], [], 0
    for position in logic.positions:
        mode += position.place is Place.MODE
        if position.percent is not None:
            placed.append(position)
            continue
        percent = hold
        key = "channel.hold"
        if position.place is Place.AUTOROTATION:
            percent, key = 0.5 * ((logic.stop_percent or hold) + (logic.start_percent or hold)), "channel.autorotation"
        elif position.place is Place.MODE:
            percent, key = MODE_PERCENT[min(mode, len(MODE_PERCENT)) - 1], f"flight_mode.{mode}.channel"
        placed.append(replace(position, percent=percent))
        told.append(Assumption(key=key, says=f"{key} is not known: {percent:g} % taken"))
    return tuple(placed), told


def _shown(fill: object) -> str:
    if isinstance(fill, bool):
        return "yes" if fill else "no"
    return f"{fill:g}" if isinstance(fill, float | int) else str(fill)
