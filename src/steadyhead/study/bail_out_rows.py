"""Bail-outs of drawn machines, thousands in one go, each machine one row of numbers; on the processor or on a card."""

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.flight import bail_out_columns as columns
from steadyhead.flight.bail_out import height_outcomes, ramp_check
from steadyhead.flight.bail_out_case import Ready, base_case
from steadyhead.flight.bail_out_drawn import settle
from steadyhead.flight.bail_out_height import RPM, flown, heights
from steadyhead.flight.trace_of import ZERO_C_K
from steadyhead.physics.point_mass import SINK_MOST_M_S
from steadyhead.study.asked import Study
from steadyhead.study.drawn_cases import Solved, rows_by_point
from steadyhead.study.table import TROUBLE, known
from steadyhead.words.verdict import Outcome, worst

FIGURES = {
    "level_after_s": (columns.TIME, 1.0, 0.0), "head_speed_low_rpm": (columns.HEAD_LOW, RPM, 0.0),
    "motor_current_a": (columns.MOTOR_A, 1.0, 0.0), "pack_current_a": (columns.PACK_A, 1.0, 0.0),
    "pack_voltage_v": (columns.PACK_V, 1.0, 0.0), "duty": (columns.DUTY, 1.0, 0.0),
    "winding_temperature_c": (columns.WINDING_K, 1.0, -ZERO_C_K),
    "one_way_torque_nm": (columns.BEARING_NM, 1.0, 0.0), "energy_wh": (columns.ENERGY, 1.0 / 3600.0, 0.0),
}  # fmt: skip
HEIGHT, RAMP = "check bail_out_height", "check bail_out_ramp"
NO_GLIDE = "no autorotation carries this machine at a head speed within the rotor's map"

Floats = NDArray[np.float64]


def bail_out_rows(study: Study, first: int, last: int, threads: int) -> pl.DataFrame:
    """Return each row's bail-out straight down from the fastest flight mode: what was varied, figures, verdicts."""
    return rows_by_point(study, first, last, Solved(start=straight_down, told=bailed_out), threads)


def straight_down(own: Ready) -> Floats:
    """Return the case of the machine as described, in its steady autorotation straight down.

    Shapes: -> (33,) as `bail_out_columns.CASE`.
    Raises: SolveError when there is none.
    """
    return base_case(own, 0.0)


def bailed_out(own: Ready, cases: Floats) -> pl.DataFrame:
    """Put every machine into its own autorotation and return figures and verdicts of its bail-out.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`.
    """
    settle(own, cases, np.zeros(cases.shape[0]))
    return told_table(own, cases, flown(own, cases))


def told_table(own: Ready, cases: Floats, told: Floats) -> pl.DataFrame:
    """Return figures and verdicts of every bail-out.

    Shapes: cases (n, 33) as `bail_out_columns.CASE`, told (n, 19) as `bail_out_columns.TOLD`.
    """
    lost = heights(told)
    figures = {"height_lost_m": lost}
    figures |= {name: told[:, column] * scale + more for name, (column, scale, more) in FIGURES.items()}
    quick = told[:, columns.RUN_TAKEN] == columns.QUICK_RUN
    glides = cases[:, columns.SINK] + cases[:, columns.AIR_UP] < SINK_MOST_M_S
    height = [outcome.value for outcome in height_outcomes(own, lost)]
    taken, other = (ramp_check(own, is_quick).verdict for is_quick in (True, False))
    table = pl.DataFrame({name: known(values) for name, values in figures.items()})
    table = table.with_columns(pl.Series(HEIGHT, height), pl.Series(RAMP, np.where(quick, taken.value, other.value)))
    both = {(one.value, ramp.value): worst((one, ramp)).value for one in Outcome for ramp in (taken, other)}
    verdicts = [both[pair] for pair in table.select(HEIGHT, RAMP).iter_rows()]
    table = table.select(*figures, pl.Series("verdict", verdicts, pl.String), HEIGHT, RAMP)
    glide = pl.Series(glides)
    unknown, none = pl.lit(Outcome.UNKNOWN.value), pl.lit(None, pl.String)
    return table.select(
        *(pl.when(glide).then(name).alias(name) for name in figures),
        pl.when(glide).then("verdict").otherwise(unknown).alias("verdict"),
        *(pl.when(glide).then(name).alias(name) for name in (HEIGHT, RAMP)),
        pl.when(glide).then(none).otherwise(pl.lit(NO_GLIDE)).alias(TROUBLE),
    )
