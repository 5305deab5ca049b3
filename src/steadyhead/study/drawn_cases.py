"""Drawn machines as rows of numbers, thousands in one go: what a study varies, put into the columns of a case."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out_case import DRAWN_KEYS, Ready, ready
from steadyhead.flight.governor_spread import moved
from steadyhead.flight.motor_back import mode_number
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.study.asked import PILOT_DELAY, Study
from steadyhead.study.design import half_widths, points, rows_of_point
from steadyhead.study.drawn_machine import at_point
from steadyhead.study.table import TROUBLE, put_together
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
    """How cases are worked out: where each begins, and a table of figures and verdicts of many."""

    start: Callable[[Ready], Floats]
    told: Callable[[Ready, Floats], pl.DataFrame]


def rows_by_point(study: Study, first: int, last: int, solved: Solved, threads: int) -> pl.DataFrame:
    """Return rows `first` to before `last` in the fastest flight mode: what was varied, then figures and verdicts."""
    each = rows_of_point(study)
    parts = [
        _at_point(study, max(first, point * each), min(last, (point + 1) * each), solved, threads)
        for point in range(first // each, (last - 1) // each + 1)
    ]
    return put_together(parts)


def _at_point(study: Study, first: int, last: int, solved: Solved, threads: int) -> pl.DataFrame:
    point, number = first // rows_of_point(study), np.arange(first, last)
    which = pl.DataFrame({"row": number.astype(float), "point": np.full(number.size, float(point))})
    try:
        own, inputs, case = _begun(study, point, solved.start)
        cases = np.tile(case, (number.size, 1))
        drawn = put(study, own.machine, cases, half_widths(study, first, last))
        told = solved.told(replace(own, threads=threads), cases)
    except SteadyheadError as trouble:
        return which.with_columns(pl.lit(str(trouble)).alias(TROUBLE), pl.lit(Outcome.UNKNOWN.value).alias("verdict"))
    swept = [pl.lit(value, pl.String if isinstance(value, str) else pl.Float64).alias(name) for name, value in inputs]
    return which.with_columns(*swept, **{name: pl.Series(values) for name, values in drawn.items()}).hstack(told)


@lru_cache(maxsize=1)
def _begun(
    study: Study, point: int, start: Callable[[Ready], Floats]
) -> tuple[Ready, tuple[tuple[str, float | str], ...], Floats]:
    """Return the machine at a point of the grid, what was swept, and its case; the next part needs the same again."""
    base = machine_from_text(study.machine_text, study.machine_name)
    machine, inputs, delay_s = at_point(study, base, points(study)[point])
    own = ready(machine, mode_number(machine, None), device=study.device)
    case = start(own)
    if f"set {PILOT_DELAY}" in inputs:
        case[columns.REACTION] = delay_s
    return own, tuple(inputs.items()), case


def put(study: Study, machine: Machine, cases: Floats, offsets: Floats) -> dict[str, Floats]:
    """Write what was drawn into the cases, and return it by its name in the table, SI.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, offsets (n, inputs) in half widths.
    """
    drawn = {}
    for number, varied in enumerate(study.varied):
        off = offsets[:, number]
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
