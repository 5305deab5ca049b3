"""The drawing of the glide as a file of its own, for the command line."""

from pathlib import Path

from steadyhead.flight.descend_result import DescendAnswer
from steadyhead.report.files import write_whole


def write_descent_plot(path: Path, answer: DescendAnswer) -> Path:
    """Write sink rate against forward speed as one SVG file, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.glide import glide_drawing

    write_whole({path: glide_drawing(answer).svg.encode()})
    return path
