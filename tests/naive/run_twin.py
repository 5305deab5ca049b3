"""A plain controller and a plain flyer: the switch logic once more, from its description, importing nothing of ours.

Settings are a dict, positions a dict of name: (purpose, percent). Times in s, channel in percent.
"""

import itertools
import random
from typing import Any

DRIVEN = {"soft", "quick", "governed", "idling"}


class Controller:
    """Does what its settings say, in small steps."""

    def __init__(self, settings: dict[str, Any]) -> None:
        self.s = settings
        self.mode = "unarmed" if settings["arms"] else "off"
        self.low_for = 0.0
        self.clear_for = 0.0
        self.low_visits = 0
        self.counted_this_visit = False
        self.waiting_for = 0.0
        self.ran_for = 0.0
        self.granted_for: float | None = None

    def step(self, channel: float, at_speed: bool, turning: bool, dt: float) -> None:
        s = self.s
        self.low_for = self.low_for + dt if channel < s["stop"] else 0.0
        self.clear_for = self.clear_for + dt if channel < s["clear"] else 0.0
        if self.granted_for is not None:
            self.granted_for += dt
            if self.granted_for > s["permission"] + 1e-9:
                self.granted_for = None
        lost = self.clear_for > 0 and self.clear_for >= s["clear_after"] - 1e-9
        if lost:
            self.granted_for = None
        was = self.mode
        ran = was == "governed" or (s["counts_spool_up"] and was in ("soft", "quick"))
        if ran:
            self.ran_for += dt
        self.mode = self._next(channel, at_speed, turning, dt)
        if self.mode == was:
            return
        if ran and self.mode in ("off", "idling") and s["permits"] and not lost and self.ran_for >= s["before"] - 1e-9:
            self.granted_for = 0.0
        if self.mode in ("soft", "governed"):
            self.granted_for = None
        if not (self.mode == "governed" and s["counts_spool_up"]):
            self.ran_for = 0.0
        self.waiting_for = 0.0

    def _next(self, channel: float, at_speed: bool, turning: bool, dt: float) -> str:
        s, mode = self.s, self.mode
        low = self.low_for > 0 and self.low_for >= s["stop_delay"] - 1e-9
        start = "quick" if self.granted_for is not None and (turning or not s["needs_turning"]) else "soft"
        if mode == "unarmed":
            armed_here = self.low_for > 0 and self.low_for >= s["arm"] - 1e-9
            if armed_here and not self.counted_this_visit:
                self.low_visits += 1
            self.counted_this_visit = armed_here
            return "off" if self.low_visits >= s["arm_visits"] else "unarmed"
        if mode == "off":
            if channel > s["start"]:
                return "waiting" if s["start_delay"] > 0 else start
            return "idling" if s["idles_from_rest"] and channel >= s["stop"] else "off"
        if mode == "waiting":
            self.waiting_for += dt
            if channel <= s["start"]:
                return "off"
            return start if self.waiting_for >= s["start_delay"] - 1e-9 else "waiting"
        if low:
            return "off"
        if mode == "idling":
            return start if channel > s["start"] else "idling"
        if channel > s["start"] or channel < s["stop"]:
            return "governed" if at_speed and mode != "governed" else mode
        return "idling" if s["idles"] else "off"


