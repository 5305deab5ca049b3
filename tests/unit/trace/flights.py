"""A short invented flight, column by column, to be written in odd ways."""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace

Floats = NDArray[np.float64]
ROWS, STEP_S = 400, 0.1
GEARING = Gearing(ratio=9.0, pole_pairs=5.0, cells=12.0, kv_rpm_v=560.0)
_NOISE = np.random.default_rng(20).normal(size=(3, ROWS))
RUN = np.clip((np.arange(ROWS) - 50) / 100.0, 0.0, 1.0)
TIME_S = STEP_S * np.arange(ROWS)
HEAD_RPM = RUN * (2000.0 + 4.0 * _NOISE[0])
DUTY = 75.0 * RUN
CURRENT_A = 0.4 + RUN * (25.0 + 3.0 * np.sin(TIME_S))
VOLTAGE_V = 49.5 - 0.06 * CURRENT_A - 0.02 * TIME_S + 0.02 * _NOISE[1]
USED_MAH = np.cumsum(CURRENT_A) * STEP_S / 3.6
THROTTLE = np.where(np.arange(ROWS) < 40, 0.0, 70.0)

PLAIN: dict[str, Floats] = {
    "time (s)": TIME_S,
    "head speed (rpm)": HEAD_RPM,
    "throttle (%)": THROTTLE,
    "duty (%)": DUTY,
    "pack voltage (V)": VOLTAGE_V,
    "pack current (A)": CURRENT_A,
    "charge used (mAh)": USED_MAH,
}


def flight(
    tmp_path: Path,
    *,
    first: Mapping[str, Floats] | None = None,
    instead: Mapping[str, Mapping[str, Floats]] | None = None,
    last: Mapping[str, Floats] | None = None,
    without: tuple[str, ...] = (),
    gearing: Gearing = GEARING,
) -> Trace:
    """Read the flight with columns put before it, behind it, or in the place of one of its own."""
    columns: dict[str, Floats] = dict(first or {})
    for heading, values in PLAIN.items():
        columns |= (instead or {}).get(heading, {} if heading in without else {heading: values})
    columns |= last or {}
    rows = np.column_stack(list(columns.values()))
    path = tmp_path / "log.csv"
    lines = [";".join(columns), *(";".join(f"{value:.4f}" for value in row) for row in rows)]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return read_trace(path, gearing=gearing, remember=False)


def heading_of(trace: Trace, channel: str) -> str | None:
    """Return the heading that a channel was read from."""
    return next((column.heading for column in trace.columns if column.channel == channel), None)
