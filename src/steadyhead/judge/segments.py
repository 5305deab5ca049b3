"""Cuts a log into rest, soft spool, governed, autorotation, quick spool, coast and stopped."""

from dataclasses import dataclass, replace

from steadyhead.judge.airborne import airborne_at, carried_by_air, flown, landing, stirred
from steadyhead.judge.commands import Command
from steadyhead.judge.cut_by_itself import Cut, cut_by_itself
from steadyhead.judge.motor_state import (
    REACHED_SHARE,
    head_rise,
    head_stop,
    motor_cut,
    motor_start,
    motor_stop,
    ramp_end_s,
    reached,
    settled,
    start_can_be_told,
    swinging_from,
    turns_for_seconds,
)
from steadyhead.judge.pieces import median, percentile
from steadyhead.judge.ramp import QUICK_ITSELF_S, RAMP_SHARE, Ramp
from steadyhead.judge.signals import Signals

SLOW_PASSAGE_S = 0.5
SETTLE_S = 3.0
ABOVE_HOLD_PERCENT = 1.5
"""An autorotation position stands this much above throttle hold, the lowest position; own choice."""
DUTY_TURNS = 0.05
CUT_OFF_S = 0.3
"""The last moments of a governed stretch may already show the duty being taken away."""
DRIVEN = ("soft_spool", "quick_spool", "governed")


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """One stretch of one kind. `asked_s` is when the command for it came."""

    kind: str
    start_s: float
    end_s: float
    asked_s: float
    percent: float | None = None
    set_rpm: float | None = None
    reached_set: bool = False
    ramping: bool = False
    airborne: bool | None = None
    ready_s: float = 0.0
    """When the head first stood at the set speed in this stretch; before that a load is the change of speed itself."""
    start_seen: bool = True
    """Whether the log itself shows the start, or only the command that must have led to it."""
    kind_told: bool = True
    """Whether the log can tell a quick start from a soft one here."""
    beats_soft: bool = False
    """Whether a start was quicker than any soft one, also one that begins at the speed which the head still has."""
    ramp_s: float | None = None
    """From the motor's start until it carried the head near its set speed; None where that was not seen."""
    cut: Cut | None = None
    """What stopped the motor before a stretch without it, where the channel asked for running all the while."""
    by_itself: bool = False
    """Whether the motor started after such a cut without being called."""


@dataclass(frozen=True, kw_only=True)
class _Off:
    kind: str
    start_s: float
    asked_s: float
    airborne: bool | None


def segments(
    signals: Signals, asked: tuple[Command, ...], run: tuple[bool, ...], set_rpm: tuple[float | None, ...]
) -> tuple[Stretch, ...]:
    """Return the stretches of a log in order, without gap or overlap.

    Shapes: asked, run and set_rpm have one entry for each command.
    """
    walk = _Walk(signals)
    for command, runs_there, speed in zip(asked, run, set_rpm, strict=True):
        if runs_there:
            walk.run(command, speed)
        else:
            walk.off(command)
    return tuple(s for s in walk.finished() if s.end_s > s.start_s)


