"""How far the readings scatter about a law."""

import math

import numpy as np

from steadyhead.channel.clamped_fit import Clamped
from steadyhead.channel.line_fit import Line, Points


def residual_rpm(points: Points, line: Line) -> float | None:
    """Scatter of the readings about a line, rpm; None with no reading left over."""
    if line.freedom < 1:
        return None
    on_line = line.level_rpm + line.slope_rpm_per_percent * (points.percent - line.centre_percent)
    return math.sqrt(float(((points.rpm - on_line) ** 2).sum()) / line.freedom)


def knee_residual_rpm(points: Points, knee: Clamped) -> float | None:
    """Scatter about a line with a flat end, rpm; None with no reading left over."""
    if knee.freedom < 1:
        return None
    line, flat = knee.line, knee.flat.level_rpm
    sloped = line.level_rpm + line.slope_rpm_per_percent * (points.percent - line.centre_percent)
    on_law = np.minimum(sloped, flat) if knee.ceiling else np.maximum(sloped, flat)
    return math.sqrt(float(((points.rpm - on_law) ** 2).sum()) / knee.freedom)
