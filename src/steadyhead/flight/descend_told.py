"""Glides as they are told: points over forward speed, least sink, best glide, and the reserve for the flare."""

import math

import numpy as np

from steadyhead.flight.descend_result import BestPoint, GlidePoint, Interval
from steadyhead.flight.glide_curves import COLLECTIVE, FORWARD_M_S, SINK, Curves
from steadyhead.flight.glider import Figures
from steadyhead.physics.descent_state import STATE_SAYS, DescentState, descent_state
from steadyhead.physics.disc_path import air_at_disc
from steadyhead.physics.glide import GLIDE_STOP_SAYS, Glide, GlideStop, hover_inflow
from steadyhead.physics.glide_stability import glide_growth
from steadyhead.physics.rotor_energy import sink_energy
from steadyhead.plan.intervals import Spread, spread

Energy = tuple[Figures, dict[str, Spread]]


def glide_points(glides: Curves, row: int) -> tuple[GlidePoint, ...]:
    """Return one head speed over the forward speeds."""
    return tuple(_point(glides, (row, at)) for at in range(len(FORWARD_M_S)))


def glide_of(glides: Curves, place: tuple[int, int]) -> Glide:
    """Return one glide as the kernels take it."""
    head, forward, sink, collective, tilt, code = (float(number) for number in glides.glides[place])
    return Glide(head, forward, sink, collective, tilt, int(code))


def state_at(glides: Curves, glide: Glide) -> str:
    """Return how the air goes through the disc in a glide, in words."""
    unit = hover_inflow(glides.glider)
    through, across = air_at_disc(glide.forward_m_s, -glide.sink_m_s, glide.tilt_rad)
    return STATE_SAYS[DescentState(descent_state(-through / unit, across / unit))]


def _point(glides: Curves, place: tuple[int, int]) -> GlidePoint:
    glide = glide_of(glides, place)
    if math.isnan(glide.sink_m_s):
        return GlidePoint(
            forward_m_s=glide.forward_m_s, sink_m_s=None, sink_m_s_interval=None, collective_deg=None,
            collective_deg_interval=None, disc_tilt_deg=None, descent_ratio=None, state=None, stable=None,
            settling_s=None, why_none=GLIDE_STOP_SAYS[GlideStop(glide.code)],
        )  # fmt: skip
    growth = glide_growth(glides.glider, glide)
    low, high = interval(glides.doubt["collective_rad"], place) or (math.nan, math.nan)
    return GlidePoint(
        forward_m_s=glide.forward_m_s,
        sink_m_s=glide.sink_m_s,
        sink_m_s_interval=interval(glides.doubt["sink_m_s"], place),
        collective_deg=math.degrees(glide.collective_rad),
        collective_deg_interval=None if math.isnan(low) else (math.degrees(low), math.degrees(high)),
        disc_tilt_deg=math.degrees(glide.tilt_rad),
        descent_ratio=glide.sink_m_s / hover_inflow(glides.glider),
        state=state_at(glides, glide),
        stable=growth < 0.0,
        settling_s=-1.0 / growth if growth < 0.0 else None,
        why_none=None,
    )


def interval(doubt: Spread, place: tuple[int, ...]) -> Interval | None:
    """Return the 90 % interval of a figure; None where a machine of the spread has no such figure."""
    low, high = float(doubt.low[place]), float(doubt.high[place])
    return None if math.isnan(low) or math.isnan(high) else (low, high)


def least_sink(glides: Curves, row: int) -> BestPoint | None:
    """Return the forward speed of least sink rate at one head speed."""
    forward, sink = (float(glides.central[name][row]) for name in ("least_forward_m_s", "least_sink_m_s"))
    if math.isnan(sink):
        return None
    return BestPoint(
        forward_m_s=forward,
        forward_m_s_interval=_not_below_zero(interval(glides.doubt["least_forward_m_s"], (row,))),
        sink_m_s=sink,
        sink_m_s_interval=interval(glides.doubt["least_sink_m_s"], (row,)),
        glide_ratio=float(glides.central["least_ratio"][row]),
        glide_ratio_interval=interval(glides.doubt["least_ratio"], (row,)),
        collective_deg=_collective_deg(glides, row, forward),
    )


def best_glide(glides: Curves, row: int) -> BestPoint | None:
    """Return the forward speed of the flattest glide at one head speed."""
    names = ("flattest_forward_m_s", "flattest_sink_m_s", "flattest_ratio")
    forward, sink, ratio = (float(glides.central[name][row]) for name in names)
    if math.isnan(sink):
        return None
    return BestPoint(
        forward_m_s=forward,
        forward_m_s_interval=_not_below_zero(interval(glides.doubt["flattest_forward_m_s"], (row,))),
        sink_m_s=sink,
        sink_m_s_interval=interval(glides.doubt["flattest_sink_m_s"], (row,)),
        glide_ratio=ratio,
        glide_ratio_interval=interval(glides.doubt["flattest_ratio"], (row,)),
        collective_deg=_collective_deg(glides, row, forward),
    )


def reserve_ratio(glides: Curves, energy: Energy, row: int) -> tuple[float | None, Interval | None]:
    """Return the flare reserve over the energy of the least sink rate; both doubts in ratio, taken as independent."""
    figures, doubt = energy
    usable, sink = np.array(figures["usable_energy_j"][row]), np.array(glides.central["least_sink_m_s"][row])
    if math.isnan(float(sink)):
        return None, None
    weight_n = glides.glider.weight_n

    def ratio(joules: float, speed_m_s: float) -> np.ndarray:
        return np.array(joules / sink_energy(weight_n, speed_m_s))

    sinks, joules = glides.doubt["least_sink_m_s"], doubt["usable_energy_j"]
    central = ratio(float(usable), float(sink))
    ends = spread(
        central,
        {
            "sink": (ratio(float(usable), float(sinks.low[row])), ratio(float(usable), float(sinks.high[row]))),
            "energy": (ratio(float(joules.low[row]), float(sink)), ratio(float(joules.high[row]), float(sink))),
        },
    )
    span = interval(ends, ())
    return float(central), _not_below_zero(span)


def _collective_deg(glides: Curves, row: int, forward_m_s: float) -> float:
    collective = glides.glides[row, :, COLLECTIVE]
    there = ~np.isnan(glides.glides[row, :, SINK])
    return math.degrees(float(np.interp(forward_m_s, FORWARD_M_S[there], collective[there])))


def _not_below_zero(span: Interval | None) -> Interval | None:
    return None if span is None else (max(span[0], 0.0), span[1])
