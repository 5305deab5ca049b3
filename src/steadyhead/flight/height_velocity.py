"""Height-velocity diagram: from where a loss of the motor ends in a hard landing, with and without a bail-out."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from steadyhead.flight.bail_out_case import Ready, base_case
from steadyhead.flight.bail_out_drawn import drawn_cases
from steadyhead.flight.bail_out_height import RPM, TENTHS, flown, granted, heights
from steadyhead.flight.bail_out_result import AvoidedHeights, HeightVelocity, Interval
from steadyhead.flight.landing_flight import CASE, Schedule, avoided_all
from steadyhead.flight.landing_pilot import REACTION_S, Plan, drawn_landings, fitted_plan, landing_case
from steadyhead.machine import si
from steadyhead.words.errors import SolveError

SPEEDS = 30
FASTEST_M_S = 20.0
DRAWS = 19
HEIGHTS_M = np.geomspace(0.3, 120.0, 30)
BATCH = 25
WORKERS = 2
SEED = 20_261_128

Floats = NDArray[np.float64]


def height_velocity(
    own: Ready, speeds: int = SPEEDS, fastest_m_s: float = FASTEST_M_S, plan: Plan | None = None
) -> HeightVelocity:
    """Return the diagram of one flight mode: two edges at every speed, each with its interval.

    Raises: InputError when the machine does not say how hard a touchdown may be.
    """
    ends = np.array([si.number(own.machine, "limits.touchdown_sink"), si.number(own.machine, "limits.touchdown_speed")])
    glide_m_s, schedule = plan or fitted_plan(own)
    at = np.linspace(0.0, fastest_m_s, speeds)
    avoided = np.stack([_landings(own, float(speed), glide_m_s) for speed in at])
    edges = edges_of(own, schedule, avoided.reshape(-1, len(CASE)), ends).reshape(speeds, DRAWS + 1, 2)
    lost = np.stack([bail_out_lost(own, float(speed)) for speed in at])
    points = tuple(_point(float(speed), edges[row], lost[row]) for row, speed in enumerate(at))
    noses = np.array([_nose(at, edges[:, one]) for one in range(DRAWS + 1)])
    return HeightVelocity(
        mode=own.rig.modes[own.mode],
        head_speed_rpm=own.set_rad_s * RPM,
        touchdown_sink_m_s=float(ends[0]),
        touchdown_speed_m_s=float(ends[1]),
        glide_speed_m_s=glide_m_s,
        reaction_s=REACTION_S,
        highest_looked_at_m=float(HEIGHTS_M[-1]),
        drawn=DRAWS,
        points=points,
        nose_speed_m_s=None if np.isinf(noses[0]) else float(noses[0]),
        nose_speed_m_s_interval=None if np.isinf(noses).any() else (float(noses.min()), float(noses.max())),
    )


def edges_of(own: Ready, schedule: Schedule, cases: Floats, ends_m_s: Floats) -> Floats:
    """Return lowest and highest height to be avoided for every case, m, worked out on two threads.

    Shapes: cases (n, 18), ends_m_s (2,) -> (n, 2), no number where none is.
    """
    out = np.empty((cases.shape[0], 2))

    def part(first: int) -> None:
        here = slice(first, first + BATCH)
        avoided_all(own.craft, own.map, schedule, cases[here], HEIGHTS_M, ends_m_s, out[here])

    pool = ThreadPoolExecutor(WORKERS)
    try:
        list(pool.map(part, range(0, cases.shape[0], BATCH)))
    finally:
        pool.shutdown(cancel_futures=True)
    return out


def bail_out_lost(own: Ready, forward_m_s: float) -> Floats:
    """Return the height that a bail-out straight from level flight takes, the machine described first, m.

    Shapes: -> (20,); infinite where level flight is not reached.
    """
    try:
        base = granted(own, base_case(own, forward_m_s, from_level=True))
    except SolveError:
        return np.full(DRAWS + 1, np.inf)
    return heights(flown(own, np.vstack([base, drawn_cases(own, base, DRAWS, SEED)])))


def _landings(own: Ready, forward_m_s: float, glide_m_s: float) -> Floats:
    """Return the landings from one speed: the machine described, then those drawn. Shapes: -> (20, 18)"""
    base = landing_case(own, 1.0, forward_m_s, glide_m_s=glide_m_s)
    drawn = drawn_cases(own, base_case(own, 0.0), DRAWS, SEED)
    return np.vstack([base, drawn_landings(own, base, drawn, np.random.default_rng(SEED))])


def _point(speed: float, edges: Floats, lost: Floats) -> AvoidedHeights:
    low, high = edges[:, 0], edges[:, 1]
    left = np.where(np.isfinite(low), np.minimum(high, lost) > low, False)
    return AvoidedHeights(
        forward_speed_m_s=speed,
        low_m=_maybe(low[0]),
        low_m_interval=_interval(low),
        high_m=_maybe(high[0]),
        high_m_interval=_interval(high),
        bail_out_m=_maybe(lost[0]),
        bail_out_m_interval=_interval(lost),
        avoided=bool(np.isfinite(low[0])),
        avoided_with_bail_out=bool(left[0]),
        share_avoided=float(np.mean(np.isfinite(low[1:]))),
    )


def _nose(speeds: Floats, edges: Floats) -> float:
    """Return the least speed from which on no height is avoided, m/s; infinite where some always is."""
    bad = np.flatnonzero(np.isfinite(edges[:, 0]))
    if bad.size == 0:
        return 0.0
    return float(speeds[bad[-1] + 1]) if bad[-1] + 1 < speeds.size else float("inf")


def _maybe(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _interval(values: Floats) -> Interval | None:
    """Return the 90 % interval over the machines drawn for which there is a figure; None where any end is endless."""
    there = values[1:][~np.isnan(values[1:])]
    if there.size == 0:
        return None
    low, high = np.quantile(there, [TENTHS, 1.0 - TENTHS], method="inverted_cdf")
    return (float(low), float(high)) if np.isfinite(high) else None