class Flyer:
    """Moves the switches of one controller and keeps the safety rules in mind, a little more patient than the rules."""

    def __init__(
        self, settings: dict[str, Any], positions: dict[str, tuple[str, float]], first: str, dt: float
    ) -> None:
        self.s, self.positions, self.dt = settings, positions, dt
        self.controller = Controller(settings)
        self.at = first
        self.channel = positions[first][1]
        self.time = 0.0
        self.turning = False
        self.driven_for = 0.0
        self.earned = False
        self.fresh = positions[first][0] in ("mode", "stick down")
        self.held = 0.0
        self.promise: float | None = None
        self.asked_in_mode = False
        self.due: float | None = None
        self.broken: dict[str, float] = {}

    def select(self, name: str, percent: float | None = None) -> None:
        purpose = self.positions[name][0]
        rested = self.positions[self.at][0] == "hold" and self.held >= self.s["stay"]
        off = self.controller.mode not in DRIVEN
        self.due = self.time + self.s["start_in"] if rested and off and name in self.s["surely_start"] else None
        if purpose != "hold":
            self.held = 0.0
        if purpose not in ("mode", "stick down"):
            self.fresh = False
        if purpose == "hold":
            self.promise = None
        if purpose not in ("mode", "autorotation"):
            self.asked_in_mode = False
        self.at = name
        self.target = self.positions[name][1] if percent is None else percent

    def step(self, at_speed: bool = False) -> None:
        purpose = self.positions[self.at][0]
        target = getattr(self, "target", self.positions[self.at][1])
        most = (self.s["hold_rate"] if purpose == "hold" else self.s["ramp"]) * self.dt
        self.channel += max(-most, min(most, target - self.channel))
        was, ran = self.controller.mode, self.controller.ran_for
        self.controller.step(self.channel, at_speed, self.turning, self.dt)
        now = self.controller.mode
        self.time += self.dt
        if purpose == "hold":
            self.held += self.dt
        if purpose == "mode" and self.channel > self.s["start"]:
            self.asked_in_mode = True
        if now != was:
            self._judge(was, now, purpose, target)
        if purpose == "hold" and now in DRIVEN and self.held >= self.s["hold_takes"]:
            self._break("hold_ends_undriven")
        if self.due is not None and (now in DRIVEN or self.time >= self.due):
            if now not in DRIVEN:
                self._break("one_hold_is_enough")
            self.due = None
        if self.promise is not None:
            self.promise += self.dt
            if self.promise > self.s["permission"] - 0.2 or now in ("soft", "quick"):
                self.promise = None
        left = was == "governed" and now in ("off", "idling") and self.s["permits"]
        long_enough = ran + self.dt >= self.s["before"] + 0.1
        if left and long_enough and purpose == "autorotation" and self.asked_in_mode:
            self.promise = 0.0
        self.earned = (self.earned or now == "governed") and not (
            purpose == "hold" and self.held >= self.s["hold_takes"]
        )
        if was in DRIVEN:
            self.driven_for += self.dt
            self.turning = self.turning or self.driven_for > 0.049

    def rest(self) -> None:
        if self.controller.mode not in DRIVEN:
            self.turning, self.driven_for = False, 0.0

    def _judge(self, was: str, now: str, purpose: str, target: float) -> None:
        if now == "quick":
            if not self.turning:
                self._break("only_soft_from_rest")
            if not self.earned:
                self._break("quick_only_after_governed")
        if now == "soft" and self.promise is not None and self.turning:
            self._break("bail_out_is_quick")
        if now in DRIVEN and was not in DRIVEN:
            if purpose == "autorotation" and self.channel <= target + 1e-9 and not self.turning:
                self._break("autorotation_never_starts")
            if self.fresh:
                self._break("power_up_is_still")

    def _break(self, rule: str) -> None:
        self.broken.setdefault(rule, self.time)


def random_flight(
    settings: dict[str, Any], positions: dict[str, tuple[str, float]], rng: random.Random, moves: int, dt: float = 0.05
) -> set[str]:
    """Return the rules that one random flight breaks: switch moves, waits of every length, the rotor as it likes."""
    flyer = Flyer(settings, positions, rng.choice(list(positions)), dt)
    lengths = [1, 2, 4, 8, 20, 40, 80, 120]
    for _ in range(moves):
        for _ in range(rng.choice(lengths)):
            spooling = flyer.controller.mode in ("soft", "quick")
            flyer.step(at_speed=spooling and rng.random() < 0.2)
            if rng.random() < 0.05:
                flyer.rest()
        flyer.select(rng.choice(list(positions)))
    return set(flyer.broken)


def every_flight(
    settings: dict[str, Any], positions: dict[str, tuple[str, float]], waits_s: tuple[float, ...], depth: int
) -> set[str]:
    """Return the rules that any flight of `depth` switch moves breaks, with every combination of waits between them.

    The rotor reaches its speed after 0.2 s on a ramp, and comes to rest after 1 s without drive.
    """
    broken: set[str] = set()
    for first, *names in itertools.product(positions, repeat=depth + 1):
        for waits in itertools.product(waits_s, repeat=depth + 1):
            flyer = Flyer(settings, positions, first, 0.05)
            _wait(flyer, waits[0])
            for name, wait_s in zip(names, waits[1:], strict=True):
                flyer.select(name)
                _wait(flyer, wait_s)
            broken |= set(flyer.broken)
    return broken


def _wait(flyer: Flyer, wait_s: float) -> None:
    spooled = undriven = 0.0
    for _ in range(round(wait_s / flyer.dt)):
        mode = flyer.controller.mode
        spooled = spooled + flyer.dt if mode in ("soft", "quick") else 0.0
        undriven = undriven + flyer.dt if mode not in DRIVEN else 0.0
        flyer.step(at_speed=spooled > 0.2)
        if undriven > 1.0:
            flyer.rest()
