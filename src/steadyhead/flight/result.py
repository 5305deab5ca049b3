"""What a simulated flight answers; field names are the JSON keys. Times are seconds after the trace's first row."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.assumed import Assumption
from steadyhead.trace.trace import Trace


@dataclass(frozen=True, kw_only=True)
class CatchUp:
    """One moment in which the motor caught the head and the one-way bearing took hold."""

    time_s: float
    bearing_nm: float
    """Torque carried at the main shaft in the tenth of a second after."""
    peak_at_least_nm: float
    """Twice that: the torque comes on all at once. Play and stiffness of the bearing, not known, add to it."""


@dataclass(frozen=True, kw_only=True)
class Touchdown:
    """One moment in which the machine met the ground, and how fast it sank."""

    time_s: float
    sink_m_s: float


@dataclass(frozen=True, kw_only=True)
class Peak:
    """The greatest value of one figure, and when."""

    figure: str
    value: float
    unit: str
    time_s: float


@dataclass(frozen=True, kw_only=True)
class Flight:
    """A scenario, flown by the engine."""

    machine: str
    machine_revision: int
    scenario: str
    says: str
    ended: str
    """How it ended, in a sentence."""
    whole: bool
    """Whether it ran to the end of the scenario."""
    duration_s: float
    step_s: float
    governor_sample_s: float
    pulse_frame_s: float
    peaks: tuple[Peak, ...]
    catch_ups: tuple[CatchUp, ...]
    touchdowns: tuple[Touchdown, ...]
    energy_j: dict[str, float]
    """What the cells gave (cells_j), where it went, and what is stored more than at the start (stored_j)."""
    energy_gap_j: float
    """What the cells gave less all the rest: the error of the books."""
    assumptions: tuple[Assumption, ...]
    trace: Trace = field(metadata={"json": False}, repr=False)
    record: NDArray[np.float64] = field(metadata={"json": False}, repr=False)
