"""How far a simulated flight lies from the log whose inputs it replays, segment by segment."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from steadyhead.trace.trace import Series, Trace

FIGURES = ("head_speed_rpm", "motor_side_speed_rpm", "pack_current_a", "pack_voltage_v", "duty")
LEAST_SAMPLES = 3


@dataclass(frozen=True, kw_only=True)
class Residual:
    """One figure in one segment: simulation less log."""

    segment: str
    start_s: float
    end_s: float
    figure: str
    log_mean: float
    mean: float
    """Mean of simulation less log."""
    rms: float
    """Root of the mean square of simulation less log."""
    mean_interval: tuple[float, float] | None = None
    """Where the mean lies over the spread of the machine file, 90 %; None without draws."""
    within_doubt: bool | None = None
    """Whether the spread of the machine file and 1 % of the reading may explain the mean."""


def residuals(flown: Trace, log: Trace, segments: Iterable[tuple[str, float, float]]) -> tuple[Residual, ...]:
    """Return mean and rms of simulation less log for every figure that both have.

    Valid: the log's own times; a figure that the log lacks in a segment is left out.
    """
    found = []
    for kind, start_s, end_s in segments:
        inside = (log.time_s >= start_s) & (log.time_s < end_s)
        for figure in FIGURES:
            ours, theirs = flown.get(figure), log.get(figure)
            if ours is None or theirs is None:
                continue
            residual = _residual(flown.time_s, ours, log.time_s[inside], theirs[inside])
            if residual is not None:
                log_mean, mean, rms = residual
                found.append(
                    Residual(
                        segment=kind, start_s=start_s, end_s=end_s, figure=figure, log_mean=log_mean, mean=mean, rms=rms
                    )
                )
    return tuple(found)


def _residual(time_s: Series, ours: Series, at_s: Series, theirs: Series) -> tuple[float, float, float] | None:
    known = np.isfinite(theirs) & (at_s <= time_s[-1])
    if int(known.sum()) < LEAST_SAMPLES:
        return None
    gap = np.interp(at_s[known], time_s, ours) - theirs[known]
    return float(theirs[known].mean()), float(gap.mean()), float(np.sqrt(np.mean(gap * gap)))
