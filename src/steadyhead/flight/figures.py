"""Peaks of a flight, and the moments in which the one-way bearing took hold."""

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.result import CatchUp, Peak, Touchdown
from steadyhead.flight.trace_of import AT, RPM, ZERO_C_K

AFTER_S = 0.1

PEAKS = (
    ("head_speed", "head_rad_s", "rpm", RPM, 0.0),
    ("pack_current", "pack_current_a", "A", 1.0, 0.0),
    ("motor_current", "motor_current_a", "A", 1.0, 0.0),
    ("motor_torque", "motor_torque_nm", "N m", 1.0, 0.0),
    ("bearing_torque", "bearing_nm", "N m", 1.0, 0.0),
    ("winding_temperature", "winding_k", "°C", 1.0, -ZERO_C_K),
    ("controller_temperature", "controller_k", "°C", 1.0, -ZERO_C_K),
    ("duty", "duty", "", 1.0, 0.0),
    ("climb_speed", "climb_m_s", "m/s", 1.0, 0.0),
)


def peaks(rows: NDArray[np.float64]) -> tuple[Peak, ...]:
    """Return the greatest value of each figure.

    Shapes: rows (n, 25) as `loop.COLUMNS`.
    """
    found = []
    for figure, column, unit, scale, offset in PEAKS if rows.shape[0] else ():
        values = rows[:, AT[column]] * scale + offset
        at = int(np.argmax(values))
        time_s = float(rows[at, AT["time_s"]] - rows[0, AT["time_s"]])
        found.append(Peak(figure=figure, value=float(values[at]), unit=unit, time_s=time_s))
    return tuple(found)


def catch_ups(rows: NDArray[np.float64]) -> tuple[CatchUp, ...]:
    """Return each moment in which the motor caught a turning head.

    Shapes: rows (n, 25) as `loop.COLUMNS`.
    """
    locked, time_s = rows[:, AT["locked"]] > 0.0, rows[:, AT["time_s"]]
    found = []
    for number in np.flatnonzero(~locked[:-1] & locked[1:]) + 1 if rows.shape[0] > 1 else ():
        after = (time_s >= time_s[number]) & (time_s <= time_s[number] + AFTER_S)
        carried = float(rows[after, AT["bearing_nm"]].max())
        found.append(
            CatchUp(time_s=float(time_s[number] - time_s[0]), bearing_nm=carried, peak_at_least_nm=2.0 * carried)
        )
    return tuple(found)


def touchdowns(rows: NDArray[np.float64]) -> tuple[Touchdown, ...]:
    """Return each moment in which the machine met the ground out of a sink, and how fast it sank.

    Shapes: rows (n, 25) as `loop.COLUMNS`.
    """
    height, climb, time_s = (rows[:, AT[name]] for name in ("height_m", "climb_m_s", "time_s"))
    met = np.flatnonzero((height[1:] <= 0.0) & (height[:-1] > 0.0)) + 1 if rows.shape[0] > 1 else np.empty(0, np.int64)
    return tuple(
        Touchdown(time_s=float(time_s[number] - time_s[0]), sink_m_s=float(-climb[number - 1])) for number in met
    )
