"""Vertical descent at one head speed, from a hover through vortex ring and turbulent wake to the windmill."""

import math

import numpy as np

from steadyhead.flight.descend_result import VerticalRow
from steadyhead.flight.descend_told import glide_of, state_at
from steadyhead.flight.glide_curves import Curves
from steadyhead.physics.glide import GlideStop, hover_inflow, sinking

ROWS = 11
BEYOND = 1.15
"""The ladder ends this far below the autorotation, as a share of its sink rate."""


def vertical(glides: Curves, row: int) -> tuple[VerticalRow, ...]:
    """Return the power that vertical descent takes at one head speed, from hover to beyond autorotation."""
    last = BEYOND * glide_of(glides, (row, 0)).sink_m_s
    if math.isnan(last):
        return ()
    head = float(glides.head_rad_s[row])
    return tuple(_row(glides, head, float(sink)) for sink in np.linspace(0.0, last, ROWS))


def _row(glides: Curves, head_rad_s: float, sink_m_s: float) -> VerticalRow:
    glide, torque_nm = sinking(glides.glider, head_rad_s, 0.0, sink_m_s)
    carried = glide.code == GlideStop.DONE
    return VerticalRow(
        sink_m_s=sink_m_s,
        descent_ratio=sink_m_s / hover_inflow(glides.glider),
        state=state_at(glides, glide),
        collective_deg=math.degrees(glide.collective_rad) if carried else None,
        shaft_power_w=torque_nm * head_rad_s if carried else None,
    )
