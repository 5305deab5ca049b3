"""Steady autorotation over forward speed for several head speeds, with the doubt on every figure."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from steadyhead.flight.glider import GLIDE_INPUTS, Figures, Floats, glider, moved_figures, spreads
from steadyhead.machine.description import Machine
from steadyhead.physics.glide import Glider, hover_inflow
from steadyhead.physics.glide_near import glides_near, glides_over_speed
from steadyhead.plan.intervals import Spread

FORWARD_M_S = np.arange(0.0, 25.0, 2.0)
"""Forward speeds looked at."""
SINK, COLLECTIVE, TILT, CODE = 2, 3, 4, 5
"""Columns of a glide, as `physics.glide.Glide`."""
INFLOW_DOUBT_RATIO = 0.15
"""90 % half width of the sink rate over the hover inflow that the inflow model itself leaves open.

NACA TN-2474 scatters by 0.08 from run to run; our own figure misses it by 0.08 rms and 0.20 at worst over 11 runs.
"""
INFLOW = "inflow in descent"
"""Stands in the place of a key for the doubt of the inflow model."""


@dataclass(frozen=True, kw_only=True)
class Curves:
    """Glides of one machine. Shapes: head_rad_s (w,), glides (w, n, 6) as `Glide`, figures by name (w, n) or (w,)."""

    glider: Glider
    head_rad_s: Floats
    glides: Floats
    central: Figures
    doubt: dict[str, Spread]
    moved: Mapping[str, tuple[Figures, Figures]]
    """The figures with each uncertain input moved down and up."""


def curves(machine: Machine, head_rad_s: Floats, like: Curves | None = None) -> Curves:
    """Return the glides of a machine at several head speeds, each over FORWARD_M_S.

    `like` are those of the same machine at other head speeds: what is known there is not looked for again.
    """
    craft = glider(machine, float(head_rad_s.max()))
    places = [_place(like, float(head)) for head in head_rad_s]
    found, moves = _solved(machine, craft, head_rad_s[[place is None for place in places]], float(head_rad_s.max()))
    if like is not None:
        found = _merged(places, like.glides, found)
        moves = {
            key: (_merged_figures(places, like.moved[key][0], low), _merged_figures(places, like.moved[key][1], high))
            for key, (low, high) in moves.items()
        }
    central = figures_of(found)
    return Curves(
        glider=craft, head_rad_s=head_rad_s, glides=found, central=central, doubt=spreads(central, moves), moved=moves
    )


def _solved(
    machine: Machine, craft: Glider, head_rad_s: Floats, highest_rad_s: float
) -> tuple[Floats, dict[str, tuple[Figures, Figures]]]:
    """Return the glides at some head speeds, and their figures with each uncertain input moved."""
    found = np.empty((len(head_rad_s), len(FORWARD_M_S), 6))
    for row, head in enumerate(head_rad_s):
        glides_over_speed(craft, float(head), FORWARD_M_S, found[row])
    starts = found.reshape(-1, 6)
    there = ~np.isnan(starts[:, SINK])

    def moved(other: Machine) -> Figures:
        answer = np.full_like(starts, math.nan)
        answer[there] = near(glider(other, highest_rad_s), starts[there])
        return figures_of(answer.reshape(found.shape))

    moves = moved_figures(machine, GLIDE_INPUTS, moved)
    step = INFLOW_DOUBT_RATIO * hover_inflow(craft)
    moves[INFLOW] = (figures_of(_sunk(found, -step)), figures_of(_sunk(found, step)))
    return found, moves


def _place(like: Curves | None, head_rad_s: float) -> int | None:
    """Return the row of known glides at a head speed; None where there is none."""
    if like is None:
        return None
    same = np.flatnonzero(np.isclose(like.head_rad_s, head_rad_s, rtol=1e-9))
    return int(same[0]) if same.size else None


def _merged(places: Sequence[int | None], known: Floats, new: Floats) -> Floats:
    """Return rows in order, those with a place from the known ones, the others from the new ones, in turn."""
    fresh = iter(new)
    return np.array([next(fresh) if place is None else known[place] for place in places])


def _merged_figures(places: Sequence[int | None], known: Figures, new: Figures) -> Figures:
    return {name: _merged(places, rows, new[name]) for name, rows in known.items()}


def near(craft: Glider, starts: Floats) -> Floats:
    """Return the glides near known ones. Shapes: starts (n, 6) -> (n, 6)."""
    out = np.empty_like(starts)
    glides_near(craft, np.ascontiguousarray(starts), out)
    return out


def figures_of(glides: Floats) -> Figures:
    """Return the figures of glides over FORWARD_M_S by name.

    Shapes: glides (w, n, 6) -> sink and collective (w, n); the best points (w,).
    """
    sink = glides[..., SINK]
    ratio = FORWARD_M_S / sink
    least = np.array([best_of(FORWARD_M_S, row) for row in sink])
    flattest = np.array([best_of(FORWARD_M_S, -row) for row in ratio])
    return {
        "sink_m_s": sink,
        "collective_rad": glides[..., COLLECTIVE],
        "least_forward_m_s": least[:, 0],
        "least_sink_m_s": least[:, 1],
        "least_ratio": least[:, 0] / least[:, 1],
        "flattest_forward_m_s": flattest[:, 0],
        "flattest_ratio": -flattest[:, 1],
        "flattest_sink_m_s": -flattest[:, 0] / flattest[:, 1],
    }


def best_of(places: Floats, values: Floats) -> tuple[float, float]:
    """Return the place of the least value and that value, by a parabola; no numbers where one beside it is missing.

    Shapes: places, values (n,), evenly spaced.
    """
    if np.isnan(values).all():
        return math.nan, math.nan
    at = int(np.nanargmin(values))
    if np.isnan(values[max(at - 1, 0) : at + 2]).any():
        return math.nan, math.nan
    if not 0 < at < len(values) - 1:
        return float(places[at]), float(values[at])
    left, middle, right = values[at - 1 : at + 2]
    bend = left - 2.0 * middle + right
    share = 0.5 * (left - right) / bend if bend > 0.0 else 0.0
    step = places[at + 1] - places[at]
    return float(places[at] + share * step), float(middle - 0.25 * (left - right) * share)


def _sunk(glides: Floats, faster_m_s: float) -> Floats:
    """Return the glides with every sink rate moved: what the inflow model leaves open."""
    moved = glides.copy()
    moved[..., SINK] += faster_m_s
    return moved
