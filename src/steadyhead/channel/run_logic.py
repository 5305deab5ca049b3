"""How the owner's controller starts and stops the motor, and what the switches send it: one description for all.

The time simulation, the exhaustive check of every switch sequence and the comparison with a log read this.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from steadyhead.physics.run_state import RunRules


class Permission(StrEnum):
    """What permits a quick restart."""

    NONE = "none"
    IDLE_BAND = "idle band"
    TIME = "time"


class Place(StrEnum):
    """What a position of the switches and the stick is for."""

    HOLD = "hold"
    AUTOROTATION = "autorotation"
    MODE = "mode"
    STICK_DOWN = "stick down"


@dataclass(frozen=True, kw_only=True)
class SwitchPosition:
    """One position of the switches: its name, what it is for, and the channel percent that it sends."""

    name: str
    place: Place
    percent: float | None


@dataclass(frozen=True, kw_only=True)
class RunLogic:
    """What the controller does, and what the switches send. None is unknown; percent of the channel, seconds.

    The motor stops once the channel was below `stop_percent` for `stop_delay_s`; it starts above `start_percent`, one
    that is off after `start_delay_s`, whether the head turns or not. Between the two it stays off from rest, and after
    running idles if `idles_after_running`. The quick ramp needs a governed run of `governed_before_s`, for
    `permission_s` after it.
    """

    positions: tuple[SwitchPosition, ...]
    ramp_rate_percent_s: float | None
    hold_rate_percent_s: float | None
    guard_percent: float
    """Jitter and one step of the channel: how far a position may be off by itself."""
    stop_percent: float | None
    stop_spread_percent: float = 0.0
    start_percent: float | None
    start_spread_percent: float = 0.0
    start_delay_s: float | None
    stop_delay_s: float | None
    soft_spool_s: float | None
    quick_spool_s: float | None
    permission: Permission | None
    governed_before_s: float | None
    permission_s: float | None
    cleared_below_percent: float | None
    """Below this channel value a quick restart given by time is lost; 0: throttle hold does not clear it."""
    cleared_after_s: float | None
    counts_spool_up: bool | None
    needs_turning_head: bool | None
    idles_after_running: bool | None
    idles_from_rest: bool | None
    arms_at_low_end: bool | None
    arm_time_s: float | None
    arm_visits: int | None
    hold_is_stated: bool = True
    hold_stop_s: float = 0.1
    """Longest wait until throttle hold has taken the motor away."""
    hold_stop_origin: str = "common practice, no source"

    def at(self, place: Place) -> tuple[SwitchPosition, ...]:
        """Return the positions for one purpose."""
        return tuple(position for position in self.positions if position.place is place)

    @property
    def permits(self) -> bool:
        """Whether any quick restart is permitted, as far as known."""
        return self.permission is not Permission.NONE


KIND: dict[str, Any] = {
    "ramp_rate_percent_s": 1e6,
    "hold_rate_percent_s": 1e6,
    "start_delay_s": 0.0,
    "stop_delay_s": 0.0,
    "soft_spool_s": 15.0,
    "quick_spool_s": 2.0,
    "permission": Permission.IDLE_BAND,
    "governed_before_s": 5.0,
    "permission_s": 60.0,
    "cleared_after_s": 0.0,
    "counts_spool_up": False,
    "needs_turning_head": True,
    "idles_after_running": True,
    "idles_from_rest": False,
    "arms_at_low_end": True,
    "arm_time_s": 0.0,
    "arm_visits": 1,
}
"""What stands in for an unknown setting so that the rest can be worked out: the kindest, so that no rule fails by it.

A rule that rests on one of them is never passed. Common practice, no source.
"""


def kindest(logic: RunLogic) -> RunLogic:
    """Return the same logic with every unknown setting at its kindest; thresholds and positions stay as they are."""
    gaps = {name: value for name, value in KIND.items() if getattr(logic, name) is None}
    return replace(logic, **gaps)


def run_rules(logic: RunLogic) -> RunRules:
    """Return what the kernels take, s and percent, unknown settings at their kindest.

    Unknown thresholds: none is crossed, so the motor never starts and never has to stop.
    Valid: any logic; who uses it on a logic with unknowns must say so.
    """
    full = kindest(logic)
    stop = full.stop_percent if full.stop_percent is not None else 0.0
    clear = stop
    if full.permission is Permission.TIME and full.cleared_below_percent is not None:
        clear = full.cleared_below_percent
    return RunRules(
        stop_percent=stop,
        start_percent=full.start_percent if full.start_percent is not None else 1000.0,
        start_delay_s=full.start_delay_s or 0.0,
        stop_delay_s=full.stop_delay_s or 0.0,
        soft_spool_s=full.soft_spool_s or KIND["soft_spool_s"],
        quick_spool_s=full.quick_spool_s or KIND["quick_spool_s"],
        governed_before_s=full.governed_before_s or 0.0,
        permission_s=full.permission_s or 0.0,
        clear_percent=clear,
        clear_after_s=full.cleared_after_s or 0.0,
        arm_s=full.arm_time_s or 0.0,
        permits=int(full.permits),
        idles_after_running=int(bool(full.idles_after_running)),
        idles_from_rest=int(bool(full.idles_from_rest)),
        counts_spool_up=int(bool(full.counts_spool_up)),
        needs_turning_head=int(bool(full.needs_turning_head)),
        arms=int(bool(full.arms_at_low_end)),
        arm_visits=full.arm_visits or 1,
    )
