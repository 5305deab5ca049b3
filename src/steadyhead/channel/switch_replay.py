"""Plays switch moves through the controller in short steps and writes down what happens, as a story."""

from steadyhead.channel.logic_result import StoryStep
from steadyhead.channel.run_logic import Place, kindest
from steadyhead.channel.switch_course import Variant, Walkable
from steadyhead.channel.switch_watch import DRIVEN, DUST_S, Watch
from steadyhead.physics.run_state import Run, RunState, advance, moved_channel, powered_up

STEP_S = 0.01
HALF = 0.5
CHANGE_SAYS = {
    (Run.UNARMED, Run.OFF): "it has seen the low end of the channel and is armed",
    (Run.OFF, Run.WAITING): "the channel is above the start threshold; the start delay runs",
    (Run.WAITING, Run.OFF): "the start is broken off",
    (Run.OFF, Run.IDLING): "the motor begins to idle",
}
RUN_SAYS = {
    Run.UNARMED: "the motor is off, and the controller waits for the low end of the channel",
    Run.OFF: "the motor is off",
    Run.SOFT: "the motor comes in on the slow ramp",
    Run.QUICK: "the motor comes in on the quick ramp",
    Run.GOVERNED: "the head is at its set speed, governed",
    Run.IDLING: "the motor idles",
}


class Player:
    """One machine at the bench or in the air: move its switches, let time pass, let the rotor do what it may.

    `in_ticks`: in the steps and with the rounded times of the walk instead of short steps with the times as they are.
    """

    def __init__(
        self, walkable: Walkable, first: Variant, hold_limit_s: float | None = None, *, in_ticks: bool = False
    ) -> None:
        full = kindest(walkable.logic)
        self.walkable = walkable
        self.step_s = walkable.course.tick_s if in_ticks else STEP_S
        self.rules = walkable.course.rules if in_ticks else walkable.rules
        self.rates = {True: full.hold_rate_percent_s or 0.0, False: full.ramp_rate_percent_s or 0.0}
        self.state: RunState = powered_up(self.rules)
        self.channel_percent = first.percent
        self.time_s = 0.0
        self.is_turning = False
        self.driven_s = 0.0
        self.moves = 0
        limit_s = walkable.hold_s if hold_limit_s is None else hold_limit_s
        self.watch = Watch(walkable=walkable, hold_limit_s=limit_s, selected=first)
        self.steps = [self._told("you", f"connect the pack with {_named(first)} selected")]

    @property
    def is_settled(self) -> bool:
        """Whether the channel has arrived at the position selected."""
        return abs(self.channel_percent - self.watch.selected.percent) < 1e-9

    def select(self, variant: Variant) -> None:
        """Move the switches or the stick; to another place of the same position, the channel wanders by itself."""
        same, already = variant.position == self.watch.selected.position, variant == self.watch.selected
        self.watch.select(variant, self.time_s, self.state.run)
        if already:
            return
        if same:
            self.steps.append(self._told("channel", f"it wanders to {variant.percent:.4g} % by jitter and one step"))
            return
        self.moves += 1
        self.steps.append(self._told("you", f"select {_named(variant)}"))

    def wait(self, time_s: float) -> None:
        """Let time pass; a motor on its ramp does not reach its speed by itself."""
        for _ in range(max(round(time_s / self.step_s), 0)):
            self.step(HALF)

    def reach_speed(self) -> None:
        """Let the motor reach the set speed."""
        self.step(1.0)

    def head_stops(self) -> None:
        """Let the head come to rest, if nothing drives it."""
        if self.state.run not in DRIVEN and self.is_turning:
            self.is_turning = False
            self.driven_s = 0.0
            self.steps.append(self._told("rotor", "the head comes to rest"))

    def step(self, motor_speed_fraction: float) -> None:
        """Let one short step pass."""
        is_hold = self.watch.selected.position.place is Place.HOLD
        before = self.state
        self.channel_percent = moved_channel(
            self.channel_percent, self.watch.selected.percent, self.rates[is_hold], self.step_s
        )
        self.state = advance(
            self.rules,
            before,
            self.channel_percent,
            motor_speed_fraction,
            HALF if self.is_turning else 0.0,
            self.step_s,
        )
        self.time_s += self.step_s
        if self.state.run != before.run:
            self.steps.append(self._told("controller", _change(before.run, self.state.run)))
        self.watch.step(
            before, self.state.run, channel_percent=self.channel_percent, is_turning=self.is_turning,
            time_s=self.time_s, dt_s=self.step_s,
        )  # fmt: skip
        if before.run in DRIVEN:
            self.driven_s += self.step_s
            self.is_turning = self.is_turning or self.driven_s > self.walkable.course.tick_s - DUST_S

    def _told(self, who: str, says: str) -> StoryStep:
        return StoryStep(time_s=round(self.time_s, 2), who=who, says=says)


def _named(variant: Variant) -> str:
    where = f"{variant.position.name} ({variant.position.percent:.4g} %)"
    return (
        where if variant.off_percent == 0.0 else f"{where}, which jitter and one step carry to {variant.percent:.4g} %"
    )


def _change(before: int, after: int) -> str:
    return CHANGE_SAYS.get((Run(before), Run(after))) or RUN_SAYS[Run(after)]
