"""The best landing that physics allows without motor: optimal control by direct collocation, solved by IPOPT.

No pilot flies it: it knows the machine, sees everything, and plans ahead. It says what is left on the table.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight import landing_flight
from steadyhead.flight.bail_out_case import Ready
from steadyhead.physics.craft import GRAVITY_M_S2
from steadyhead.physics.rotor_map import (
    ACROSS_END,
    CHANGES,
    FAST,
    STEEP,
    across_ratios,
    along_ratios,
    collectives,
)
from steadyhead.physics.tail_curve import tail_torque

INTERVALS = 32
STATES = ("height_m", "forward_m_s", "climb_m_s", "head_rad_s", "collective_rad", "tilt_rad")
SINK_WEIGHT = 2.0
SMOOTH = 1e-3
SLOWEST_HEAD = 0.4
TILT_END_RAD = 0.7
LONGEST_S = 25.0
SOLVED = "Solve_Succeeded"
TOLERANCE = 1e-6
MOST_TURNS = 400
DEGREE = 3

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class OptimalLanding:
    """The best landing found, or why there is none. Figures at touchdown are None without an answer.

    Shapes: time_s (n,), states (n, 6) as STATES.
    """

    solved: bool
    ended: str
    turns: int
    sink_m_s: float | None
    forward_m_s: float | None
    head_share: float | None
    flight_s: float | None
    time_s: Floats
    states: Floats


def optimal_landing(own: Ready, start: Floats, guess: Floats) -> OptimalLanding:
    """Return the gentlest touchdown from a state, by direct collocation (trapezoid) over equal intervals.

    Minimises 2 sink^2 + forward^2 at touchdown, with a small cost on fast hands. Collective and disc move no faster
    than the pilot's own hands in `landing_flight`.
    Shapes: start (6,) as STATES; guess (n, 8) rows of a landing as `landing_flight.ROWS`, where the search begins.
    Valid: still air; inflow settled; no ground effect; the machine as described. IPOPT finds a local optimum.
    Source: direct collocation, Betts, Practical Methods for Optimal Control, 2010, ch. 4 (from memory).
    """
    import casadi as ca

    opti = ca.Opti()
    x = opti.variable(len(STATES), INTERVALS + 1)
    u = opti.variable(2, INTERVALS)
    end_s = opti.variable()
    step = end_s / INTERVALS
    rates = _rates(own)
    scale = np.array([10.0, 5.0, 5.0, own.set_rad_s, 0.1, 0.3])
    slopes = [rates(x[:, number]) for number in range(INTERVALS + 1)]
    for number in range(INTERVALS):
        moved = x[:4, number] + 0.5 * step * (slopes[number] + slopes[number + 1])
        opti.subject_to((x[:4, number + 1] - moved) / scale[:4] == 0)
        opti.subject_to((x[4:, number + 1] - x[4:, number] - step * u[:, number]) / scale[4:] == 0)
    opti.subject_to((x[:, 0] - start) / scale == 0)
    opti.subject_to(x[0, INTERVALS] == 0)
    opti.subject_to(opti.bounded(0.0, x[0, :-1], start[0] + 10.0))
    opti.subject_to(opti.bounded(SLOWEST_HEAD * own.set_rad_s, x[3, :], 1.2 * own.set_rad_s))
    opti.subject_to(opti.bounded(own.setting.pilot.low_rad, x[4, :], own.setting.pilot.high_rad))
    opti.subject_to(opti.bounded(-TILT_END_RAD, x[5, :], TILT_END_RAD))
    opti.subject_to(opti.bounded(-landing_flight.HAND_RAD_S, u[0, :], landing_flight.HAND_RAD_S))
    opti.subject_to(opti.bounded(-landing_flight.DISC_RAD_S, u[1, :], landing_flight.DISC_RAD_S))
    opti.subject_to(opti.bounded(0.1, end_s, LONGEST_S))
    hard = SINK_WEIGHT * x[2, INTERVALS] ** 2 + x[1, INTERVALS] ** 2
    opti.minimize(hard + SMOOTH * ca.sumsqr(u) + SMOOTH * end_s)
    _begin(opti, x, u, end_s, guess)
    opti.solver(
        "ipopt",
        {"print_time": False, "expand": False},
        {"print_level": 0, "sb": "yes", "tol": TOLERANCE, "max_iter": MOST_TURNS},
    )
    return _answer(own, opti, (x, end_s))


def _begin(opti: Any, x: Any, u: Any, end_s: Any, guess: Floats) -> None:
    """Begin the search at a landing that a pilot could fly."""
    time_s = guess[:, 0] - guess[0, 0]
    places = np.linspace(0.0, time_s[-1], INTERVALS + 1)
    columns = [np.interp(places, time_s, guess[:, column]) for column in (1, 2, 3, 4, 5, 6)]
    opti.set_initial(x, np.array(columns))
    opti.set_initial(u, np.diff(np.array(columns[4:]), axis=1) / max(places[1], 1e-3))
    opti.set_initial(end_s, time_s[-1])


def _answer(own: Ready, opti: Any, wanted: tuple[Any, Any]) -> OptimalLanding:
    """Return the answer of the solver, or in its own words why there is none."""
    x, end_s = wanted
    try:
        found = opti.solve()
    except RuntimeError:
        # CasADi tells a failed solve by this; the solver's own word for it is kept and told.
        stats = opti.stats()
        nothing = np.empty((0,))
        return OptimalLanding(
            solved=False, ended=str(stats["return_status"]), turns=int(stats["iter_count"]), sink_m_s=None,
            forward_m_s=None, head_share=None, flight_s=None, time_s=nothing, states=np.empty((0, len(STATES))),
        )  # fmt: skip
    stats = opti.stats()
    states, flight_s = np.asarray(found.value(x)).T, float(found.value(end_s))
    return OptimalLanding(
        solved=stats["return_status"] == SOLVED,
        ended=str(stats["return_status"]),
        turns=int(stats["iter_count"]),
        sink_m_s=float(-states[-1, 2]),
        forward_m_s=float(states[-1, 1]),
        head_share=float(states[-1, 3] / own.set_rad_s),
        flight_s=flight_s,
        time_s=np.linspace(0.0, flight_s, INTERVALS + 1),
        states=states,
    )


def _rates(own: Ready) -> Any:
    """Return height, forward, climb and head rate over the state as a CasADi function: `landing_flight.falling_rates`.

    The rotor's map goes in as a smooth spline through the same places.
    """
    import casadi as ca

    craft, body = own.craft, own.craft.body
    radius, unit, density = own.map.radius_m, own.map.along_unit, own.craft.air.density_kg_m3
    tail = body.tail_on_head * float(tail_torque(craft.tail, own.set_rad_s, 0.0)) / own.set_rad_s**2
    x = ca.MX.sym("x", len(STATES))
    forward, climb, head, pitch, tilt = x[1], x[2], x[3], x[4], x[5]
    tip, cosine, sine = head * radius, ca.cos(tilt), ca.sin(tilt)
    across = forward * cosine - climb * sine
    size = ca.sqrt(across**2 + SMALL_M_S**2)
    along = (climb * cosine + forward * sine) / (tip * unit)
    at = ca.vertcat(pitch, ca.fmin(ca.fmax(along, STEEP), FAST), ca.fmin(size / tip, ACROSS_END))
    swept = density * head**2
    growth = 1.0 + own.map.drag_growth * (1.0 - head / own.map.speed_rad_s)
    loads = _spline(own, at)
    thrust, back = swept * loads[0], swept * loads[3] * across / size
    torque = swept * (loads[1] + growth * loads[2]) + tail * head**2 + body.head_drag_nm
    drag = 0.5 * density * body.drag_area_m2 * ca.sqrt(forward**2 + climb**2 + SMALL_M_S**2)
    up = (thrust * cosine + back * sine - drag * climb) / body.mass_kg - GRAVITY_M_S2
    ahead = (thrust * sine - back * cosine - drag * forward) / body.mass_kg
    return ca.Function("rates", [x], [ca.vertcat(climb, ahead, up, -torque / body.head_kg_m2)])


SMALL_M_S = 0.05
"""Rounds the corner of speeds that pass through zero, for the solver's derivatives."""


def _spline(own: Ready, at: Any) -> Any:
    """Return thrust, both torques and rearward force at a place of the rotor's map, by a cubic spline through it.

    The coefficients are worked out axis by axis, which is a thousand times quicker than all at once.
    """
    import casadi as ca
    from scipy.interpolate import make_interp_spline

    values, knots = own.map.loads[..., :CHANGES], []
    for axis, places in enumerate((collectives(), along_ratios(), across_ratios())):
        fitted = make_interp_spline(places, np.moveaxis(values, axis, 0), k=DEGREE)
        values = np.moveaxis(fitted.c, 0, axis)
        knots.append(fitted.t.tolist())
    flat = np.stack([values[..., column].ravel(order="F") for column in range(CHANGES)], axis=1).ravel()
    return ca.bspline(at, ca.DM(flat), knots, [DEGREE] * 3, CHANGES, {})


def start_of(rows: Floats, at_s: float) -> Floats:
    """Return the state of a landing at a time, as STATES. Shapes: rows (n, 8) as `landing_flight.ROWS` -> (6,)"""
    row = rows[min(math.ceil(at_s / landing_flight.STEP_S), rows.shape[0] - 1)]
    return np.array([row[1], row[2], row[3], row[4], row[5], row[6]])
