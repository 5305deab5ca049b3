"""The same glides in other air: a cold day, a hot one, and a hot one high up."""

import math

import numpy as np

from steadyhead.flight.descend_result import AirRow
from steadyhead.flight.descend_told import interval
from steadyhead.flight.glide_curves import FORWARD_M_S, INFLOW, INFLOW_DOUBT_RATIO, SINK, Curves, near
from steadyhead.flight.glider import GLIDE_INPUTS, Figures, Floats, glider, moved_figures, spreads
from steadyhead.flight.rotor_words import RPM
from steadyhead.machine import si
from steadyhead.machine.description import Machine
from steadyhead.physics.air import standard_pressure
from steadyhead.physics.glide import GLIDE_STOP_SAYS, GlideStop, hover_inflow

ZERO_CELSIUS_K = 273.15
HIGHER_M = 1500.0
AIRS = (("cold day, 0 °C", 0.0, 0.0), ("hot day, 35 °C", 35.0, 0.0), ("hot day, 1500 m higher", 35.0, HIGHER_M))
"""Name, temperature in °C, height above the site in m: our choice of what a flyer meets."""


def airs(machine: Machine, glides: Curves) -> tuple[AirRow, ...]:
    """Return vertical and least sink rate of every head speed in the air of the site and in other air.

    The least sink rate is taken at the forward speed that is best in the air of the site.
    """
    rows = [_best_rows(glides, row) for row in range(len(glides.head_rad_s))]
    starts = np.array(rows)
    found = _in_air("air of the site", machine, starts)
    for name, celsius, higher_m in AIRS:
        found += _in_air(name, in_air(machine, celsius, higher_m), starts)
    return found


def in_air(machine: Machine, celsius: float, higher_m: float) -> Machine:
    """Return the same machine on a day of that temperature, and that much higher up."""
    elevation = si.number(machine, "site.elevation")
    changed = {"site.temperature": celsius + ZERO_CELSIUS_K, "site.elevation": elevation + higher_m}
    if machine.site.pressure is not None:
        fall = standard_pressure(elevation + higher_m) / standard_pressure(elevation)
        changed["site.pressure"] = machine.site.pressure.si * fall
    return machine.replaced(changed)


def _best_rows(glides: Curves, row: int) -> Floats:
    """Return the vertical glide and the one nearest the least sink rate, to start from. Shapes: -> (2, 6)."""
    rows = glides.glides[row]
    at = float(glides.central["least_forward_m_s"][row])
    best = 0 if math.isnan(at) else int(np.argmin(np.abs(FORWARD_M_S - at)))
    pair: Floats = rows[[0, best]].copy()
    if not math.isnan(at):
        pair[1, 1] = at
    return pair


def _in_air(name: str, machine: Machine, starts: Floats) -> tuple[AirRow, ...]:
    """Return one row a head speed. Shapes: starts (w, 2, 6)."""
    fastest = float(starts[..., 0].max())
    craft = glider(machine, fastest)
    glides = near(craft, starts.reshape(-1, 6)).reshape(starts.shape)
    from_here = glides.reshape(-1, 6)
    there = ~np.isnan(from_here[:, SINK])

    def moved(other: Machine) -> Figures:
        sinks = np.full(len(from_here), math.nan)
        sinks[there] = near(glider(other, fastest), from_here[there])[:, SINK]
        return {"sink": sinks.reshape(starts.shape[:2])}

    central = {"sink": glides[..., SINK]}
    moves = moved_figures(machine, GLIDE_INPUTS, moved)
    step = INFLOW_DOUBT_RATIO * hover_inflow(craft)
    moves[INFLOW] = ({"sink": central["sink"] - step}, {"sink": central["sink"] + step})
    doubt = spreads(central, moves)["sink"]
    return tuple(
        AirRow(
            air=name,
            density_kg_m3=craft.air.density_kg_m3,
            head_speed_rpm=RPM * float(pair[0, 0]),
            vertical_sink_m_s=_known(float(pair[0, SINK])),
            vertical_sink_m_s_interval=interval(doubt, (row, 0)),
            forward_m_s=_known(float(pair[1, 1])) if not math.isnan(pair[1, SINK]) else None,
            least_sink_m_s=_known(float(pair[1, SINK])),
            least_sink_m_s_interval=interval(doubt, (row, 1)),
            why_none=GLIDE_STOP_SAYS[GlideStop(int(pair[0, 5]))] if math.isnan(pair[0, SINK]) else None,
        )
        for row, pair in enumerate(glides)
    )


def _known(number: float) -> float | None:
    return None if math.isnan(number) else number
