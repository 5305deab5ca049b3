"""The governor's drawings as files of their own, for the command line."""

from pathlib import Path
from typing import TYPE_CHECKING

from steadyhead.flight.governor_result import GovernorAnswer, Ramp
from steadyhead.flight.quick_ramp import QUICK
from steadyhead.flight.ramp_limits import known_limits
from steadyhead.machine.description import Machine
from steadyhead.report.files import write_whole

if TYPE_CHECKING:
    from steadyhead.report.figures.canvas import Drawing


def write_tuning_map(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write the map of gains as one SVG file, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    write_whole({path: drawn_map(machine, answer).svg.encode()})
    return path


def write_ramp_plot(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write the quick ramp of the flight mode that asks the most against ramp time as SVG, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    write_whole({path: drawn_ramp(machine, answer).svg.encode()})
    return path


def drawn_map(machine: Machine, answer: GovernorAnswer) -> "Drawing":
    """Return the map of gains with the machine's limits."""
    from steadyhead.report.figures.tuning import tuning_drawing

    limits = machine.limit("limits.droop"), machine.limit("limits.overspeed")
    return tuning_drawing(answer.machine, answer.tuning, *limits)


def drawn_ramp(machine: Machine, answer: GovernorAnswer) -> "Drawing":
    """Return the quick ramp of the flight mode that asks the most."""
    from steadyhead.report.figures.quick_ramp import ramp_drawing

    hardest = max((ramp for ramp in answer.ramps if ramp.kind == QUICK), key=_asked)
    return ramp_drawing(hardest, known_limits(machine))


def _asked(ramp: Ramp) -> float:
    return ramp.curve[-1].pack_current_a
