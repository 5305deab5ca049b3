"""Watches one run of the controller against the safety rules, second by second, with the times as they are."""

from dataclasses import dataclass, field

from steadyhead.channel.run_logic import Place
from steadyhead.channel.switch_course import Variant, Walkable
from steadyhead.physics.run_state import Run, RunState
from steadyhead.physics.run_walk import Rule

DRIVEN = (Run.SOFT, Run.QUICK, Run.GOVERNED, Run.IDLING)
DUST_S = 1e-6


@dataclass(kw_only=True)
class Watch:
    """What must be remembered to say when a rule breaks; `broken` holds the first time of each breach, s.

    `hold_limit_s`: how long after throttle hold the motor may still be driven.
    """

    walkable: Walkable
    hold_limit_s: float
    selected: Variant
    broken: dict[Rule, float] = field(default_factory=dict)
    held_s: float = 0.0
    is_earned: bool = False
    is_fresh: bool = False
    is_from_mode: bool = False
    promised_s: float | None = None
    due_s: float | None = None

    def __post_init__(self) -> None:
        """Begin at power-up."""
        self.is_fresh = self.selected.position.place in (Place.MODE, Place.STICK_DOWN)

    def select(self, variant: Variant, time_s: float, run: int) -> None:
        """Note that the switches were moved."""
        rested = self.selected.position.place is Place.HOLD and self.held_s >= self.walkable.stay_s - DUST_S
        must_start = rested and run not in DRIVEN and _surely_starts(self.walkable, variant)
        self.due_s = time_s + self.walkable.start_s if must_start else None
        place = variant.position.place
        if place is not Place.HOLD:
            self.held_s = 0.0
        if place not in (Place.MODE, Place.STICK_DOWN):
            self.is_fresh = False
        if place is Place.HOLD:
            self.promised_s = None
        if place not in (Place.MODE, Place.AUTOROTATION):
            self.is_from_mode = False
        self.selected = variant

    def step(
        self, before: RunState, run: int, *, channel_percent: float, is_turning: bool, time_s: float, dt_s: float
    ) -> None:
        """Note one step of the controller, from `before` to `run`, that ends at `time_s`."""
        place = self.selected.position.place
        came_up = channel_percent < self.selected.percent + 1e-9
        if place is Place.HOLD:
            self.held_s += dt_s
        if place is Place.MODE and channel_percent > self.walkable.rules.start_percent:
            self.is_from_mode = True
        if run == Run.QUICK and before.run != Run.QUICK:
            self._break(Rule.SOFT_FROM_REST, time_s, when=not is_turning)
            self._break(Rule.QUICK_IS_EARNED, time_s, when=not self.is_earned)
        if run == Run.SOFT and before.run != Run.SOFT:
            self._break(Rule.BAIL_OUT_IS_QUICK, time_s, when=self.promised_s is not None and is_turning)
        if run in DRIVEN and before.run not in DRIVEN:
            from_rest = place is Place.AUTOROTATION and came_up and not is_turning
            self._break(Rule.AUTOROTATION_STAYS_OFF, time_s, when=from_rest)
            self._break(Rule.POWER_UP_IS_STILL, time_s, when=self.is_fresh)
        is_late = place is Place.HOLD and self.held_s >= self.hold_limit_s - DUST_S
        self._break(Rule.HOLD_STOPS, time_s, when=is_late and run in DRIVEN)
        self._start_in_time(run, time_s)
        self._promise(before, run, dt_s)
        if run == Run.GOVERNED:
            self.is_earned = True
        if place is Place.HOLD and self.held_s >= self.walkable.hold_s - DUST_S:
            self.is_earned = False

    def _start_in_time(self, run: int, time_s: float) -> None:
        if self.due_s is None:
            return
        if run in DRIVEN:
            self.due_s = None
        else:
            self._break(Rule.ONE_HOLD_IS_ENOUGH, time_s, when=time_s >= self.due_s - DUST_S)

    def _promise(self, before: RunState, run: int, dt_s: float) -> None:
        """Run the clock of the promise that an autorotation from governed running may be bailed out of quickly."""
        rules = self.walkable.rules
        left = before.run == Run.GOVERNED and run in (Run.OFF, Run.IDLING)
        in_autorotation = self.selected.position.place is Place.AUTOROTATION and self.is_from_mode
        if left and rules.permits and in_autorotation:
            if before.governed_s + dt_s >= rules.governed_before_s - DUST_S:
                self.promised_s = 0.0
        elif self.promised_s is not None:
            self.promised_s += dt_s
            if run in (Run.SOFT, Run.QUICK) or self.promised_s > rules.permission_s - self.walkable.course.tick_s:
                self.promised_s = None

    def _break(self, rule: Rule, time_s: float, *, when: bool) -> None:
        if when:
            self.broken.setdefault(rule, time_s)


def _surely_starts(walkable: Walkable, variant: Variant) -> bool:
    return bool(walkable.course.starts[walkable.variants.index(variant)])
