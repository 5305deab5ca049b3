"""Drawn machines as rows of numbers, thousands in one go: what a study varies, put into the columns of a case."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import DRAWN_KEYS, Ready, ready
from steadyhead.flight.governor_spread import moved
from steadyhead.flight.motor_back import mode_number
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.study.asked import PILOT_DELAY, Study
from steadyhead.study.design import Row, points
from steadyhead.study.drawn_machine import TROUBLE, at_point
from steadyhead.study.figures import Cells
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.verdict import Outcome

SCALES = {
    "rotor.chord": (columns.LIFT, columns.DRAG), "rotor.lift_factor": (columns.LIFT,),
    "rotor.drag_factor": (columns.DRAG,), "gears.drag_torque": (columns.GEAR_DRAG,),
}  # fmt: skip
"""Keys that a case holds as a ratio to the machine as described."""
PLACES = {key: column for column, key in DRAWN_KEYS.items()} | {PILOT_DELAY: columns.REACTION}
DRAWN_HERE = (*(key for key in PLACES if key != PILOT_DELAY), *SCALES)
"""Keys of the machine file that may be drawn; all others may be swept."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Solved:
    """How cases are worked out: where each begins, and the figures and verdicts of many."""

    start: Callable[[Ready], Floats]
    cells: Callable[[Ready, Floats], list[Cells]]


def rows_by_point(study: Study, rows: list[Row], solved: Solved) -> list[Cells]:
    """Return each row worked out in the fastest flight mode's machine: what was varied, then figures and verdicts."""
    found: list[Cells] = []
    for point, group in groupby(rows, key=lambda row: row.point):
        found += _at_point(study, point, list(group), solved)
    return found


def _at_point(study: Study, point: int, rows: list[Row], solved: Solved) -> list[Cells]:
    start: list[Cells] = [{"row": float(row.number), "point": float(point)} for row in rows]
    try:
        base = machine_from_text(study.machine_text, study.machine_name)
        machine, inputs, delay_s = at_point(study, base, points(study)[point])
        own = ready(machine, mode_number(machine, None), device=study.device)
        cases = np.tile(solved.start(own), (len(rows), 1))
        if f"set {PILOT_DELAY}" in inputs:
            cases[:, columns.REACTION] = delay_s
        drawn = put(study, machine, cases, np.array([row.half_widths for row in rows]))
        told = solved.cells(own, cases)
    except SteadyheadError as trouble:
        return [cells | {TROUBLE: str(trouble), "verdict": Outcome.UNKNOWN.value} for cells in start]
    names, values = list(drawn), np.array(list(drawn.values())).reshape(len(drawn), len(rows)).T.tolist()
    return [
        cells | inputs | dict(zip(names, value, strict=True)) | figures
        for cells, value, figures in zip(start, values, told, strict=True)
    ]


def put(study: Study, machine: Machine, cases: Floats, half_widths: Floats) -> dict[str, Floats]:
    """Write what was drawn into the cases, and return it by its name in the table, SI.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, half_widths (n, inputs).
    """
    drawn = {}
    for number, varied in enumerate(study.varied):
        off = half_widths[:, number]
        if varied.key == PILOT_DELAY:
            values = np.maximum(varied.value_si + off * varied.half_width_si, 0.0)
        else:
            stated = machine.value(varied.key)
            values = np.full(len(off), si.number(machine, varied.key))
            if stated is not None:
                values = moved(machine, varied.key, replace(stated, spread_si=varied.half_width_si), off)
        drawn[f"drawn {varied.key}"] = values
        if varied.key in PLACES:
            cases[:, PLACES[varied.key]] = values
        for column in SCALES.get(varied.key, ()):
            cases[:, column] *= values / si.number(machine, varied.key)
    return drawn
