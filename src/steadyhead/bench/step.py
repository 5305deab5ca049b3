"""One step of the bench procedure, and one answer to it; field names are the JSON keys."""

from dataclasses import dataclass
from enum import StrEnum

from steadyhead.channel.result import MOTOR_SIDE, Reading

Interval = tuple[float, float]


class Entry(StrEnum):
    """What a step asks for."""

    YES = "yes"
    """A confirmation: nothing goes on without it."""
    YES_OR_NO = "yes or no"
    PULSE = "pulse width"
    PERCENT = "channel percent"
    SECONDS = "seconds"
    HEAD_SPEED = "head speed"
    START_KIND = "soft or quick"


UNITS = {Entry.PULSE: "us", Entry.PERCENT: "%", Entry.SECONDS: "s", Entry.HEAD_SPEED: "rpm"}
SKIP = "skip"
"""The answer to a step that is left out: its verdict is unknown."""
RECORDING, MICROPHONE = "recording", "microphone"
"""How the source of an answer begins that was heard."""
HOLD_AT_REST = "hold_from: rest"
"""The first step with the pack connected."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """What to do next, what to see, and what is expected."""

    step: str
    """Its name in the record; a set-point step carries its number and position."""
    part: str
    """safety, end points, hold, thresholds, starting, set points, autorotation or restart."""
    title: str
    action: tuple[str, ...]
    """What to do, line by line."""
    switch: str
    """The switch action in one line; empty where none is needed."""
    asks: str
    """The question to answer."""
    entry: Entry
    unit: str = ""
    spins: bool = True
    """Whether the motor is live: the safety steps must stand confirmed."""
    percent: float | None = None
    """Channel position of a set-point step."""
    expected: float | None = None
    expected_word: str = ""
    """yes, soft or quick, where the step asks for a word."""
    expected_interval: Interval | None = None
    """The expected value with its tolerance."""
    expected_from: str = ""
    checks: tuple[str, ...] = ()
    """Kinds of the checks that its answer is judged by."""

    @property
    def is_safety(self) -> bool:
        """Whether it is one of the confirmations that come before anything turns."""
        return self.part == "safety"

    @property
    def may_be_left_out(self) -> bool:
        """Whether it can be skipped: nothing turns before safety is confirmed and throttle hold was tried at rest."""
        return not self.is_safety and self.step != HOLD_AT_REST


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What was seen: a figure or a word, and where it was read."""

    figure: float | None = None
    spread: float = 0.0
    """Half width of the 90 % interval, in the unit of the figure; 0 when it was not stated."""
    word: str = ""
    """yes, no, soft, quick or skip."""
    source: str = "by hand"
    note: str = ""

    @property
    def is_heard(self) -> bool:
        """Whether it comes from sound: another machine near may have been taken for this one."""
        return self.source.startswith((RECORDING, MICROPHONE))

    @property
    def is_at_head(self) -> bool:
        """Whether it is the head's own speed: with the blades off, as on the bench, only motor and gears are heard."""
        return not self.is_heard and not self.source.endswith(MOTOR_SIDE)

    def reading(self, percent: float, where: str) -> Reading:
        """Return a head speed as a reading of the set-point law; `where` says in which run it was taken."""
        source = f"{where}, {self.source}"
        if not self.is_at_head and not source.endswith(MOTOR_SIDE):
            source = f"{source}, {MOTOR_SIDE}"
        return Reading(percent=percent, head_speed_rpm=self.figure or 0.0, spread_rpm=self.spread, source=source)
