"""Peaks of one scenario flown by drawn machines, thousands in one go; on the processor or on a card."""

import numpy as np
import polars as pl
from numpy.typing import NDArray

from steadyhead.flight import many_flights as flown
from steadyhead.flight.bail_out_case import machine_case
from steadyhead.flight.bail_out_height import RPM
from steadyhead.flight.drawn_flights import drawn_flights
from steadyhead.flight.scenario_file import read_scenario
from steadyhead.flight.stops import FLIGHT_STOP_SAYS, FlightStop
from steadyhead.flight.trace_of import ZERO_C_K
from steadyhead.study.asked import Study
from steadyhead.study.drawn_cases import Solved, rows_by_point
from steadyhead.study.table import TROUBLE, known
from steadyhead.words.verdict import Outcome

FIGURES = {
    "peak_head_speed_rpm": (flown.HEAD, RPM, 0.0), "peak_pack_current_a": (flown.PACK_A, 1.0, 0.0),
    "peak_motor_current_a": (flown.MOTOR_A, 1.0, 0.0), "peak_motor_torque_nm": (flown.MOTOR_NM, 1.0, 0.0),
    "peak_bearing_torque_nm": (flown.BEARING_NM, 1.0, 0.0),
    "peak_winding_temperature_c": (flown.WINDING_K, 1.0, -ZERO_C_K),
    "peak_controller_temperature_c": (flown.CONTROLLER_K, 1.0, -ZERO_C_K), "peak_duty": (flown.DUTY, 1.0, 0.0),
    "peak_climb_speed_m_s": (flown.CLIMB, 1.0, 0.0), "least_pack_voltage_v": (flown.PACK_V, 1.0, 0.0),
    "least_governed_rpm": (flown.HEAD_LOW, RPM, 0.0), "touchdown_sink_m_s": (flown.SINK, 1.0, 0.0),
    "cells_wh": (flown.CELLS_J, 1.0 / 3600.0, 0.0),
}  # fmt: skip
NO_START = "this machine cannot hover at that head speed"

Floats = NDArray[np.float64]


def peak_rows(study: Study, first: int, last: int, threads: int) -> pl.DataFrame:
    """Return each row's peaks in the study's scenario: what was varied, and the figures; nothing is judged."""
    scenario = read_scenario(study.scenario)
    solved = Solved(start=machine_case, told=lambda own, cases: told_table(drawn_flights(own, scenario, cases)))
    return rows_by_point(study, first, last, solved, threads)


def told_table(told: Floats) -> pl.DataFrame:
    """Return the figures of every flight; where one ended early, why.

    Shapes: told (n, 15) as `many_flights.FLOWN`.
    """
    codes = told[:, flown.CODE].astype(int)
    ended = {flown.NO_START: NO_START} | {int(code): says for code, says in FLIGHT_STOP_SAYS.items()}
    says, without = pl.Series([ended[code] for code in codes.tolist()]), (flown.NO_START, int(FlightStop.NOT_FINITE))
    figures = {name: known(told[:, column] * scale + more) for name, (column, scale, more) in FIGURES.items()}
    has = pl.Series(~np.isin(codes, without))
    table = pl.DataFrame({"ended": says, **figures})
    return table.select(
        pl.lit(Outcome.UNKNOWN.value).alias("verdict"),
        pl.when(has).then(None).otherwise("ended").cast(pl.String).alias(TROUBLE),
        *(pl.when(has).then(name).alias(name) for name in (*figures, "ended")),
    )
