"""The drawings of bail-out and height-velocity diagram as files of their own, for the command line."""

from pathlib import Path

from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.machine.description import Machine
from steadyhead.report.files import write_whole
from steadyhead.words.errors import SolveError


def write_bail_out_plots(folder: Path, machine: Machine, answer: DescendAnswer) -> tuple[Path, Path]:
    """Write height lost against the quick ramp and the height-velocity diagram as SVG, and return their paths.

    Raises: SolveError without any bail-out; OSError when a file cannot be written, nothing half-written stays.
    """
    from steadyhead.flight.ramp_limits import known_limits
    from steadyhead.report.figures.bail_out import bail_out_drawing
    from steadyhead.report.figures.height_velocity import height_velocity_drawing

    if not answer.bail_outs or answer.height_velocity is None:
        raise SolveError("there is no bail-out to draw: no steady autorotation was found")
    ramp, heights = folder / "bail-out.svg", folder / "height-velocity.svg"
    folder.mkdir(parents=True, exist_ok=True)
    drawings = {
        ramp: bail_out_drawing(answer.bail_outs, known_limits(machine)).svg.encode(),
        heights: height_velocity_drawing(answer.height_velocity).svg.encode(),
    }
    write_whole(drawings)
    return ramp, heights