class _Walk:
    """The state carried from one command to the next."""

    def __init__(self, signals: Signals) -> None:
        self.signals = signals
        self.done: list[Stretch] = []
        self.now = Stretch(
            kind=_first_kind(signals), start_s=signals.start_s, end_s=signals.end_s, asked_s=signals.start_s
        )
        self.delay_s = 0.0
        self.first_rate: float | None = None
        self.first_took_s: float | None = None
        self.was_governed = False

    def close(self, end_s: float) -> None:
        """End the present stretch."""
        end = min(max(end_s, self.now.start_s), self.signals.end_s)
        self.done.append(replace(self.now, end_s=end))

    def begin(self, kind: str, start_s: float, command: Command, **more: object) -> None:
        """End the present stretch and begin another."""
        self.close(start_s)
        start = self.done[-1].end_s
        self.now = Stretch(
            kind=kind,
            start_s=start,
            end_s=self.signals.end_s,
            asked_s=command.start_s,
            percent=command.percent,
            **more,  # type: ignore[arg-type]
        )

    def run(self, command: Command, set_rpm: float | None) -> None:
        """Follow a command that asks the motor to run."""
        if self.now.kind == "governed":
            if command.arrive_s - command.start_s > SLOW_PASSAGE_S:
                self.begin("governed", command.start_s, command, ramping=True)
                self.begin("governed", command.arrive_s, command, set_rpm=set_rpm)
            else:
                self.begin("governed", command.start_s, command, set_rpm=set_rpm)
            if set_rpm is not None:
                self.follow_cut(command, set_rpm)
            return
        if self.now.kind in DRIVEN:
            self.now = replace(self.now, percent=command.percent, set_rpm=set_rpm)
            self.follow_spool(command, set_rpm)
            return
        if self._already_there(command, set_rpm):
            self.begin("governed", command.start_s, command, set_rpm=set_rpm)
            self.was_governed = True
            return
        self.start(command, set_rpm)

    def start(self, command: Command, set_rpm: float | None) -> None:
        """Look for the start of the motor within a command, and follow it to the set speed."""
        seen = motor_start(self.signals, command.start_s, command.end_s)
        at_rest = self.now.kind in ("rest", "stopped")
        if seen is None and at_rest:
            seen = head_rise(self.signals, command.start_s, command.end_s)
        if seen is None and at_rest:
            return
        start_s = seen if seen is not None else min(command.start_s + self.delay_s, command.end_s)
        if at_rest and seen is not None and self.signals.throttle is not None:
            self.delay_s = seen - command.start_s
        ramp = Ramp(
            signals=self.signals, start_s=start_s, end_s=command.end_s, set_rpm=set_rpm,
            governed_duty=self.governed_duty(), soft_s=self.first_took_s, soft_rate=self.first_rate,
        )  # fmt: skip
        told = start_can_be_told(self.signals, set_rpm, start_s, command.end_s, ramp.governed_duty)
        told = told and self.signals.speed_rpm is not None and ramp.is_told
        airborne = True if self.now.kind == "autorotation" else False if at_rest else self.now.airborne
        self.begin(
            "quick_spool" if self.was_governed and ramp.is_quick else "soft_spool", start_s, command,
            set_rpm=set_rpm, airborne=airborne, start_seen=seen is not None, kind_told=told, ramp_s=ramp.lasted_s,
            beats_soft=ramp.beats_soft, by_itself=self.now.cut is not None and self.now.cut.back_s == command.start_s,
        )  # fmt: skip
        self.follow_spool(command, set_rpm)

    def follow_spool(self, command: Command, set_rpm: float | None) -> None:
        """End the spool-up where the head reaches the set speed, if it does."""
        if set_rpm is None:
            return
        begin = max(self.now.start_s, command.start_s)
        there = reached(self.signals, set_rpm, begin, command.end_s, self.governed_duty())
        if there is None:
            return
        # The head was found just below the set speed: the ramp takes that much longer.
        there = min(there + REACHED_SHARE * (there - self.now.start_s), command.end_s)
        if self.now.ramp_s is not None:
            there = ramp_end_s(self.signals, self.now.start_s + self.now.ramp_s, there, set_rpm)
        if self.first_rate is None and self.now.kind == "soft_spool":
            took_s = max(there - self.now.start_s, 1e-3)
            if took_s >= QUICK_ITSELF_S:  # a first start that quick is a fault, and no measure for the others
                # measured as the rates of later starts: the governor may creep through the last percents
                up_s = self.now.ramp_s if self.now.ramp_s else took_s
                self.first_took_s = min(took_s, up_s / RAMP_SHARE)
                self.first_rate = set_rpm / self.first_took_s
        self.now = replace(self.now, reached_set=True)
        self.begin("governed", there, command, set_rpm=set_rpm)
        self.was_governed = True
        self.follow_cut(command, set_rpm)

    def follow_cut(self, command: Command, set_rpm: float) -> None:
        """Find a motor that stopped by itself while it was asked to run, and what it did after."""
        cut = motor_cut(self.signals, set_rpm, self.now.start_s, command.end_s)
        if cut is None:
            return
        stop_s, again_s = cut
        in_air = airborne_at(self.signals, stop_s, again_s or command.end_s)
        told = cut_by_itself(self.signals, command, set_rpm, stop_s, again_s)
        self.begin("coast" if in_air is False else "autorotation", stop_s, command, airborne=in_air, cut=told)
        if again_s is not None:
            self.start(replace(command, start_s=again_s, arrive_s=again_s), set_rpm)

    def governed_duty(self) -> float | None:
        """Return the duty at the end of the last governed stretch; None before one, or without a duty channel."""
        if self.signals.duty is None:
            return None
        for stretch in reversed(self.done):
            if stretch.kind == "governed" and not stretch.ramping:
                part = self.signals.within(max(stretch.start_s, stretch.end_s - SETTLE_S), stretch.end_s - CUT_OFF_S)
                return median(self.signals.duty[part]) if part.stop > part.start else None
        return None

    def off(self, command: Command) -> None:
        """Follow a command that asks the motor to stop or to idle."""
        if self.now.kind in DRIVEN:
            again = self._taken_back(command)
            stop_s = motor_stop(self.signals, command.start_s, command.end_s)
            if stop_s is None and again and self.signals.duty is None and self.signals.speed_is_head:
                stop_s = command.start_s  # a head that the air keeps turning does not show that the motor is off again
            if stop_s is None:
                return
            if self.now.kind == "governed" and stop_s - command.start_s > SLOW_PASSAGE_S:
                self.begin("governed", command.start_s, command, ramping=True)
            blind = self.signals.height_m is None and self.signals.climb_m_s is None
            in_air = True if again and blind else airborne_at(self.signals, stop_s, command.end_s)
            kind = "autorotation" if self._in_autorotation(command, in_air) else "coast"
            self.begin(kind, stop_s, command, airborne=True if kind == "autorotation" else in_air)
        elif self.now.kind in ("rest", "stopped") and self._starts_unasked(command):
            self.start(command, None)
            return
        self.slow_down(command)

    def _taken_back(self, command: Command) -> bool:
        """Whether a restart out of an autorotation goes back into it; the pitch of a glide alone looks like ground."""
        channel = self.signals.throttle
        if self.now.kind not in ("soft_spool", "quick_spool") or not self.now.airborne or channel is None:
            return False
        return command.percent > float(channel.min()) + ABOVE_HOLD_PERCENT

    def slow_down(self, command: Command) -> None:
        """Follow an undriven head: landing, coasting, standing still."""
        if self.now.kind == "autorotation":
            down = landing(self.signals, self.now.start_s, command.end_s)
            if down is None and self.signals.height_m is None and self.now.percent != command.percent:
                in_air = airborne_at(self.signals, command.start_s, command.end_s)
                down = None if in_air is True else command.start_s
            if down is not None:
                self.begin("coast", down, command, airborne=False)
        if self.now.kind == "coast":
            still = head_stop(self.signals, self.now.start_s, command.end_s)
            if still is not None:
                self.begin("stopped", still, command, airborne=False)

    def finished(self) -> list[Stretch]:
        """Return all stretches, the last one closed at the end of the log."""
        self.close(self.signals.end_s)
        if self.signals.speed_rpm is None and self.signals.duty is None:
            return [replace(s, kind="unknown") for s in self.done]
        return [self.governed_figures(s) if s.kind == "governed" else self._as_it_turns(s) for s in self.done]

    def _as_it_turns(self, stretch: Stretch) -> Stretch:
        """Return a stretch of rest as unknown where the head turned for seconds and no start was seen."""
        at_rest = stretch.kind in ("rest", "stopped")
        turns = at_rest and turns_for_seconds(self.signals, stretch.start_s, stretch.end_s)
        return replace(stretch, kind="unknown") if turns else stretch

    def governed_figures(self, stretch: Stretch) -> Stretch:
        """Add to a governed stretch whether it was flown and when the head had come to its set speed."""
        ready = None
        if stretch.set_rpm is not None:
            ready = settled(self.signals, stretch.set_rpm, stretch.start_s, stretch.end_s)
            until_s = stretch.end_s if ready is None else ready
            swinging = swinging_from(self.signals, stretch.set_rpm, stretch.start_s, until_s)
            ready = ready if swinging is None else swinging
        return replace(
            stretch,
            airborne=flown(self.signals, stretch.start_s, stretch.end_s),
            ready_s=ready if ready is not None else min(stretch.start_s + SETTLE_S, stretch.end_s),
        )

    def _already_there(self, command: Command, set_rpm: float | None) -> bool:
        speed = self.signals.speed_rpm
        if speed is None or set_rpm is None or command.start_s > self.signals.start_s:
            return False
        return bool(abs(median(speed[: self.signals.samples(0.2)]) - set_rpm) < 0.05 * set_rpm)

    def _in_autorotation(self, command: Command, in_air: bool | None) -> bool:
        if not self.was_governed and self.signals.height_m is None and self.signals.climb_m_s is None:
            return False  # nothing flew before the head had come to a speed
        if in_air is not None:
            return in_air
        carried = carried_by_air(self.signals, command.start_s, command.end_s)
        if carried is not None:
            return carried
        if not stirred(self.signals, self.now.start_s, command.start_s):
            return False
        channel = self.signals.throttle
        return channel is not None and command.percent > float(channel.min()) + ABOVE_HOLD_PERCENT

    def _starts_unasked(self, command: Command) -> bool:
        duty = self.signals.duty
        part = self.signals.within(command.start_s, command.end_s)
        speed = self.signals.speed_rpm
        if part.stop - part.start < 3 or speed is None:
            return False
        turns = percentile(speed[part], 95) > 200.0
        return turns and (duty is None or float(duty[part].max()) > DUTY_TURNS)


def _first_kind(signals: Signals) -> str:
    speed = signals.speed_rpm
    if speed is None:
        return "rest"
    turning = median(speed[: signals.samples(0.3) + 1]) > 60.0
    return "coast" if turning else "rest"
