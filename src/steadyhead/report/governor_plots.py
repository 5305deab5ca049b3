"""The governor's drawings as files of their own, for the command line."""

from pathlib import Path

from steadyhead.flight.governor_result import GovernorAnswer, Ramp
from steadyhead.flight.quick_ramp import QUICK
from steadyhead.flight.ramp_limits import known_limits
from steadyhead.machine.description import Machine
from steadyhead.report.files import write_whole


def write_tuning_map(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write the map of gains as one SVG file, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.tuning import tuning_drawing

    drawing = tuning_drawing(
        answer.machine, answer.tuning, machine.limit("limits.droop"), machine.limit("limits.overspeed")
    )
    write_whole({path: drawing.svg.encode()})
    return path


def write_ramp_plot(path: Path, machine: Machine, answer: GovernorAnswer) -> Path:
    """Write the quick ramp of the flight mode that asks the most against ramp time as SVG, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.quick_ramp import ramp_drawing

    hardest = max((ramp for ramp in answer.ramps if ramp.kind == QUICK), key=_asked)
    write_whole({path: ramp_drawing(hardest, known_limits(machine)).svg.encode()})
    return path


def _asked(ramp: Ramp) -> float:
    return ramp.curve[-1].pack_current_a
