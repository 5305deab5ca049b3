"""Drawings as files of their own, for the command line."""

from pathlib import Path
from typing import TYPE_CHECKING

from steadyhead.judge.listening import Listening
from steadyhead.judge.result import Judgement
from steadyhead.learn.result import Learned
from steadyhead.machine.description import Machine
from steadyhead.plan.result import Plan
from steadyhead.report.files import write_whole
from steadyhead.trace.trace import Trace
from steadyhead.words.verdict import Limit

if TYPE_CHECKING:
    from steadyhead.report.figures.duty import DutyLine


def write_duty_plot(path: Path, machine: Machine, plan: Plan) -> Path:
    """Write head speed against duty for each condition, with the limits drawn, as one SVG file, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.duty import duty_drawing

    drawing = duty_drawing(plan, duty_curves(machine), machine.limit("limits.duty_max"))
    write_whole({path: drawing.svg.encode()})
    return path


def write_log_plot(
    path: Path, judgement: Judgement, duty_max: Limit | None, *, beside: Trace | None = None
) -> Path:  # fmt: skip
    """Write a judged log over time as one SVG file, with another trace beside it where one is given; return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.log_trace import log_drawing

    drawing = log_drawing(judgement, name="log", duty_max=duty_max, beside=beside)
    write_whole({path: drawing.svg.encode()})
    return path


def write_sound_plot(path: Path, heard: Listening) -> Path:
    """Write what was heard over time as one SVG file, and return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.sound import sound_drawing

    write_whole({path: sound_drawing(heard).svg.encode()})
    return path


def write_learned_plot(path: Path, learned: Learned) -> Path:
    """Write what logs told beside what the file says, and one log flown with both, as one SVG file; return its path.

    Raises: OSError when the file cannot be written; nothing half-written stays.
    """
    from steadyhead.report.figures.learned import learned_drawing

    write_whole({path: learned_drawing(learned).svg.encode()})
    return path


def duty_curves(machine: Machine) -> "tuple[DutyLine, ...]":
    """Return the lines of the duty drawing, solved for this machine: every load with every pack state."""
    from steadyhead.plan.curve import head_speed_against_duty
    from steadyhead.report.figures.duty import DutyLine

    curves = [curve for curve in head_speed_against_duty(machine) if curve.duty]
    hardest = {curve.load: curve for curve in sorted(curves, key=lambda curve: curve.duty[0])}
    return tuple(
        DutyLine(
            load=curve.load,
            duty=curve.duty,
            head_speed_rpm=curve.head_speed_rpm,
            hardest=curve is hardest[curve.load],
        )
        for curve in curves
    )
