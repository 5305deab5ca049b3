"""What a scenario says: how the flight begins, and its steps in order."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path


class Do(StrEnum):
    """What a step does. A step without blades may only wait and move the switch."""

    WAIT = "wait"
    COLLECTIVE = "collective"
    HOVER = "hover"
    CLIMB = "climb"
    PUMP = "pump"
    CYCLIC = "cyclic"
    GLIDE = "glide"
    LAND = "land"


class Start(StrEnum):
    """How a flight begins."""

    REST = "rest"
    HOVER = "hover"


HOLD, AUTOROTATION = "hold", "autorotation"
NEEDS_MOTOR = (Do.HOVER, Do.CLIMB, Do.PUMP, Do.CYCLIC)
NEEDS_BLADES = (*NEEDS_MOTOR, Do.COLLECTIVE, Do.GLIDE, Do.LAND)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of a scenario. SI; None where it does not apply or is left to the machine."""

    do: Do
    for_s: float
    place: str
    """Where it stands, for errors: file, line and number of the step."""
    switch: str | None = None
    """Switch position taken at its beginning: hold, autorotation, "mode 1", or a flight mode by its name."""
    collective_rad: float | None = None
    low_rad: float | None = None
    over_s: float = 0.2
    height_m: float | None = None
    climb_m_s: float | None = None
    forward_m_s: float | None = None
    load_factor: float | None = None
    period_s: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Scenario:
    """A flight to be simulated."""

    name: str
    says: str
    source: str
    blades: bool
    start: Start
    switch: str
    height_m: float
    charge: float
    steps: tuple[Step, ...]
    replay: Path | None = None
    """A log whose own inputs are flown instead of steps."""

    @property
    def duration_s(self) -> float:
        """Time that all steps take, s."""
        return sum(step.for_s for step in self.steps)
