"""Where the rotor settles by itself when a collective is held: head speed, sink rate, and whether it comes back."""

import math
from collections.abc import Callable

import numpy as np

from steadyhead.flight.descend_result import SettledRow
from steadyhead.flight.descend_told import glide_of, interval
from steadyhead.flight.glide_curves import FORWARD_M_S, INFLOW, INFLOW_DOUBT_RATIO, Curves
from steadyhead.flight.glider import GLIDE_INPUTS, Figures, Floats, glider, moved_figures, spreads
from steadyhead.flight.rotor_words import RPM
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.glide import Glide, Glider, hover_inflow
from steadyhead.physics.glide_near import glide_at_collective
from steadyhead.physics.glide_stability import glide_growth

MOST_ROWS = 12
"""On either side of the glide that the rows start from."""


def settled(machine: Machine, glides: Curves, row: int) -> tuple[SettledRow, ...]:
    """Return where the rotor settles over whole degrees of collective, at the forward speed of least sink rate."""
    at = float(glides.central["least_forward_m_s"][row])
    if math.isnan(at):
        return ()
    start = glide_of(glides, (row, int(np.argmin(np.abs(FORWARD_M_S - at)))))
    lowest = math.degrees(si.number(machine, "rotor.collective_min"))
    degrees = math.floor(math.degrees(start.collective_rad))
    down = _along(glides.glider, start, [degrees - n for n in range(MOST_ROWS) if degrees - n >= lowest])
    up = _along(glides.glider, start, [degrees + 1 + n for n in range(MOST_ROWS)])
    found = [*reversed(down), *up]
    central, moves = _figures(found), moved_figures(machine, GLIDE_INPUTS, _moved(glides, found))
    step = INFLOW_DOUBT_RATIO * hover_inflow(glides.glider)
    moves[INFLOW] = (
        central | {"sink_m_s": central["sink_m_s"] - step},
        central | {"sink_m_s": central["sink_m_s"] + step},
    )
    doubt = spreads(central, moves)
    return tuple(
        SettledRow(
            collective_deg=math.degrees(glide.collective_rad),
            head_speed_rpm=RPM * glide.head_rad_s,
            head_speed_rpm_interval=interval(doubt["head_speed_rpm"], (place,)),
            forward_m_s=glide.forward_m_s,
            sink_m_s=glide.sink_m_s,
            sink_m_s_interval=interval(doubt["sink_m_s"], (place,)),
            stable=glide_growth(glides.glider, glide) < 0.0,
        )
        for place, glide in enumerate(found)
    )


def _along(craft: Glider, start: Glide, degrees: list[int]) -> list[Glide]:
    """Return the glides at rising or falling collectives, each from the one before; ends where there is none."""
    found: list[Glide] = []
    for asked in degrees:
        glide = glide_at_collective(craft, start, math.radians(asked))
        faster = (
            found and (glide.head_rad_s - found[-1].head_rad_s) * (asked - math.degrees(start.collective_rad)) > 0.0
        )
        if math.isnan(glide.sink_m_s) or faster:
            break
        found.append(glide)
        start = glide
    return found


def _moved(glides: Curves, found: list[Glide]) -> Callable[[Machine], Figures]:
    """Return what a moved machine does at the same collectives."""
    fastest = float(glides.head_rad_s.max())

    def moved(other: Machine) -> Figures:
        craft = glider(other, fastest)
        return _figures([glide_at_collective(craft, glide, glide.collective_rad) for glide in found])

    return moved


def _figures(found: list[Glide]) -> dict[str, Floats]:
    """Return head speed and sink rate by name; both are no numbers where no glide was found."""
    sink: Floats = np.array([glide.sink_m_s for glide in found])
    head = np.array([RPM * glide.head_rad_s for glide in found])
    return {"head_speed_rpm": np.where(np.isnan(sink), math.nan, head), "sink_m_s": sink}
